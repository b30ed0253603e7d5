/**
 * Asking for lengths while a line is dragged: one question under way at most, one every
 * 80 ms at most, the newest question is never lost, and an answer to an older one never
 * shown after a newer. The question of a finger that was lifted is final: it waits neither
 * for the pace nor for the answer to an older one.
 *
 * @template Q, A
 * @typedef {object} Asking
 * @property {(seq: number, question: Q) => Promise<A>} send
 * @property {(answer: A, question: Q) => void} onAnswer
 * @property {(error: unknown) => void} onFailure
 * @property {() => number} [now] milliseconds
 * @property {(run: () => void, ms: number) => void} [later]
 */

/** Shortest time between two questions; lengths are read by eyes. */
export const PACE_MS = 80;

/** Keys that repeat ask a final question each: a slow server gets no more than so many. */
const MOST_UNDER_WAY = 2;

/**
 * @template Q, A
 * @param {Asking<Q, A>} asking
 * @returns {{ask: (question: Q) => void, hurry: () => void, busy: () => boolean}}
 */
export function asker({ send, onAnswer, onFailure, now = () => performance.now(),
  later = (run, ms) => void setTimeout(run, ms) }) {
  let seq = 0;
  let told = 0;
  let asked = -Infinity;
  let underWay = 0;
  let timed = false;
  let hurried = false;
  /** @type {{question: Q} | null} */
  let newest = null;

  function next() {
    if (!newest || underWay >= (hurried ? MOST_UNDER_WAY : 1) || (timed && !hurried)) return;
    const rest = hurried ? 0 : asked + PACE_MS - now();
    if (rest > 0) {
      timed = true;
      later(() => {
        timed = false;
        next();
      }, rest);
      return;
    }
    const { question } = newest;
    newest = null;
    hurried = false;
    void go(question);
  }

  /** @param {Q} question */
  async function go(question) {
    underWay += 1;
    asked = now();
    seq += 1;
    const mine = seq;
    try {
      const answer = await send(mine, question);
      if (isNews(mine)) onAnswer(answer, question);
    } catch (error) {
      if (isNews(mine)) onFailure(error);
    } finally {
      underWay -= 1;
      next();
    }
  }

  /** @param {number} mine */
  function isNews(mine) {
    if (mine <= told) return false;
    told = mine;
    return true;
  }

  return {
    ask(question) {
      newest = { question };
      next();
    },
    /** What was asked last is final, the finger is up. */
    hurry() {
      hurried = newest !== null;
      next();
    },
    busy: () => underWay > 0 || newest !== null,
  };
}
