/**
 * The form of a reference: what the tape read, what was counted. Used for a new one, that
 * waits for its size, and for one to be corrected.
 */
import { make, tell } from "./dom.mjs";
import { button, choiceField, field, lengthField, textField } from "./fields.mjs";
import { sizeSaid } from "./lengths.mjs";
import { without, withPatch } from "./model.mjs";
import { morePart } from "./reference_more.mjs";
import { TOOLS, toolOf } from "./tools.mjs";

/**
 * @typedef {import("./line_form.mjs").FormSetting} FormSetting
 * @typedef {import("./types.mjs").Reference} Reference
 * @typedef {{elements: HTMLElement[], read: () => Record<string, unknown> | null}} Part
 *   null: something is missing or wrong, and said so
 */

/** @type {(setting: FormSetting, reference: Reference) => Part} */
function distancePart({ say, unit }, reference) {
  const length = lengthField({ label: say("distance.length"), value: sizeSaid(reference.length_mm, unit), unit, wrong: say("form.no_length"), hint: say("distance.hint") });
  const directions = ["level", "plumb", "free"].map((value) => ({ value, text: say(`distance.${value}`) }));
  const direction = choiceField(say("distance.direction"), directions, reference.direction ?? "level", () => {});
  return {
    elements: [length.element, direction.element],
    read() {
      const mm = length.read();
      if (!mm) {
        length.input.focus();
        return null;
      }
      return { length_mm: mm, direction: direction.input.value };
    },
  };
}

/** @type {(setting: FormSetting, reference: Reference) => Part} */
function rectanglePart({ say, unit }, reference) {
  const wrong = say("form.no_length");
  const width = lengthField({ label: say("rectangle.width"), value: sizeSaid(reference.width_mm, unit), unit, wrong });
  const height = lengthField({ label: say("rectangle.height"), value: sizeSaid(reference.height_mm, unit), unit, wrong });
  return {
    elements: [make("div", { class: "dr-pair" }, width.element, height.element),
      make("p", { class: "dr-hint" }, say("rectangle.hint"))],
    read() {
      const sizes = [width.read(), height.read()];
      if (sizes.includes(undefined) || sizes.every((size) => size === null)) {
        width.input.focus();
        return null;
      }
      return { width_mm: sizes[0] ?? undefined, height_mm: sizes[1] ?? undefined };
    },
  };
}

/** @type {(setting: FormSetting, reference: Reference) => Part} */
function coursesPart({ say, unit, formats }, reference) {
  const along = reference.direction === "along";
  const inputs = (reference.picks ?? []).map((_, index) =>
    make("input", { type: "number", step: 1, inputmode: "numeric", value: reference.counts?.[index] ?? (index === 0 ? 0 : "") }));
  const counts = make("fieldset", { class: "dr-counts" },
    make("legend", {}, say(along ? "courses.counts.along" : "courses.counts.up")),
    ...inputs.map((input, index) => field(say("courses.pick", { number: index + 1 }), input)));
  const complaint = make("p", { class: "dr-complaint", role: "alert" });
  const known = formats.map(({ name, said }) => ({ value: name, text: said }));
  const format = choiceField(say("courses.format"), [{ value: "", text: say("courses.format.none") }, ...known], reference.format ?? "", () => {});
  const wrong = say("form.no_length");
  const gauge = lengthField({ label: say(along ? "courses.gauge.along" : "courses.gauge.up"), value: sizeSaid(reference.gauge_mm, unit), unit, wrong });
  const run = make("input", { type: "number", step: 1, min: 1, inputmode: "numeric", value: reference.taped_count ?? "" });
  const taped = lengthField({ label: say("courses.taped"), value: sizeSaid(reference.taped_mm, unit), unit, wrong });

  return {
    elements: [counts, complaint, ...(known.length ? [format.element] : []),
      make("div", { class: "dr-pair" }, field(say("courses.taped_count"), run), taped.element),
      make("p", { class: "dr-hint" }, say("courses.hint")), gauge.element],
    read() {
      const numbers = inputs.map((input) => (input.value === "" ? NaN : Number(input.value)));
      const [gaugeMm, tapedMm] = [gauge.read(), taped.read()];
      const sized = format.input.value || gaugeMm || (tapedMm && run.value);
      const distinct = new Set(numbers).size > 1 && !numbers.some(Number.isNaN);
      tell(complaint, !distinct ? say("courses.no_counts") : !sized ? say("courses.no_gauge") : "");
      if (!distinct || !sized || gaugeMm === undefined || tapedMm === undefined) return null;
      return {
        counts: numbers,
        format: format.input.value || undefined,
        gauge_mm: gaugeMm ?? undefined,
        taped_count: tapedMm && run.value ? Number(run.value) : undefined,
        taped_mm: tapedMm && run.value ? tapedMm : undefined,
      };
    },
  };
}

/** @type {(setting: FormSetting, reference: Reference) => Part} */
function sizePart(setting, reference) {
  if (reference.kind === "distance") return distancePart(setting, reference);
  if (reference.kind === "rectangle") return rectanglePart(setting, reference);
  if (reference.kind === "courses") return coursesPart(setting, reference);
  return { elements: [], read: () => ({}) };
}

/** Size, and how sure it is and where. @type {(setting: FormSetting, reference: Reference) => Part} */
function wholePart(setting, reference) {
  const parts = [sizePart(setting, reference), morePart(setting, reference)];
  return {
    elements: parts.flatMap((part) => part.elements),
    read() {
      const values = parts.map((part) => part.read());
      return values.includes(null) ? null : Object.assign({}, ...values);
    },
  };
}

/**
 * The form of a reference that was picked and waits for its size.
 * @type {(setting: FormSetting, tool: string, picks: readonly import("./types.mjs").Point[]) => HTMLElement}
 */
export function newReferenceForm(setting, tool, picks) {
  const { desk, say, actions } = setting;
  const made = TOOLS[tool];
  const reference = /** @type {Reference} */ (made?.make(picks) ?? { kind: "" });
  const part = wholePart(setting, reference);
  const form = make("form", { class: "dr-form", novalidate: true },
    make("h3", {}, say(`reference.${tool}`)), ...part.elements,
    make("div", { class: "dr-buttons" },
      make("button", { type: "submit", class: "dr-main" }, say("form.put_in")),
      button(say("form.drop"), () => desk.change({ pending: null }))));
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const sizes = part.read();
    if (sizes) actions.add("references", { ...reference, ...defined(sizes), ...actions.named(tool) });
  });
  return form;
}

/** @type {(setting: FormSetting, index: number) => HTMLElement} */
export function referenceForm(setting, index) {
  const { desk, say } = setting;
  const reference = desk.elevation().references?.[index];
  if (!reference) return make("div");
  const part = wholePart(setting, reference);
  const name = textField(say("reference.name"), reference.name ?? "", (value) =>
    desk.commit(withPatch(desk.elevation(), "references", index, { name: value || undefined })));
  const form = make("form", { class: "dr-form", novalidate: true },
    make("p", { class: "dr-quiet" }, say(`reference.${toolOf(reference)}`)),
    name.element, ...part.elements,
    make("div", { class: "dr-buttons" },
      ...(part.elements.length ? [make("button", { type: "submit", class: "dr-main" }, say("form.keep"))] : []),
      button(say("form.delete"), () => {
        desk.change({ selected: null, at: null });
        desk.commit(without(desk.elevation(), "references", index));
      }, "dr-danger")));
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const sizes = part.read();
    if (sizes) desk.commit(withPatch(desk.elevation(), "references", index, sizes));
  });
  return form;
}

/** @type {(values: Record<string, unknown>) => Record<string, unknown>} */
const defined = (values) =>
  Object.fromEntries(Object.entries(values).filter(([, value]) => value !== undefined));
