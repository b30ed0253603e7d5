/**
 * Lines, references, handles and lengths over the photo. Elements are kept between draws,
 * so that the keyboard stays where it is.
 */
import { give, make, makeSvg, match, tell } from "./dom.mjs";
import { handleName, shapeName } from "./names.mjs";
import { placeLabels } from "./labels.mjs";
import { drawNumbers } from "./numbers.mjs";
import { bends, shapesOf } from "./model.mjs";
import { askedAbout } from "./questions.mjs";
import { TOOLS } from "./tools.mjs";
import { toScreen } from "./view.mjs";

/**
 * @typedef {import("./desk.mjs").State} State
 * @typedef {import("./desk.mjs").Desk} Desk
 * @typedef {import("./model.mjs").Shape} Shape
 * @typedef {import("./types.mjs").Place} Place
 * @typedef {import("./types.mjs").Point} Point
 * @typedef {import("./types.mjs").Elevation} Elevation
 * @typedef {(index: number) => string} LengthSaid
 */

const LABEL_HEIGHT = 28;
const LABEL_PADDING = 18;

/** Whether a shape's handles can be taken without selecting it first. */
export const open = (/** @type {Shape} */ shape, /** @type {string | null} */ selected) =>
  shape.list !== "references" || shape.id === selected;

/** @type {(places: readonly Place[]) => string} */
const joined = (places) => places.map(([x, y]) => `${x.toFixed(2)},${y.toFixed(2)}`).join(" ");

/** Width of a text, remembered: measuring makes the browser lay out the page. */
function ruler() {
  const context = document.createElement("canvas").getContext("2d");
  /** @type {Map<string, number>} */
  const widths = new Map();
  return (/** @type {string} */ text) => {
    let width = widths.get(text);
    if (width === undefined) {
      if (context) context.font = "650 14px system-ui, sans-serif";
      width = Math.ceil(context?.measureText(text).width ?? text.length * 8);
      if (widths.size > 2000) widths.clear();
      widths.set(text, width);
    }
    return width;
  };
}

/**
 * @param {import("./texts.mjs").Say} say
 * @param {LengthSaid} lengthOf
 * @returns {{element: HTMLElement, draw: (state: State, elevation: Elevation) => void}}
 */
export function makeOverlay(say, lengthOf) {
  const found = makeSvg("g", { class: "dr-found" });
  const numbers = makeSvg("g", {});
  const shapes = makeSvg("g", { role: "group", "aria-label": say("stage.shapes") });
  const draft = makeSvg("g", { class: "dr-draft" });
  const choice = makeSvg("g", { class: "dr-choice" });
  const leaders = makeSvg("g", {});
  const drawing = makeSvg("svg", { class: "dr-svg" }, leaders, found, shapes, draft, choice, numbers);
  const labels = make("div", { class: "dr-labels", "aria-hidden": "true" });
  const element = make("div", { class: "dr-overlay" }, drawing, labels);
  const widthOf = ruler();

  /** @type {(state: State, elevation: Elevation) => void} */
  function draw(state, elevation) {
    const { view, stage, selected } = state;
    give(drawing, { viewBox: `0 0 ${stage[0]} ${stage[1]}`, width: stage[0], height: stage[1] });
    const at = (/** @type {Point} */ point) => toScreen(view, point);
    const all = shapesOf(elevation);
    match(shapes, all, (shape) => shape.id, createShape, (group, shape) =>
      updateShape(group, shape, { at, selected, say, said: saidOf(shape) }));
    drawFound(found, state, elevation, at);
    drawNumbers(numbers, state, at);
    drawDraft(draft, state, at);
    drawChoice(choice, state, at);
    drawLabels(all, state, at);
  }

  /** @type {(shape: Shape) => string} */
  const saidOf = (shape) => (shape.list === "lines" ? lengthOf(shape.index) : "");

  /** @type {(all: readonly Shape[], state: State, at: (point: Point) => Place) => void} */
  function drawLabels(all, { selected, stage }, at) {
    const texts = new Map();
    /** @type {import("./labels.mjs").Wanted[]} */
    const wanted = [];
    for (const shape of all) {
      const text = saidOf(shape);
      if (!text) continue;
      texts.set(shape.id, text);
      wanted.push({
        id: shape.id,
        places: shape.picks.map(at),
        width: widthOf(text) + LABEL_PADDING,
        height: LABEL_HEIGHT,
        first: shape.id === selected,
      });
    }
    const placed = placeLabels(wanted, stage);
    const led = placed.flatMap(({ id, x, y, from }) => {
      const box = wanted.find((one) => one.id === id);
      return from && box ? [{ key: id, line: [from, [x + box.width / 2, y + box.height / 2]] }] : [];
    });
    match(leaders, led, ({ key }) => key, () => makeSvg("polyline", { class: "dr-leader" }),
      (element, { line }) => give(element, { points: joined(/** @type {Place[]} */ (line)) }));
    match(labels, placed, (label) => label.id,
      () => make("div", { class: "dr-label" }),
      (label, { id, x, y }) => {
        label.style.transform = `translate(${x}px, ${y}px)`;
        label.classList.toggle("dr-selected", id === selected);
        tell(label, texts.get(id));
      });
  }
  return { element, draw };
}

/** @type {(shape: Shape) => SVGGElement} */
function createShape(shape) {
  const group = makeSvg("g", {});
  const line = shape.form === "closed" ? "polygon" : "polyline";
  const picture = makeSvg("g", { class: "dr-shape", role: "button", "data-shape": shape.id });
  if (shape.form !== "marks") {
    picture.append(makeSvg(line, { class: "dr-casing" }), makeSvg(line, { class: "dr-core" }));
  }
  group.append(picture, makeSvg("g", { class: "dr-handles" }));
  return group;
}

/**
 * @param {SVGGElement} group
 * @param {Shape} shape
 * @param {{at: (point: Point) => Place, selected: string | null,
 *   say: import("./texts.mjs").Say, said: string}} how
 */
function updateShape(group, shape, { at, selected, say, said }) {
  const places = shape.picks.map(at);
  const [picture, handles] = /** @type {SVGGElement[]} */ ([...group.children]);
  if (!picture || !handles) return;
  const chosen = shape.id === selected;
  give(group, {
    class: `dr-${shape.list} dr-kind-${shape.kind}${chosen ? " dr-selected" : ""}`,
  });
  give(picture, {
    tabindex: shape.form === "marks" && !places.length ? null : "0",
    "aria-label": shapeName(say, shape, said),
    "aria-pressed": String(chosen),
  });
  const points = joined(places);
  if (shape.form === "marks") drawMarks(picture, shape, places, chosen);
  else for (const line of picture.children) give(line, { points });
  drawHandles(handles, shape, places, { chosen, shown: open(shape, selected), say });
}

/** @type {(picture: SVGGElement, shape: Shape, places: readonly Place[], chosen: boolean) => void} */
function drawMarks(picture, shape, places, chosen) {
  match(picture, places.map((place, index) => ({ place, index })), ({ index }) => `${index}`,
    () => makeSvg("g", { class: "dr-mark" }, makeSvg("circle", { r: 3.5 }), makeSvg("text", { x: 8, y: 4 })),
    (mark, { place: [x, y], index }) => {
      give(mark, { transform: `translate(${x.toFixed(2)} ${y.toFixed(2)})` });
      const text = mark.lastElementChild;
      if (text) tell(text, shape.counts && chosen ? String(shape.counts[index] ?? "") : "");
    });
}

/**
 * @param {SVGGElement} handles
 * @param {Shape} shape
 * @param {readonly Place[]} places
 * @param {{chosen: boolean, shown: boolean, say: import("./texts.mjs").Say}} how
 */
function drawHandles(handles, shape, places, { chosen, shown, say }) {
  const ends = shown ? places.map((place, at) => ({ kind: "handle", at, place })) : [];
  const bendable = chosen && bends(shape);
  const middles = bendable ? middlesOf(places).map((m) => ({ kind: "bend", ...m })) : [];
  match(handles, [...ends, ...middles], ({ kind, at }) => `${kind} ${at}`,
    ({ kind, at }) =>
      makeSvg("g", {
        class: `dr-${kind}`,
        ...(kind === "handle"
          ? { tabindex: 0, role: "button", "data-shape": shape.id, "data-at": at }
          : {}),
      }, makeSvg("circle", { class: "dr-ring", r: 14 }), makeSvg("circle", { class: "dr-dot", r: kind === "handle" ? 5.5 : 4 })),
    (handle, { kind, at, place: [x, y] }) => {
      give(handle, { transform: `translate(${x.toFixed(2)} ${y.toFixed(2)})` });
      const pick = shape.picks[at];
      if (kind === "handle" && pick) {
        give(handle, { "aria-label": handleName(say, shape, at, pick) });
      }
    });
}

/**
 * The middles of pieces long enough for a handle between two others.
 * @param {readonly Place[]} places
 * @returns {{at: number, place: Place}[]}
 */
export function middlesOf(places) {
  const least = 88; // two touch targets: shorter pieces would be all handle
  return places.slice(1).flatMap((to, at) => {
    const from = places[at];
    if (!from || Math.hypot(to[0] - from[0], to[1] - from[1]) < least) return [];
    return [{ at, place: /** @type {Place} */ ([(from[0] + to[0]) / 2, (from[1] + to[1]) / 2]) }];
  });
}

/** @type {(group: SVGGElement, state: State, elevation: Elevation, at: (point: Point) => Place) => void} */
function drawFound(group, state, elevation, at) {
  const { found } = state;
  const asked = found ? askedAbout(state, elevation) : new Map();
  const lines = (found?.references ?? []).flatMap((one, index) =>
    one.drawn.lines.map((line, part) => ({ key: `r${index} ${part}`, line, kind: "dr-found-reference" })));
  const offered = new Set([...(found?.proposals ?? []), ...asked.keys()]);
  const proposals = [...offered].map((one, index) => ({
    key: `p${index}`, line: one.picks,
    kind: `dr-proposal${asked.has(one) ? ` dr-candidate dr-candidate-${asked.get(one)}` : ""}` }));
  drawLines(group, [...lines, ...proposals], at);
}

/** @type {(group: SVGGElement, state: State, at: (point: Point) => Place) => void} */
function drawChoice(group, { choice }, at) {
  const lines = (choice?.candidates ?? []).map((one, index) => ({
    key: `${index}`, line: one.ends, kind: `dr-candidate dr-candidate-${index}` }));
  drawLines(group, lines, at);
}

/**
 * @param {SVGGElement} group
 * @param {readonly {key: string, line: readonly Point[], kind: string}[]} lines
 * @param {(point: Point) => Place} at
 */
function drawLines(group, lines, at) {
  match(group, lines, ({ key }) => key,
    ({ kind }) => makeSvg("g", { class: kind }, makeSvg("polyline", { class: "dr-casing" }), makeSvg("polyline", { class: "dr-core" })),
    (element, { line, kind }) => {
      give(element, { class: kind });
      const points = joined(line.map(at));
      for (const child of element.children) give(child, { points });
    });
}

/** @type {(group: SVGGElement, state: State, at: (point: Point) => Place) => void} */
function drawDraft(group, { tool, picks, float, pending, joining }, at) {
  const made = TOOLS[pending?.tool ?? tool];
  const points = pending?.picks ?? (float ? [...picks, float] : picks);
  const places = made ? points.map(at) : [];
  const pieces = tool === "soffit"
    ? [places.slice(0, 2), places.slice(2)]
    : [made?.form === "closed" && places.length > 2 ? [...places, ...places.slice(0, 1)] : places];
  const lines = made?.form === "marks" ? [] : pieces.filter((piece) => piece.length > 1);
  const items = [
    ...lines.map((line, index) => ({ key: `line ${index}`, line })),
    ...places.map((place, index) => ({ key: `dot ${index}`, line: [place] })),
  ];
  match(group, items, ({ key }) => key,
    ({ key }) => key.startsWith("line")
      ? makeSvg("g", {}, makeSvg("polyline", { class: "dr-casing" }), makeSvg("polyline", { class: "dr-core" }))
      : makeSvg("g", { class: "dr-cross" }, makeSvg("path", { class: "dr-casing", d: CROSS }), makeSvg("path", { class: "dr-core", d: CROSS })),
    (element, { key, line }) => {
      if (key.startsWith("line")) {
        for (const child of element.children) give(child, { points: joined(line) });
      } else {
        const [x, y] = line[0] ?? [0, 0];
        const last = key === `dot ${places.length - 1}`;
        give(element, {
          transform: `translate(${x.toFixed(2)} ${y.toFixed(2)})`,
          class: last && joining ? "dr-cross dr-joining" : "dr-cross",
        });
      }
    });
}

/** An open cross: what is aimed at stays visible in its middle. */
const CROSS = "M-11 0H-3M3 0H11M0 -11V-3M0 3V11";
