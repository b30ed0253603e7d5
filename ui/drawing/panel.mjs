/**
 * What stands beside the stage: lists, and the form of what is selected.
 */
import { make } from "./dom.mjs";
import { lineForm } from "./line_form.mjs";
import { lineRows, makeCautions, makeFoundList, makeList, referenceRows, soffitRows } from "./lists.mjs";
import { makePhotoForm } from "./photo_form.mjs";
import { newReferenceForm, referenceForm } from "./reference_form.mjs";
import { soffitForm } from "./soffit_form.mjs";
import { shapesOf } from "./model.mjs";

/**
 * @typedef {import("./line_form.mjs").FormSetting} FormSetting
 * @typedef {import("./desk.mjs").State} State
 */

/**
 * @param {FormSetting} setting
 * @param {(index: number) => string} lengthOf
 */
export function makePanel(setting, lengthOf) {
  const { desk, say, actions } = setting;
  const select = (/** @type {string} */ id) => {
    const shape = shapesOf(desk.elevation()).find((one) => one.id === id || one.id.startsWith(`${id}/`));
    const same = shape?.id === desk.state().selected;
    desk.change({ selected: same ? null : (shape?.id ?? null), at: null, pending: null });
  };
  const lines = makeList(say("lines.title"), say("lines.none"), select);
  const references = makeList(say("references.title"), say("references.none"), select);
  const soffits = makeList(say("soffits.title"), "", select);
  const found = makeFoundList(say, actions);
  const cautions = makeCautions(say);
  const photo = makePhotoForm(setting);
  const form = make("section", { class: "dr-card dr-form-card", hidden: true });
  const element = make("div", { class: "dr-panel" }, found.element, form, lines.element, soffits.element, references.element,
    photo.element, cautions.element);

  let shownForm = "";
  /** @type {unknown[]} */
  let shown = [];

  /** @param {State} state */
  function draw(state) {
    const elevation = desk.elevation();
    const parts = [state.history, state.selected, state.measured, state.late, state.trouble,
      state.found, state.pending];
    if (state.live || parts.every((part, i) => part === shown[i])) return;
    shown = parts;
    lines.show(lineRows(state, elevation, say, lengthOf));
    references.show(referenceRows(state, elevation, say));
    soffits.show(soffitRows(state, elevation, say));
    photo.show();
    found.show(state);
    cautions.show(state);
    showForm(state);
  }

  /**
   * A form is made anew only for another shape or after another step, never while someone
   * types in it.
   * @param {State} state
   */
  function showForm({ pending, selected, history }) {
    const key = pending ? `new ${pending.tool} ${pending.picks}` : selected ? `${selected} ${stepOf(history)}` : "";
    if (key === shownForm) return;
    const inside = form.contains(document.activeElement);
    const same = !pending && selected && shownForm.startsWith(`${selected} `);
    if (inside && same && history.future.length === 0) return; // its own step: it shows it already
    shownForm = key;
    form.hidden = key === "";
    form.replaceChildren(...(key ? [contents(pending, selected)] : []));
    if (pending) /** @type {HTMLElement | null} */ (form.querySelector("input"))?.focus();
  }

  /** @type {(pending: State["pending"], selected: string | null) => HTMLElement} */
  function contents(pending, selected) {
    if (pending) return newReferenceForm(setting, pending.tool, pending.picks);
    const [list, index] = (selected ?? "").split("/");
    if (list === "lines") return lineForm(setting, Number(index));
    if (list === "soffits") return soffitForm(setting, Number(index));
    return referenceForm(setting, Number(index));
  }

  const steps = new WeakMap();
  let count = 0;
  const stepOf = (/** @type {State["history"]} */ { present }) => {
    if (!steps.has(present)) steps.set(present, (count += 1));
    return steps.get(present);
  };

  desk.onDraw(draw);
  return element;
}
