/**
 * Where lengths stand beside their lines: pure.
 *
 * @typedef {import("./types.mjs").Place} Place
 * @typedef {{id: string, places: readonly Place[], width: number, height: number,
 *   first: boolean}} Wanted `first` is placed before the others: the selected line
 * @typedef {{id: string, x: number, y: number, from: Place | null}} Placed upper left corner,
 *   and where on the line a leader begins if the label stands away from it
 * @typedef {{x: number, y: number, width: number, height: number}} Box
 * @typedef {Box & {from: Place | null}} Spot
 */

const GAP = 10;
const RIM = 4;

/** Air between two labels: at an apex two that touch read as one. */
const AIR = 6;

/** Further away if there is no room beside the line; then a leader shows whose it is. */
const AWAY = Object.freeze([0, 30, 60]);

/** Along the longest piece of a line, from its middle outwards. */
const ALONG = Object.freeze([0.5, 0.35, 0.65, 0.2, 0.8]);

/**
 * Place labels so that none lies on another and all lie on the stage. A label that finds
 * no room is left out: two lengths on top of each other are none.
 * @param {readonly Wanted[]} wanted
 * @param {readonly [number, number]} stage
 * @param {readonly Box[]} [taken] what labels must not cover
 * @returns {Placed[]}
 */
export function placeLabels(wanted, stage, taken = []) {
  const boxes = [...taken];
  /** @type {Placed[]} */
  const placed = [];
  const order = [...wanted].sort((a, b) => Number(b.first) - Number(a.first));
  for (const label of order) {
    const spots = [...spotsOf(label)];
    const free = spots.find((spot) => inside(spot, stage) && !boxes.some((b) => meet(b, spot)));
    const spot = free ?? (label.first ? pulledIn(spots[0], stage) : undefined);
    if (!spot) continue;
    boxes.push(spot);
    placed.push({ id: label.id, x: Math.round(spot.x), y: Math.round(spot.y), from: spot.from });
  }
  return placed;
}

/**
 * Spots beside a line's longest piece on the stage, best first: above its middle.
 * @param {Wanted} label
 * @returns {Generator<Spot>}
 */
function* spotsOf({ places, width, height }) {
  const pieces = places.slice(1).map((to, i) => /** @type {const} */ ([places[i] ?? to, to]));
  pieces.sort((a, b) => distance(...b) - distance(...a));
  for (const away of AWAY) {
    for (const [a, b] of pieces.slice(0, 2)) {
      const length = distance(a, b) || 1;
      const [nx, ny] = upwards((b[1] - a[1]) / length, (a[0] - b[0]) / length);
      const clear = GAP + away + (Math.abs(nx) * width + Math.abs(ny) * height) / 2;
      for (const side of [1, -1]) {
        for (const share of ALONG) {
          const from = /** @type {const} */ ([a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share]);
          const x = from[0] + side * nx * clear - width / 2;
          const y = from[1] + side * ny * clear - height / 2;
          yield { x, y, width, height, from: away ? from : null };
        }
      }
    }
  }
}

/** @type {(x: number, y: number) => readonly [number, number]} */
const upwards = (x, y) => (y > 0 || (y === 0 && x < 0) ? [-x, -y] : [x, y]);

/** @type {(a: Place, b: Place) => number} */
const distance = (a, b) => Math.hypot(b[0] - a[0], b[1] - a[1]);

/** @type {(box: Box, stage: readonly [number, number]) => boolean} */
const inside = (box, stage) =>
  box.x >= RIM && box.y >= RIM &&
  box.x + box.width <= stage[0] - RIM && box.y + box.height <= stage[1] - RIM;

/** @type {(a: Box, b: Box) => boolean} */
const meet = (a, b) =>
  a.x < b.x + b.width + AIR && b.x < a.x + a.width + AIR &&
  a.y < b.y + b.height + AIR && b.y < a.y + a.height + AIR;

/** @type {(box: Spot | undefined, stage: readonly [number, number]) => Spot | undefined} */
function pulledIn(box, stage) {
  if (!box) return undefined;
  const x = Math.min(Math.max(box.x, RIM), stage[0] - RIM - box.width);
  const y = Math.min(Math.max(box.y, RIM), stage[1] - RIM - box.height);
  return { ...box, x, y };
}
