/**
 * Reading the photo: references, lines and questions, offered and never taken unasked.
 */
import { worthShowing } from "./found.mjs";
import { Refusal } from "./routes.mjs";

/**
 * @param {object} setting
 * @param {import("./desk.mjs").Desk} setting.desk
 * @param {import("./routes.mjs").Routes} setting.routes
 * @param {import("./texts.mjs").Say} setting.say
 * @param {(text: string) => void} setting.tellWord
 */
export function makeReading({ desk, routes, say, tellWord }) {
  /** @type {Promise<void> | null} one reading at a time: it takes seconds */
  let underWay = null;

  async function readNow() {
    tellWord(say("found.reading"));
    try {
      const all = await routes.read({ elevation: desk.elevation().name });
      const found = asFound(all, desk.elevation().lines ?? [], desk.state().size[0]);
      desk.change({ found });
      const count = found.references.length + found.proposals.length;
      tellWord(count ? say("found.some", { count }) : (found.notes[0] ?? say("found.none")));
    } catch (error) {
      tellWord(error instanceof Refusal && error.message ? error.message : say("found.failed"));
    }
  }
  return function read() {
    underWay ??= readNow().finally(() => {
      underWay = null;
    });
    return underWay;
  };
}

/**
 * What the server read, with the lines of its questions put beside their names: a line too
 * unlikely to be shown may still be an answer.
 * @param {any} all answer of the read route
 * @param {readonly {picks: readonly import("./types.mjs").Point[]}[]} lines
 * @param {number} width of the photo
 * @returns {import("./types.mjs").Found}
 */
export function asFound(all, lines, width) {
  const named = new Map(all.proposals.map((/** @type {any} */ one) => [one.name, one]));
  const questions = (all.questions ?? []).map((/** @type {any} */ question) => ({
    ...question,
    ways: question.ways.map((/** @type {any} */ way) => ({ ...way, proposal: named.get(way.line) })),
  }));
  return { ...all, notes: all.notes ?? [], questions,
    proposals: worthShowing(all.proposals, lines, width) };
}
