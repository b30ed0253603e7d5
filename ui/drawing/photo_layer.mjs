/**
 * The photo, drawn where a view says: the preview under full-resolution tiles.
 *
 * The preview covers exactly the whole photo, so it is stretched to the photo's size and
 * one transform serves both.
 */
import { give, make, match } from "./dom.mjs";
import { needsTiles, tilesInView } from "./tiles.mjs";

/** @typedef {import("./types.mjs").Photo} Photo */
/** @typedef {import("./view.mjs").View} View */

/** From here on pixels are shown as squares: whoever looks this close wants to see them. */
const SQUARES_SCALE = 3;

/**
 * @param {Photo} photo
 * @param {string} name what the photo shows
 * @returns {{element: HTMLElement, ready: Promise<void>,
 *   show: (view: View, stage: readonly [number, number]) => void}}
 */
export function makePhotoLayer(photo, name) {
  const [width, height] = photo.size_px;
  const share = photo.preview_size_px[0] / width;
  const preview = make("img", { class: "dr-preview", alt: name, draggable: "false" });
  preview.style.width = `${width}px`;
  preview.style.height = `${height}px`;
  const ready = new Promise((resolve, reject) => {
    preview.onload = () => resolve(undefined);
    preview.onerror = () => reject(new Error("photo"));
  });
  preview.src = photo.preview;
  const tiles = make("div", { class: "dr-tiles" });
  const element = make("div", { class: "dr-photo" }, preview, tiles);

  /** @type {(view: View, stage: readonly [number, number]) => void} */
  function show(view, stage) {
    element.style.transform = `translate(${view.x}px, ${view.y}px) scale(${view.scale})`;
    const ratio = globalThis.devicePixelRatio || 1;
    element.classList.toggle("dr-squares", view.scale * ratio >= SQUARES_SCALE * ratio);
    const wanted =
      photo.tiles && needsTiles(view.scale, ratio, share)
        ? tilesInView(view, photo.size_px, stage, photo.tiles.size)
        : [];
    const address = photo.tiles?.url ?? "";
    match(
      tiles,
      wanted,
      (tile) => `${tile.column} ${tile.row}`,
      () => make("img", { class: "dr-tile", alt: "", draggable: "false" }),
      (img, tile) => {
        if (img.hasAttribute("src")) return;
        const box = { left: tile.left, top: tile.top, width: tile.width, height: tile.height };
        for (const [side, px] of Object.entries(box)) {
          img.style.setProperty(side, `${px}px`);
        }
        give(img, { src: tileAddress(address, tile.column, tile.row) });
      },
    );
  }
  return { element, ready: /** @type {Promise<void>} */ (ready), show };
}

/** @type {(address: string, column: number, row: number) => string} */
const tileAddress = (address, column, row) =>
  address
    .replace("{level}", "0") // 0 is full resolution
    .replace("{column}", String(column))
    .replace("{row}", String(row));
