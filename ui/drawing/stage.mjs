/**
 * The stage: photo, drawing and magnifier, with the pointers and keys that work on them.
 */
import { make } from "./dom.mjs";
import { attachGestures } from "./gestures.mjs";
import { meaningOf, pressOf } from "./keyboard.mjs";
import { makeLoupe } from "./loupe.mjs";
import { makeOverlay, middlesOf, open } from "./overlay.mjs";
import { makePhotoLayer } from "./photo_layer.mjs";
import { nearestEdge, nearestHandle, reachOf } from "./picking.mjs";
import { bends, shapeOf, shapesOf } from "./model.mjs";
import { gripStroke, panStroke, pickStroke } from "./strokes.mjs";
import { around, kept, onWholePixels, panned, pinched, SMALLEST_SHARE, toImage, toScreen, whole, wholePixels, within, zoomed } from "./view.mjs";

/**
 * @typedef {import("./desk.mjs").Desk} Desk
 * @typedef {import("./types.mjs").Place} Place
 * @typedef {import("./view.mjs").View} View
 *
 * @typedef {object} StageSetting
 * @property {Desk} desk
 * @property {import("./types.mjs").Photo} photo
 * @property {import("./texts.mjs").Say} say
 * @property {(index: number) => string} lengthOf
 * @property {ReturnType<typeof import("./actions.mjs").makeActions>} actions
 * @property {ReturnType<typeof import("./snapping.mjs").makeSnapping>} snapping
 */

const FINE_LOOK = 1.2;

/** How far an arrow key moves the photo where it moves no point. */
const KEY_PAN_PX = 40;

/** A layout's arithmetic is in 1/64 px: what is less than half of that is no shift. */
const NO_SHIFT_PX = 1 / 128;

/** @param {StageSetting} setting */
export function makeStage({ desk, photo, say, lengthOf, actions, snapping }) {
  const size = photo.size_px;
  const layer = makePhotoLayer(photo, say("stage.photo", { name: desk.elevation().name }));
  const overlay = makeOverlay(say, lengthOf);
  const loupe = makeLoupe(photo, say("loupe.fine"));
  const element = make("div", {
    class: "dr-stage", tabindex: 0, role: "application",
    "aria-label": say("stage.name", { name: desk.elevation().name }),
    "aria-describedby": "dr-stage-help",
  }, layer.element, overlay.element, loupe.element);

  const shift = { left: 0, top: 0 };
  desk.change({ size });
  const smallest = () => whole(size, desk.state().stage).scale * SMALLEST_SHARE;

  /** @param {View} view */
  function show(view) {
    const held = kept(view, size, desk.state().stage);
    desk.change({ view: onWholePixels(held, globalThis.devicePixelRatio || 1) });
  }
  const showWhole = () => show(whole(size, desk.state().stage));

  /** @type {(factor: number, place?: Place) => void} */
  function zoom(factor, place) {
    const { view, stage } = desk.state();
    show(zoomed(view, place ?? [stage[0] / 2, stage[1] / 2], factor, smallest()));
  }

  function handles() {
    const { view, selected } = desk.state();
    return shapesOf(desk.elevation())
      .filter((shape) => open(shape, selected))
      .flatMap((shape) =>
        shape.picks.map((pick, at) => ({ id: shape.id, at, place: toScreen(view, pick) })));
  }

  /** @param {string} id */
  const bendHandles = (id) => {
    const shape = shapeOf(desk.elevation(), id);
    if (!shape || !bends(shape)) return [];
    const { view } = desk.state();
    return middlesOf(shape.picks.map((pick) => toScreen(view, pick))).map((m) => ({ id, ...m }));
  };

  /** A tap where no handle is: a candidate, a proposal, a shape, or nothing. */
  function tap(/** @type {Place} */ place, /** @type {string} */ pointer) {
    const { view, choice, found } = desk.state();
    const reach = reachOf(pointer);
    const at = (/** @type {readonly import("./types.mjs").Point[]} */ picks) =>
      picks.map((pick) => toScreen(view, pick));
    if (choice) {
      const edges = choice.candidates.map((one, i) => ({ id: String(i), places: at(one.ends), closed: false }));
      const hit = nearestEdge(edges, place, reach);
      if (hit) return snapping.choose(Number(hit.id));
    }
    // Edges lie closer together than a finger: within its reach the surest is meant.
    const proposal = (found?.proposals ?? [])
      .filter((one) => nearestEdge([{ id: "", places: at(one.picks), closed: false }], place, reach))
      .reduce((best, one) => (best && best.confidence >= one.confidence ? best : one),
        /** @type {import("./types.mjs").Proposal | null} */ (null));
    if (proposal) return actions.accept(proposal);
    const shapes = shapesOf(desk.elevation());
    const edges = shapes.flatMap((shape) =>
      shape.form === "marks"
        ? shape.picks.map((pick) => ({ id: shape.id, places: at([pick, pick]), closed: false }))
        : [{ id: shape.id, places: at(shape.picks), closed: shape.form === "closed" }]);
    desk.change({ selected: nearestEdge(edges, place, reach)?.id ?? null, at: null });
  }

  attachGestures(element, {
    press(place, event) {
      const { tool, selected } = desk.state();
      const steady = event.pointerType !== "touch";
      if (tool !== "look") return pickStroke(desk, place, steady, actions.put);
      const reach = reachOf(event.pointerType);
      const handle = nearestHandle(handles(), place, reach, selected);
      const onDone = (/** @type {string} */ id) => void snapping.snap(id);
      if (handle) {
        focusHandle(handle.id, handle.at);
        return gripStroke(desk, { kind: "handle", ...handle }, place, steady, () => {});
      }
      const bend = selected ? nearestHandle(bendHandles(selected), place, reach, selected) : null;
      if (bend) return gripStroke(desk, { kind: "bend", ...bend }, place, steady, onDone);
      return panStroke(desk, place, show, (at) => tap(at, event.pointerType));
    },
    pan: (place) => panStroke(desk, place, show),
    pinch(from) {
      const { view } = desk.state();
      return (to) => show(pinched(view, from, to, smallest()));
    },
    wheel: (place, factor) => zoom(factor, place),
    hover(place) {
      const { tool, view, picks } = desk.state();
      if (tool === "look") return;
      if (!place) desk.change({ float: null, loupe: null });
      else {
        const point = within(size, toImage(view, place));
        const far = picks.length > 0 || view.scale < FINE_LOOK;
        desk.change({ float: point, loupe: far ? { point, place, fine: false } : null });
      }
    },
  });

  /** @type {(id: string, at: number) => void} */
  function focusHandle(id, at) {
    const wanted = `[data-shape="${CSS.escape(id)}"][data-at="${at}"]`;
    /** @type {SVGElement | null} */ (element.querySelector(wanted))?.focus({ preventScroll: true });
  }

  element.addEventListener("focusin", ({ target }) => {
    const { shape, at } = /** @type {SVGElement} */ (target).dataset ?? {};
    if (shape && at) desk.change({ selected: shape, at: Number(at) });
  });

  element.addEventListener("keydown", (event) => {
    const meaning = meaningOf(pressOf(event));
    if (meaning && act(meaning, event)) {
      event.preventDefault();
      event.stopPropagation();
    }
  });

  /** @type {(meaning: import("./keyboard.mjs").Meaning, event: KeyboardEvent) => boolean} */
  function act(meaning, event) {
    const { tool } = desk.state();
    const { shape, at } = /** @type {SVGElement} */ (event.target).dataset;
    switch (meaning.type) {
      case "undo": desk.undo(); break;
      case "redo": desk.redo(); break;
      case "zoom": zoom(meaning.factor); break;
      case "whole": showWhole(); break;
      case "nudge":
        if (tool !== "look") {
          aimBy(meaning.dx, meaning.dy);
          break;
        }
        // The focus says which pick is meant, whatever an answer has chosen since.
        if (shape && at) desk.change({ selected: shape, at: Number(at) });
        if (!at || !actions.nudge(meaning.dx, meaning.dy)) {
          show(panned(desk.state().view, -meaning.dx * KEY_PAN_PX, -meaning.dy * KEY_PAN_PX));
        }
        break;
      case "enter":
        if (tool !== "look") putAtAim();
        else if (shape) desk.change({ selected: shape });
        else return false;
        break;
      case "delete":
        if (!shape) return false;
        element.focus();
        desk.change({ selected: shape, at: at ? Number(at) : null });
        actions.remove();
        break;
      case "leave":
        if (tool !== "look") actions.take("look");
        else desk.change({ choice: null, selected: null, at: null, pending: null });
        break;
      case "choose": snapping.choose(meaning.index); break;
    }
    return true;
  }

  /** The keyboard's aim: it begins in the middle of the stage. */
  function aim() {
    const { float, view, stage } = desk.state();
    return float ?? toImage(view, [stage[0] / 2, stage[1] / 2]);
  }

  /** @type {(dx: number, dy: number) => void} */
  function aimBy(dx, dy) {
    const from = aim();
    const point = within(size, [from[0] + dx, from[1] + dy]);
    desk.change({ float: point, loupe: { point, place: toScreen(desk.state().view, point), fine: false } });
  }

  function putAtAim() {
    const point = aim();
    actions.put([...desk.state().picks, point]);
  }

  desk.onDraw((state) => {
    layer.show(state.view, state.stage);
    const inside = element.contains(document.activeElement);
    overlay.draw(state, desk.elevation());
    // A step back may take out what has the keyboard; the next step back must still work.
    if (inside && !element.contains(document.activeElement)) element.focus({ preventScroll: true });
    loupe.draw(state, desk.elevation());
    element.classList.toggle("dr-drawing", state.tool !== "look");
  });

  return {
    element,
    ready: layer.ready,
    zoom,
    showWhole,
    focus: () => element.focus(),
    /** @type {(clientX: number, clientY: number) => import("./types.mjs").Point} */
    pointAt(clientX, clientY) {
      const box = element.getBoundingClientRect();
      return toImage(desk.state().view, [clientX - box.left, clientY - box.top]);
    },
    /** @type {(id: string) => void} */
    showShape(id) {
      const shape = shapeOf(desk.elevation(), id);
      if (shape) show(around(shape.picks, desk.state().stage, FINE_LOOK));
      element.scrollIntoView({ block: "nearest" }); // on a phone the forms stand below
    },
    /** @type {(id: string, at: number) => void} */
    focusHandle,
    align,
    fit,
  };

  /**
   * Put the stage where CSS and device pixels begin together: between device pixels a
   * browser draws the photo up to a pixel from where it says. Texts above that grow by a
   * line move the stage and no event tells it, so this is looked at after every draw.
   */
  function align() {
    const grid = wholePixels(globalThis.devicePixelRatio || 1);
    const box = element.getBoundingClientRect();
    // Scrolling goes by device pixels and does no harm.
    const at = { left: box.left + globalThis.scrollX, top: box.top + globalThis.scrollY };
    for (const side of /** @type {const} */ (["left", "top"])) {
      const off = Math.round(at[side] / grid) * grid - at[side];
      if (Math.abs(off) < NO_SHIFT_PX) continue;
      shift[side] += off;
      element.style[side] = `${shift[side]}px`;
    }
  }

  /** Follow the size of the stage. */
  function fit() {
    align();
    const before = desk.state().stage;
    /** @type {readonly [number, number]} */
    const stage = [element.clientWidth, element.clientHeight];
    if (stage[0] < 2 || stage[1] < 2) return;
    const first = before[0] === 1;
    desk.change({ stage });
    if (first || before[0] !== stage[0] || before[1] !== stage[1]) {
      if (first) showWhole();
      else recentre(before, stage);
    }
  }

  /** @type {(before: readonly [number, number], stage: readonly [number, number]) => void} */
  function recentre(before, stage) {
    const { view } = desk.state();
    const was = whole(size, before).scale;
    if (Math.abs(view.scale - was) < 1e-6) return showWhole();
    show({ ...view, x: view.x + (stage[0] - before[0]) / 2, y: view.y + (stage[1] - before[1]) / 2 });
  }
}
