/**
 * Which full-resolution pieces of the photo are on the stage: pure.
 *
 * @typedef {import("./view.mjs").View} View
 * @typedef {{column: number, row: number, left: number, top: number, width: number,
 *   height: number}} Tile in image pixels from the photo's corner
 */

/** More would be a view that the preview serves as well. */
export const MOST_TILES = 80;

/**
 * @param {View} view
 * @param {readonly [number, number]} size of the photo
 * @param {readonly [number, number]} stage
 * @param {number} side of a tile
 * @returns {Tile[]} none if too many would be needed
 */
export function tilesInView(view, size, stage, side) {
  const range = (/** @type {0 | 1} */ axis) => {
    const corner = axis === 0 ? view.x : view.y;
    const last = Math.ceil(size[axis] / side) - 1;
    const low = Math.max(Math.floor(-corner / view.scale / side), 0);
    const high = Math.min(Math.floor((stage[axis] - corner) / view.scale / side), last);
    return /** @type {const} */ ([low, high]);
  };
  const [[left, right], [top, bottom]] = [range(0), range(1)];
  if ((right - left + 1) * (bottom - top + 1) > MOST_TILES) return [];
  const tiles = [];
  for (let row = top; row <= bottom; row += 1) {
    for (let column = left; column <= right; column += 1) {
      tiles.push(tileAt(column, row, size, side));
    }
  }
  return tiles;
}

/** @type {(column: number, row: number, size: readonly [number, number], side: number) => Tile} */
const tileAt = (column, row, size, side) => ({
  column,
  row,
  left: column * side,
  top: row * side,
  // Pieces at the right and lower rim are smaller: stretched, they would move what they show.
  width: Math.min(side, size[0] - column * side),
  height: Math.min(side, size[1] - row * side),
});

/**
 * Whether the preview is too coarse for a view, so that tiles are worth their bytes.
 * @param {number} scale CSS pixels per image pixel
 * @param {number} ratio device pixels per CSS pixel
 * @param {number} share preview pixels per image pixel
 * @returns {boolean}
 */
export const needsTiles = (scale, ratio, share) => share < 1 && scale * ratio > share * 1.1;
