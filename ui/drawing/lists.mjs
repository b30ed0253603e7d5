/**
 * The lists beside the stage: lines with their lengths, references, soffits, and what was
 * found in the photo.
 */
import { fitting } from "./actions.mjs";
import { make, match, tell } from "./dom.mjs";
import { referenceName } from "./names.mjs";

/**
 * @typedef {import("./desk.mjs").State} State
 * @typedef {import("./types.mjs").Elevation} Elevation
 * @typedef {import("./texts.mjs").Say} Say
 * @typedef {{id: string, name: string, note: string, tone: "" | "doubt", selected: boolean}} Row
 */

/**
 * A titled list of things that can be selected.
 * @param {string} title
 * @param {string} empty what is said while there is nothing
 * @param {(id: string) => void} onSelect
 */
export function makeList(title, empty, onSelect) {
  const rows = make("ul", { class: "dr-rows" });
  const none = make("p", { class: "dr-quiet" }, empty);
  const count = make("span", { class: "dr-count" });
  const element = make("section", { class: "dr-card" },
    make("h3", {}, title, count), none, rows);

  /** @param {readonly Row[]} items */
  function show(items) {
    none.hidden = items.length > 0 || empty === "";
    element.hidden = items.length === 0 && empty === "";
    tell(count, items.length > 1 ? String(items.length) : "");
    match(rows, items, (row) => row.id, createRow, updateRow);
  }

  /** @type {(row: Row) => HTMLLIElement} */
  const createRow = ({ id }) =>
    make("li", {},
      make("button", { type: "button", class: "dr-row", onclick: () => onSelect(id) },
        make("span", { class: "dr-row-name" }), make("span", { class: "dr-row-note" })));

  /** @type {(item: HTMLLIElement, row: Row) => void} */
  function updateRow(item, { name, note, tone, selected }) {
    const button = item.firstElementChild;
    const [first, second] = button?.children ?? [];
    if (first) tell(first, name);
    if (second) {
      tell(second, note);
      second.className = `dr-row-note${tone ? ` dr-${tone}` : ""}`;
    }
    button?.setAttribute("aria-pressed", String(selected));
  }
  return { element, show };
}

/** @type {(state: State, elevation: Elevation, say: Say, lengthOf: (i: number) => string) => Row[]} */
export const lineRows = ({ selected, measured }, elevation, say, lengthOf) =>
  (elevation.lines ?? []).map((line, index) => {
    const refused = measured?.lines?.[index]?.refused;
    return {
      id: `lines/${index}/picks`,
      name: line.name,
      note: lengthOf(index) || refused || say("line.unmeasured"),
      tone: refused ? /** @type {const} */ ("doubt") : "",
      selected: selected === `lines/${index}/picks`,
    };
  });

/** @type {(state: State, elevation: Elevation, say: Say) => Row[]} */
export const referenceRows = ({ selected, measured }, elevation, say) =>
  (elevation.references ?? []).map((reference, index) => {
    const told = measured?.references?.find((one) => one.index === index);
    return {
      id: `references/${index}`,
      name: referenceName(say, reference),
      note: told?.said ?? say(`kind.${reference.kind}`),
      tone: told?.suspect ? /** @type {const} */ ("doubt") : "",
      selected: Boolean(selected?.startsWith(`references/${index}/`)),
    };
  });

/** @type {(state: State, elevation: Elevation, say: Say) => Row[]} */
export const soffitRows = ({ selected, measured }, elevation, say) =>
  (elevation.soffits ?? []).map((soffit, index) => ({
    id: `soffits/${index}`,
    name: soffit.name,
    note: soffitNote(measured?.soffits?.find((one) => one.name === soffit.name), say),
    tone: "",
    selected: Boolean(selected?.startsWith(`soffits/${index}/`)),
  }));

/** @type {(soffit: NonNullable<import("./types.mjs").Measured["soffits"]>[number] | undefined, say: Say) => string} */
const soffitNote = (soffit, say) =>
  soffit?.height_said && soffit.height_above === "ground"
    ? say("soffit.height", { said: soffit.said, height: soffit.height_said })
    : (soffit?.said ?? "");

/**
 * What was found in the photo, to take up or to leave.
 * @param {Say} say
 * @param {ReturnType<typeof import("./actions.mjs").makeActions>} actions
 */
export function makeFoundList(say, actions) {
  const rows = make("ul", { class: "dr-rows" });
  const notes = make("ul", { class: "dr-cautions" });
  const all = make("button", { type: "button", class: "dr-main", onclick: actions.acceptAll });
  const each = make("details", {}, make("summary", {}, say("found.each")), rows);
  const element = make("section", { class: "dr-card", hidden: true },
    make("h3", {}, say("found.title")), notes, all, each);

  /** @type {(state: State) => void} */
  function show({ found }) {
    const items = found
      ? [
          ...found.references.map((one) => ({ one, use: () => actions.confirm(one), name: one.said })),
          ...found.proposals.map((one) => ({ one, use: () => actions.accept(one), name: one.said })),
        ]
      : [];
    const told = found?.notes ?? [];
    element.hidden = items.length === 0 && told.length === 0;
    match(notes, told, (text) => text, (text) => make("li", {}, text), () => {});
    const { references, proposals } = fitting(found);
    const count = references.length + proposals.length;
    all.hidden = count < 2;
    tell(all, say("found.all", { count }));
    each.hidden = items.length === 0;
    if (all.hidden && !each.hidden) each.open = true;
    rows.replaceChildren(...items.map(({ one, use, name }, index) =>
      make("li", { class: "dr-offer" },
        make("span", { class: "dr-offered" }, make("b", { class: "dr-number" }, String(index + 1)), name),
        make("span", { class: "dr-buttons" },
          make("button", { type: "button", class: "dr-main", onclick: use, "aria-label": say("found.use.named", { name }) }, say("found.use")),
          make("button", { type: "button", onclick: () => actions.dismiss(one), "aria-label": say("found.leave.named", { name }) }, say("found.leave"))))));
  }
  return { element, show };
}

/**
 * What has to be kept in mind beside the lengths.
 * @param {Say} say
 */
export function makeCautions(say) {
  const rows = make("ul", { class: "dr-cautions" });
  const element = make("section", { class: "dr-card", hidden: true },
    make("h3", {}, say("cautions.title")), rows);
  /** @type {(state: State) => void} */
  function show({ measured }) {
    const texts = measured?.cautions ?? [];
    element.hidden = texts.length === 0;
    match(rows, texts, (text) => text, (text) => make("li", {}, text), () => {});
  }
  return { element, show };
}
