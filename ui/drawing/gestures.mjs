/**
 * Mouse, touch and pen on the stage become strokes, pans, pinches and wheel turns.
 *
 * A stroke is what one pointer does on a tool: the tool gives it at the press and is told
 * where it goes. A second finger ends the stroke without effect and begins a pinch.
 *
 * @typedef {import("./types.mjs").Place} Place
 * @typedef {object} Stroke
 * @property {(place: Place, event: PointerEvent) => void} move
 * @property {(place: Place, still: boolean, event: PointerEvent) => void} lift still: it
 *   hardly moved, so it was a tap
 * @property {() => void} cancel
 * @typedef {object} Handlers
 * @property {(place: Place, event: PointerEvent) => Stroke} press
 * @property {(place: Place, event: PointerEvent) => Stroke} pan what pans
 * @property {(places: readonly [Place, Place]) => (places: readonly [Place, Place]) => void
 *   } pinch
 * @property {(place: Place, factor: number) => void} wheel
 * @property {(place: Place | null) => void} hover
 */

/** A finger that moved less was holding still. */
const STILL_PX = Object.freeze({ touch: 8, pen: 5, mouse: 3 });

const WHEEL_SPEED = 0.0016;
const LINE_PX = 32;

/**
 * @param {HTMLElement} stage
 * @param {Handlers} handlers
 */
export function attachGestures(stage, handlers) {
  /** @type {Map<number, Place>} */
  const down = new Map();
  /** @type {Stroke | null} */
  let stroke = null;
  /** @type {Place} */
  let began = [0, 0];
  let still = true;
  /** @type {((places: readonly [Place, Place]) => void) | null} */
  let pinch = null;

  /** @type {(event: MouseEvent) => Place} */
  const placeOf = (event) => {
    const box = stage.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  };
  const two = () => /** @type {[Place, Place]} */ ([...down.values()].slice(0, 2));

  /** @param {PointerEvent} event */
  function press(event) {
    if (event.pointerType === "mouse" && event.button === 2) return;
    const place = placeOf(event);
    stage.setPointerCapture(event.pointerId);
    down.set(event.pointerId, place);
    if (down.size === 2) {
      stroke?.cancel();
      stroke = null;
      pinch = handlers.pinch(two());
    } else if (down.size === 1) {
      began = place;
      still = true;
      const panning = event.button === 1;
      stroke = panning ? handlers.pan(place, event) : handlers.press(place, event);
    }
    event.preventDefault();
  }

  /** @param {PointerEvent} event */
  function move(event) {
    const place = placeOf(event);
    if (!down.has(event.pointerId)) {
      handlers.hover(place);
      return;
    }
    down.set(event.pointerId, place);
    if (pinch && down.size >= 2) pinch(two());
    else if (stroke) {
      const kind = /** @type {keyof typeof STILL_PX} */ (event.pointerType || "mouse");
      const moved = Math.hypot(place[0] - began[0], place[1] - began[1]);
      if (moved > (STILL_PX[kind] ?? STILL_PX.mouse)) still = false;
      stroke.move(place, event);
    }
  }

  /** @param {PointerEvent} event */
  function lift(event) {
    if (!down.delete(event.pointerId)) return;
    if (down.size < 2) pinch = null;
    const ended = stroke;
    stroke = null;
    if (!ended) return;
    if (event.type === "pointerup") ended.lift(placeOf(event), still, event);
    else ended.cancel();
  }

  /** @param {WheelEvent} event */
  function wheel(event) {
    event.preventDefault();
    const turn = event.deltaY * (event.deltaMode === 1 ? LINE_PX : 1);
    handlers.wheel(placeOf(event), Math.exp(-turn * WHEEL_SPEED * (event.ctrlKey ? 5 : 1)));
  }

  stage.addEventListener("pointerdown", press);
  stage.addEventListener("pointermove", move);
  stage.addEventListener("pointerup", lift);
  stage.addEventListener("pointercancel", lift);
  stage.addEventListener("pointerleave", () => handlers.hover(null));
  stage.addEventListener("wheel", wheel, { passive: false });
  stage.addEventListener("contextmenu", (event) => event.preventDefault());
}
