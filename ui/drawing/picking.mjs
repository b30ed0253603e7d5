/**
 * What a finger means: nearest handle, line or end to join. Pure; distances in CSS pixels.
 *
 * @typedef {import("./types.mjs").Place} Place
 * @typedef {{id: string, at: number, place: Place}} Handle
 */

/** Half of a 44 px touch target (WCAG 2.2, 2.5.5). */
export const TOUCH_PX = 22;

/** A mouse or a pen needs no more than 24 px (WCAG 2.2, 2.5.8), and lines lie close. */
export const MOUSE_PX = 12;

/** An end let go this near to another line's end is joined to it. */
export const JOIN_PX = 12;

/** A handle of the selected shape is taken before a slightly nearer one of another. */
const PREFERENCE_PX = 8;

/** @type {(a: Place, b: Place) => number} */
export const apart = (a, b) => Math.hypot(a[0] - b[0], a[1] - b[1]);

/** @type {(pointer: string) => number} */
export const reachOf = (pointer) => (pointer === "touch" ? TOUCH_PX : MOUSE_PX);

/**
 * The handle that is meant: the nearest within reach, with the selected shape preferred.
 * @param {readonly Handle[]} handles
 * @param {Place} place
 * @param {number} reach
 * @param {string | null} selected
 * @returns {Handle | null}
 */
export function nearestHandle(handles, place, reach, selected) {
  let best = null;
  let least = Infinity;
  for (const handle of handles) {
    const far = apart(handle.place, place);
    const cost = far - (handle.id === selected ? PREFERENCE_PX : 0);
    if (far <= reach && cost < least) {
      best = handle;
      least = cost;
    }
  }
  return best;
}

/**
 * The shape whose edge is nearest within reach.
 * @param {readonly {id: string, places: readonly Place[], closed: boolean}[]} edges
 * @param {Place} place
 * @param {number} reach
 * @returns {{id: string, after: number} | null} and the pick that the piece begins with
 */
export function nearestEdge(edges, place, reach) {
  let best = null;
  let least = reach;
  for (const { id, places, closed } of edges) {
    const ring = closed && places[0] ? [...places, places[0]] : places;
    for (let i = 1; i < ring.length; i += 1) {
      const far = toPiece(place, ring[i - 1] ?? place, ring[i] ?? place);
      if (far <= least) {
        best = { id, after: i - 1 };
        least = far;
      }
    }
  }
  return best;
}

/** @type {(place: Place, a: Place, b: Place) => number} distance to a piece of a line */
export function toPiece(place, a, b) {
  const along = [b[0] - a[0], b[1] - a[1]];
  const square = Number(along[0]) ** 2 + Number(along[1]) ** 2;
  const share = square
    ? ((place[0] - a[0]) * Number(along[0]) + (place[1] - a[1]) * Number(along[1])) / square
    : 0;
  const held = Math.min(Math.max(share, 0), 1);
  return apart(place, [a[0] + held * Number(along[0]), a[1] + held * Number(along[1])]);
}
