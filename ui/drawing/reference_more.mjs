/**
 * How sure a reference is and where it lies: what most of them need not say. A door stands
 * back in its reveal, a sheet hangs on the fascia; a tape over a bend is less sure.
 */
import { make } from "./dom.mjs";
import { choiceField, field, lengthField, opened } from "./fields.mjs";
import { sizeSaid } from "./lengths.mjs";

/**
 * @typedef {import("./line_form.mjs").FormSetting} FormSetting
 * @typedef {import("./types.mjs").Reference} Reference
 * @typedef {import("./reference_form.mjs").Part} Part
 */

/** Spreads of the job file's words, where they are left out. @type {Readonly<Record<string, [string, number | null][]>>} */
const SPREADS = Object.freeze({
  distance: [["sd_mm", 3]],
  rectangle: [["sd_mm", 3]],
  courses: [["taped_sd_mm", 3], ["gauge_sd_mm", null]],
});

/** Directions say the same at any depth; these do not. */
const PLACED = new Set(["distance", "rectangle", "courses", "points"]);

/** How well a depth is known that was measured with a rule. Common practice, no source. */
const USUAL_SD_MM = 10;

/** @type {(setting: FormSetting, reference: Reference) => Part} */
export function morePart(setting, reference) {
  const parts = [spreads(setting, reference), turned(setting, reference), place(setting, reference)];
  const elements = parts.flatMap((part) => part.elements);
  return {
    elements: elements.length ? opened(setting.say("reference.more"), elements) : [],
    read() {
      const values = parts.map((part) => part.read());
      return values.includes(null) ? null : Object.assign({}, ...values);
    },
  };
}

/** @type {(setting: FormSetting, reference: Reference) => Part} */
function spreads({ say, unit }, reference) {
  const inputs = (SPREADS[reference.kind] ?? []).map(([word, usual]) => {
    const stated = /** @type {any} */ (reference)[word] ?? null;
    const input = lengthField({ label: say(`sd.${word}`), value: sizeSaid(stated ?? usual, unit), unit, wrong: say("form.no_length") });
    const before = input.input.value;
    return { word, stated, input, isSame: () => input.input.value === before };
  });
  return {
    elements: inputs.length ? [make("div", { class: "dr-pair" }, ...inputs.map(({ input }) => input.element))] : [],
    read() {
      const values = inputs.map(({ word, stated, input, isSame }) =>
        /** @type {const} */ ([word, isSame() ? (stated ?? undefined) : input.read()]));
      // Nothing is known to the point: a spread of none is a mistake.
      const wrong = values.findIndex(([, value], at) => value === 0 || (value === undefined && !inputs[at]?.isSame()));
      inputs[wrong]?.input.input.focus();
      return wrong < 0 ? Object.fromEntries(values.map(([word, value]) => [word, value ?? undefined])) : null;
    },
  };
}

/** @type {(setting: FormSetting, reference: Reference) => Part} */
function turned({ say }, reference) {
  if (reference.kind !== "rectangle") return { elements: [], read: () => ({}) };
  const options = ["upright", "turned"].map((value) => ({ value, text: say(`rectangle.${value}`) }));
  const choice = choiceField(say("rectangle.sides"), options, reference.rotated ? "turned" : "upright", () => {});
  return {
    elements: [choice.element],
    read: () => ({ rotated: choice.input.value === "turned" ? true : undefined }),
  };
}

/** @type {(setting: FormSetting, reference: Reference) => Part} */
function place({ say, unit }, reference) {
  if (!PLACED.has(reference.kind)) return { elements: [], read: () => ({}) };
  const stated = reference.projection_mm ?? 0;
  const where = stated > 0 ? "front" : stated < 0 ? "behind" : "face";
  const wrong = say("form.no_length");
  const depth = lengthField({ label: say("place.depth"), value: stated ? sizeSaid(Math.abs(stated), unit) : "", unit, wrong });
  const sd = lengthField({ label: say("place.sd"), value: sizeSaid(reference.projection_sd_mm ?? USUAL_SD_MM, unit), unit, wrong });
  const sizes = make("div", { class: "dr-pair" }, depth.element, sd.element);
  sizes.hidden = where === "face";
  const options = ["face", "front", "behind"].map((value) => ({ value, text: say(`place.${value}`) }));
  const choice = choiceField(say("place.where"), options, where, (value) => {
    sizes.hidden = value === "face";
  });
  return {
    elements: [choice.element, sizes],
    read() {
      if (choice.input.value === "face") return { projection_mm: undefined, projection_sd_mm: undefined };
      const [mm, spread] = [depth.read(), sd.read()];
      const missing = !mm ? depth : !spread ? sd : null;
      missing?.input.focus();
      const sign = choice.input.value === "behind" ? -1 : 1;
      return missing ? null : { projection_mm: sign * Number(mm), projection_sd_mm: spread };
    },
  };
}

/** @type {(label: string, value: number | undefined, step: number) => {element: HTMLElement, input: HTMLInputElement}} */
export function numberField(label, value, step) {
  const input = make("input", { type: "number", step, min: 0, inputmode: "decimal", value: value ?? "" });
  return { element: field(label, input), input };
}
