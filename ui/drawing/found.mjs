/**
 * Which of the lines found in a photo are worth showing: pure.
 *
 * @typedef {import("./types.mjs").Point} Point
 * @typedef {import("./types.mjs").Proposal} Proposal
 */

/** A proposal that is wrong nine times in ten is more in the way than it helps. */
export const LEAST_CONFIDENCE = 0.1;

/** Ends nearer than this share of the photo's width mean the same edge to a finger. */
const SAME_SHARE = 0.012;

/** @type {(a: Point | undefined, b: Point | undefined, slack: number) => boolean} */
const near = (a, b, slack) =>
  a !== undefined && b !== undefined && Math.hypot(a[0] - b[0], a[1] - b[1]) <= slack;

/** @type {(a: readonly Point[], b: readonly Point[], slack: number) => boolean} */
function sameEdge(a, b, slack) {
  const [p, q, r, s] = [a[0], a.at(-1), b[0], b.at(-1)];
  return (near(p, r, slack) && near(q, s, slack)) || (near(p, s, slack) && near(q, r, slack));
}

/** @type {(a: readonly Point[], b: readonly Point[], width: number) => boolean} */
export const sameLine = (a, b, width) => sameEdge(a, b, width * SAME_SHARE);

/**
 * The surest first, each edge once, and none that is drawn already.
 * @param {readonly Proposal[]} proposals
 * @param {readonly {picks: readonly Point[]}[]} lines
 * @param {number} width of the photo in pixels
 * @returns {Proposal[]}
 */
export function worthShowing(proposals, lines, width) {
  const slack = width * SAME_SHARE;
  /** @type {Proposal[]} */
  const shown = [];
  for (const one of [...proposals].sort((a, b) => b.confidence - a.confidence)) {
    if (one.confidence < LEAST_CONFIDENCE) continue;
    if ([...lines, ...shown].some(({ picks }) => sameEdge(one.picks, picks, slack))) continue;
    shown.push(one);
  }
  return shown;
}
