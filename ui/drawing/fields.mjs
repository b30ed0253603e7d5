/**
 * Fields of the forms: a label, an input and, where it is wrong, a sentence.
 */
import { make, tell } from "./dom.mjs";
import { readLength } from "./lengths.mjs";

let count = 0;
const freshId = () => `dr-field-${(count += 1)}`;

/**
 * @param {string} label
 * @param {HTMLElement} input
 * @param {string} [hint]
 */
export function field(label, input, hint = "") {
  const id = freshId();
  input.id = id;
  const parts = [make("label", { for: id }, label), input];
  if (hint) {
    parts.push(make("p", { class: "dr-hint", id: `${id}-hint` }, hint));
    input.setAttribute("aria-describedby", `${id}-hint`);
  }
  return make("div", { class: "dr-field" }, ...parts);
}

/**
 * @param {string} label
 * @param {string} value
 * @param {(value: string) => void} onChange
 */
export function textField(label, value, onChange) {
  const input = make("input", { type: "text", value, maxlength: 200, autocomplete: "off" });
  input.addEventListener("change", () => onChange(input.value.trim()));
  return { element: field(label, input), input };
}

/**
 * @param {string} label
 * @param {readonly {value: string, text: string}[]} options
 * @param {string} value
 * @param {(value: string) => void} onChange
 */
export function choiceField(label, options, value, onChange) {
  const select = make("select", {},
    ...options.map((one) => make("option", { value: one.value, selected: one.value === value }, one.text)));
  select.addEventListener("change", () => onChange(select.value));
  return { element: field(label, select), input: select };
}

/**
 * A length as people type it.
 * @param {object} how
 * @param {string} how.label
 * @param {string} how.value
 * @param {import("./types.mjs").Unit} how.unit
 * @param {string} how.wrong sentence for what is no length
 * @param {string} [how.hint]
 * @param {(mm: number | null) => void} [how.onChange] null: left empty
 */
export function lengthField({ label, value, unit, wrong, hint = "", onChange }) {
  const input = make("input", { type: "text", value, autocomplete: "off",
    inputmode: unit === "mm" ? "decimal" : "text" });
  const complaint = make("p", { class: "dr-complaint", role: "alert" });
  const element = field(label, input, hint);
  element.append(complaint);

  /** @returns {number | null | undefined} undefined: not a length */
  function read() {
    const empty = input.value.trim() === "";
    const mm = empty ? null : (readLength(input.value, unit) ?? undefined);
    tell(complaint, mm === undefined ? wrong : "");
    input.toggleAttribute("aria-invalid", mm === undefined);
    return mm;
  }
  input.addEventListener("change", () => {
    const mm = read();
    if (mm !== undefined) onChange?.(mm);
  });
  return { element, input, read };
}

/**
 * What is needed rarely, behind a button.
 * @type {(text: string, elements: readonly HTMLElement[]) => HTMLElement[]}
 */
export function opened(text, elements) {
  const inside = make("div", { class: "dr-form", hidden: true }, ...elements);
  const opener = button(text, () => {
    inside.hidden = !inside.hidden;
    opener.setAttribute("aria-expanded", String(!inside.hidden));
    if (!inside.hidden) /** @type {HTMLElement | null} */ (inside.querySelector("input, select"))?.focus();
  });
  opener.setAttribute("aria-expanded", "false");
  return [make("div", { class: "dr-buttons" }, opener), inside];
}

/** @type {(text: string, onclick: () => void, kind?: string) => HTMLButtonElement} */
export const button = (text, onclick, kind = "") =>
  make("button", { type: "button", class: kind || null, onclick }, text);
