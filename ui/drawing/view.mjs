/**
 * Which part of the photo is on the stage: pure arithmetic, no DOM.
 *
 * `x`, `y` are the place of the photo's upper left *corner*, which is the point
 * (-0.5, -0.5); hence the halves below.
 *
 * @typedef {import("./types.mjs").Point} Point
 * @typedef {import("./types.mjs").Place} Place
 * @typedef {{readonly scale: number, readonly x: number, readonly y: number}} View
 *   scale in CSS pixels per image pixel
 */

/** Closest look: one image pixel is as large as a fingernail's mark. */
export const LARGEST_SCALE = 24;

/** Furthest look, relative to the whole photo on the stage. */
export const SMALLEST_SHARE = 0.8;

/** @type {(view: View, point: Point) => Place} */
export const toScreen = (view, [x, y]) => [
  view.x + (x + 0.5) * view.scale,
  view.y + (y + 0.5) * view.scale,
];

/** @type {(view: View, place: Place) => Point} */
export const toImage = (view, [x, y]) => [
  (x - view.x) / view.scale - 0.5,
  (y - view.y) / view.scale - 0.5,
];

/**
 * The nearest point of the photo: beside it there is nothing to pick.
 * @type {(size: readonly [number, number], point: Point) => Point}
 */
export const within = ([width, height], [x, y]) => [
  Math.min(Math.max(x, -0.5), width - 0.5),
  Math.min(Math.max(y, -0.5), height - 0.5),
];

/**
 * Show the whole photo.
 * @param {readonly [number, number]} size of the photo
 * @param {readonly [number, number]} stage its size in CSS pixels
 * @returns {View}
 */
export function whole(size, stage) {
  const scale = Math.max(Math.min(stage[0] / size[0], stage[1] / size[1]), 1e-4);
  return {
    scale,
    x: (stage[0] - size[0] * scale) / 2,
    y: (stage[1] - size[1] * scale) / 2,
  };
}

/**
 * Scale about a place that stays where it is.
 * @param {View} view
 * @param {Place} place
 * @param {number} factor
 * @param {number} smallest scale
 * @returns {View}
 */
export function zoomed(view, place, factor, smallest) {
  const scale = Math.min(Math.max(view.scale * factor, smallest), LARGEST_SCALE);
  const ratio = scale / view.scale;
  return {
    scale,
    x: place[0] - (place[0] - view.x) * ratio,
    y: place[1] - (place[1] - view.y) * ratio,
  };
}

/** @type {(view: View, dx: number, dy: number) => View} */
export const panned = (view, dx, dy) => ({ ...view, x: view.x + dx, y: view.y + dy });

/**
 * Follow two fingers: the points under them stay under them, as far as scale allows.
 * @param {View} view when the fingers went down
 * @param {readonly [Place, Place]} from
 * @param {readonly [Place, Place]} to
 * @param {number} smallest scale
 * @returns {View}
 */
export function pinched(view, from, to, smallest) {
  const spread = (/** @type {readonly [Place, Place]} */ [a, b]) =>
    Math.hypot(b[0] - a[0], b[1] - a[1]);
  const middle = (/** @type {readonly [Place, Place]} */ [a, b]) =>
    /** @type {Place} */ ([(a[0] + b[0]) / 2, (a[1] + b[1]) / 2]);
  const start = middle(from);
  const end = middle(to);
  const factor = spread(to) / Math.max(spread(from), 1);
  const larger = zoomed(view, start, factor, smallest);
  return panned(larger, end[0] - start[0], end[1] - start[1]);
}

/**
 * Keep the photo on the stage: any point of it can come to the middle, no further.
 * @param {View} view
 * @param {readonly [number, number]} size
 * @param {readonly [number, number]} stage
 * @returns {View}
 */
export function kept(view, size, stage) {
  const held = (/** @type {number} */ at, /** @type {0 | 1} */ axis) =>
    Math.min(Math.max(at, stage[axis] / 2 - size[axis] * view.scale), stage[axis] / 2);
  return { ...view, x: held(view.x, 0), y: held(view.y, 1) };
}

/**
 * Put the photo's corner on a whole device pixel, where browsers draw exactly what is asked.
 * @param {View} view
 * @param {number} ratio device pixels per CSS pixel
 * @returns {View}
 */
export const onWholePixels = (view, ratio) => ({
  ...view,
  x: Math.round(view.x * ratio) / ratio,
  y: Math.round(view.y * ratio) / ratio,
});

/** A screen's ratio has a small denominator: 1.25, 2.625, 2.75, 3. */
const LARGEST_GRID_PX = 16;

/**
 * The fewest whole CSS pixels that are whole device pixels.
 * @param {number} ratio device pixels per CSS pixel
 * @returns {number} 1 if there is none
 */
export function wholePixels(ratio) {
  for (let grid = 1; grid <= LARGEST_GRID_PX; grid += 1) {
    if (Math.abs(grid * ratio - Math.round(grid * ratio)) < 1e-3) return grid;
  }
  return 1;
}

/**
 * Show some points with room around them.
 * @param {readonly Point[]} points at least one
 * @param {readonly [number, number]} stage
 * @param {number} largest scale
 * @returns {View}
 */
export function around(points, stage, largest) {
  const xs = points.map((point) => point[0]);
  const ys = points.map((point) => point[1]);
  const low = [Math.min(...xs), Math.min(...ys)];
  const high = [Math.max(...xs), Math.max(...ys)];
  const room = 0.7; // of the stage, so that ends lie clear of its rim and of buttons
  const scale = Math.min(
    (room * stage[0]) / Math.max(Number(high[0]) - Number(low[0]), 1),
    (room * stage[1]) / Math.max(Number(high[1]) - Number(low[1]), 1),
    largest,
  );
  return {
    scale,
    x: stage[0] / 2 - ((Number(low[0]) + Number(high[0])) / 2 + 0.5) * scale,
    y: stage[1] / 2 - ((Number(low[1]) + Number(high[1])) / 2 + 0.5) * scale,
  };
}
