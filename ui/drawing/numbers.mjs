/**
 * Numbers over the photo: which of the lines that were found is which in the list.
 */
import { give, makeSvg, match } from "./dom.mjs";
import { apart } from "./picking.mjs";

/**
 * @typedef {import("./types.mjs").Place} Place
 * @typedef {import("./types.mjs").Point} Point
 */

/** Two numbers nearer than this lie on each other. */
const NUMBER_PX = 22;

/** Along a line, from its middle outwards. */
const ALONG = Object.freeze([0.5, 0.35, 0.65, 0.2, 0.8, 0.05, 0.95]);

/**
 * The numbers that the list of what was found has, each at its own line.
 * @type {(group: SVGGElement, state: import("./desk.mjs").State, at: (point: Point) => Place) => void}
 */
export function drawNumbers(group, { found }, at) {
  const lines = [...(found?.references ?? []).map(({ drawn }) => drawn.lines[drawn.lines.length >> 1]),
    ...(found?.proposals ?? []).map(({ picks }) => picks)];
  /** @type {Place[]} */
  const taken = [];
  const items = lines.flatMap((line, index) => {
    const place = line && freeOn(line.map(at), taken);
    if (!place) return [];
    taken.push(place);
    return [{ number: `${index + 1}`, place }];
  });
  match(group, items, ({ number }) => number,
    ({ number }) => makeSvg("g", { class: "dr-number-mark" }, makeSvg("circle", { r: 10 }), makeSvg("text", {}, number)),
    (mark, { place: [x, y] }) => give(mark, { transform: `translate(${x.toFixed(1)} ${y.toFixed(1)})` }));
}

/**
 * A place on a line where no other number lies, near its middle if there is room.
 * @type {(line: readonly Place[], taken: readonly Place[]) => Place | undefined}
 */
function freeOn(line, taken) {
  const [a, b] = [line[0], line.at(-1)];
  if (!a || !b) return undefined;
  const places = ALONG.map((share) =>
    /** @type {Place} */ ([a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share]));
  return places.find((place) => taken.every((other) => apart(place, other) > NUMBER_PX)) ?? places[0];
}

