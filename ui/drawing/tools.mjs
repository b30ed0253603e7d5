/**
 * What can be drawn: how many picks each takes and what becomes of them. Pure.
 *
 * @typedef {import("./types.mjs").Point} Point
 * @typedef {import("./model.mjs").List} List
 * @typedef {object} Tool
 * @property {number} least picks
 * @property {number} most picks; the tool ends by itself there
 * @property {"open" | "closed" | "marks"} form
 * @property {List} list where it goes
 * @property {boolean} asks whether a size has to be typed before it is a reference
 * @property {(picks: readonly Point[]) => Record<string, unknown>} make the item without name
 */

const MANY = 40;

/** @type {Readonly<Record<string, Tool>>} */
export const TOOLS = Object.freeze({
  line: {
    least: 2, most: 2, form: "open", list: "lines", asks: false,
    make: (picks) => ({ picks }),
  },
  soffit: {
    least: 4, most: 4, form: "open", list: "soffits", asks: false,
    make: (picks) => ({ wall_edge: picks.slice(0, 2), outer_edge: picks.slice(2, 4) }),
  },
  ground: {
    least: 1, most: 1, form: "marks", list: "soffits", asks: false,
    make: (picks) => ({ ground: picks[0] }),
  },
  distance: {
    least: 2, most: 2, form: "open", list: "references", asks: true,
    make: (picks) => ({ kind: "distance", ends: picks }),
  },
  rectangle: {
    least: 4, most: 4, form: "closed", list: "references", asks: true,
    make: (picks) => ({ kind: "rectangle", corners: picks }),
  },
  courses_up: {
    least: 2, most: MANY, form: "marks", list: "references", asks: true,
    make: (picks) => ({ kind: "courses", direction: "up", picks }),
  },
  courses_along: {
    least: 2, most: MANY, form: "marks", list: "references", asks: true,
    make: (picks) => ({ kind: "courses", direction: "along", picks }),
  },
  level: {
    least: 2, most: 2, form: "open", list: "references", asks: false,
    make: (picks) => ({ kind: "level", ends: picks }),
  },
  plumb: {
    least: 2, most: 2, form: "open", list: "references", asks: false,
    make: (picks) => ({ kind: "plumb", ends: picks }),
  },
  straight: {
    least: 3, most: MANY, form: "open", list: "references", asks: false,
    make: (picks) => ({ kind: "straight", picks }),
  },
});

/** The references in the order in which they are offered: what helps most comes first. */
export const REFERENCE_TOOLS = Object.freeze([
  "distance", "rectangle", "courses_up", "courses_along", "level", "plumb", "straight",
]);

/**
 * The text for the next pick.
 * @param {string} tool
 * @param {number} done picks so far
 * @returns {string} key of the catalogue
 */
export function promptKey(tool, done) {
  const { least, most } = TOOLS[tool] ?? { least: 2, most: 2 };
  if (most > least && done >= least) return `tool.${tool}.more`;
  return `tool.${tool}.${done + 1}`;
}

/**
 * The tool that made a reference, for its name and its form.
 * @param {{kind: string, direction?: string}} reference
 * @returns {string}
 */
export function toolOf({ kind, direction }) {
  if (kind !== "courses") return kind;
  return direction === "along" ? "courses_along" : "courses_up";
}
