/**
 * Undo and redo of any unchanging value: pure.
 *
 * @template T
 * @typedef {{readonly past: readonly T[], readonly present: T, readonly future: readonly T[],
 *   readonly key: string | null}} History
 */

/** Steps that can be taken back; more than anyone retraces. */
export const LONGEST = 300;

/**
 * @template T
 * @param {T} present
 * @returns {History<T>}
 */
export const begun = (present) => ({ past: [], present, future: [], key: null });

/**
 * Take a step. Steps in a row with the same key are one step: forty presses of an arrow
 * key are one move to whoever takes it back.
 * @template T
 * @param {History<T>} history
 * @param {T} next
 * @param {string | null} [key]
 * @returns {History<T>}
 */
export function stepped(history, next, key = null) {
  if (next === history.present) return history;
  const same = key !== null && key === history.key && history.past.length > 0;
  const past = same ? history.past : [...history.past, history.present].slice(-LONGEST);
  return { past, present: next, future: [], key };
}

/**
 * @template T
 * @param {History<T>} history
 * @returns {History<T>} the same if there is nothing to take back
 */
export function undone(history) {
  const last = history.past.at(-1);
  if (last === undefined) return history;
  return {
    past: history.past.slice(0, -1),
    present: last,
    future: [history.present, ...history.future],
    key: null,
  };
}

/**
 * @template T
 * @param {History<T>} history
 * @returns {History<T>} the same if there is nothing to repeat
 */
export function redone(history) {
  const [first, ...rest] = history.future;
  if (first === undefined) return history;
  return { past: [...history.past, history.present], present: first, future: rest, key: null };
}
