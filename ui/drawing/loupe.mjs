/**
 * A magnifier with a cross where the pick lies, away from the finger that hides it.
 */
import { give, make, makeSvg, tell } from "./dom.mjs";
import { makePhotoLayer } from "./photo_layer.mjs";
import { shapesOf } from "./model.mjs";
import { onWholePixels, toScreen } from "./view.mjs";

/**
 * @typedef {import("./desk.mjs").State} State
 * @typedef {import("./types.mjs").Elevation} Elevation
 * @typedef {import("./types.mjs").Point} Point
 */

/** Side in CSS pixels; a larger one covers the lines on a phone. */
export const LOUPE_PX = 132;

const LEAST_SCALE = 1.6;
const MOST_SCALE = 12;
const LARGER = 3;
const MARGIN = 8;

/**
 * @param {import("./types.mjs").Photo} photo
 * @param {string} fineText
 * @returns {{element: HTMLElement, draw: (state: State, elevation: Elevation) => void}}
 */
export function makeLoupe(photo, fineText) {
  const layer = makePhotoLayer(photo, "");
  const lines = makeSvg("g", {});
  const middle = LOUPE_PX / 2;
  const cross = `M${middle} 0V${middle - 6}M${middle} ${middle + 6}V${LOUPE_PX}` +
    `M0 ${middle}H${middle - 6}M${middle + 6} ${middle}H${LOUPE_PX}`;
  const drawing = makeSvg("svg", { class: "dr-svg", viewBox: `0 0 ${LOUPE_PX} ${LOUPE_PX}` },
    lines, makeSvg("path", { class: "dr-casing", d: cross }), makeSvg("path", { class: "dr-core", d: cross }));
  const word = make("div", { class: "dr-loupe-word" });
  const element = make("div", { class: "dr-loupe", "aria-hidden": "true", hidden: true },
    layer.element, drawing, word);

  /** @type {(state: State, elevation: Elevation) => void} */
  function draw({ loupe, view, stage }, elevation) {
    element.hidden = loupe === null;
    if (!loupe) return;
    const scale = Math.min(Math.max(view.scale * LARGER, LEAST_SCALE), MOST_SCALE);
    const near = onWholePixels({
      scale,
      x: middle - (loupe.point[0] + 0.5) * scale,
      y: middle - (loupe.point[1] + 0.5) * scale,
    }, globalThis.devicePixelRatio || 1);
    layer.show(near, [LOUPE_PX, LOUPE_PX]);
    const left = loupe.place[0] < stage[0] / 2;
    element.style.left = left ? "auto" : `${MARGIN}px`;
    element.style.right = left ? `${MARGIN}px` : "auto";
    tell(word, loupe.fine ? fineText : "");
    const edges = shapesOf(elevation).filter((shape) => shape.form !== "marks");
    while (lines.childElementCount > edges.length) lines.lastElementChild?.remove();
    while (lines.childElementCount < edges.length) {
      lines.append(makeSvg("polyline", { class: "dr-loupe-line" }));
    }
    edges.forEach((shape, index) => {
      const points = shape.picks.map((pick) => toScreen(near, pick).join(",")).join(" ");
      give(/** @type {Element} */ (lines.children[index]), { points });
    });
  }
  return { element, draw };
}
