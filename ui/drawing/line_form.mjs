/**
 * The form of the selected line: name, role, how far it hangs out, and what to do with it.
 */
import { make } from "./dom.mjs";
import { button, choiceField, lengthField, textField } from "./fields.mjs";
import { sizeSaid } from "./lengths.mjs";
import { hangsAt, withHanging, withName, withPatch } from "./model.mjs";
import { ROLES } from "./texts.mjs";

/**
 * @typedef {object} FormSetting
 * @property {import("./desk.mjs").Desk} desk
 * @property {import("./texts.mjs").Say} say
 * @property {import("./types.mjs").Unit} unit
 * @property {ReturnType<typeof import("./actions.mjs").makeActions>} actions
 * @property {ReturnType<typeof import("./snapping.mjs").makeSnapping>} snapping
 * @property {(id: string) => void} showShape
 * @property {() => void} focusStage
 * @property {readonly {name: string, said: string}[]} formats of bricks
 */

const UNKNOWN = "unknown";
const KNOWN = "known";
const USUAL_SD_MM = 20;

/** @type {(setting: FormSetting, index: number) => HTMLElement} */
export function lineForm({ desk, say, unit, actions, snapping, showShape }, index) {
  const line = desk.elevation().lines?.[index];
  if (!line) return make("div");
  const id = `lines/${index}/picks`;
  const now = () => desk.elevation();
  const patch = (/** @type {Record<string, unknown>} */ change) =>
    desk.commit(withPatch(now(), "lines", index, change));

  const name = textField(say("line.name"), line.name, (value) => {
    if (value && value !== now().lines?.[index]?.name) desk.commit(withName(now(), index, value));
    else if (!value) name.input.value = now().lines?.[index]?.name ?? "";
  });
  const roles = ROLES.map((value) => ({ value, text: say(`role.${value}`) }));
  const role = choiceField(say("line.role"), roles, line.role ?? "other", (value) => {
    const plain = isFresh(now().name, line.name, line.role ?? "other");
    const renamed = plain ? withName(now(), index, actions.lineName(value)) : now();
    desk.change({ role: value });
    desk.commit(withPatch(renamed, "lines", index, { role: value }));
  });
  /** @type {(elevation: string, called: string, was: string) => boolean} */
  const isFresh = (elevation, called, was) =>
    called.startsWith(say("name.fresh", { elevation, role: say(`role.${was}`) }));

  return make("div", { class: "dr-form" }, name.element, role.element,
    hanging(), acts());

  function hanging() {
    const soffits = (now().soffits ?? []).map((one) => ({
      value: `soffit ${one.name}`, text: say("line.hangs.soffit", { name: one.name }),
    }));
    const at = hangsAt(now(), line?.name ?? "");
    const stated = line?.projection_mm !== null && line?.projection_mm !== undefined;
    const value = at ? `soffit ${at}` : stated ? KNOWN : UNKNOWN;
    const sizes = make("div", { class: "dr-pair" },
      lengthField({ label: say("line.projection"), value: sizeSaid(line?.projection_mm, unit), unit,
        wrong: say("form.no_length"),
        onChange: (mm) => patch({ projection_mm: mm ?? undefined }) }).element,
      lengthField({ label: say("line.projection.sd"), value: sizeSaid(line?.projection_sd_mm ?? USUAL_SD_MM, unit), unit,
        wrong: say("form.no_length"),
        onChange: (mm) => patch({ projection_sd_mm: mm ?? undefined }) }).element);
    sizes.hidden = value !== KNOWN;
    const options = [
      { value: UNKNOWN, text: say("line.hangs.unknown") },
      { value: KNOWN, text: say("line.hangs.known") },
      ...soffits,
    ];
    const choice = choiceField(say("line.hangs"), options, value, (chosen) => {
      sizes.hidden = chosen !== KNOWN;
      const soffit = chosen.startsWith("soffit ") ? chosen.slice("soffit ".length) : null;
      let next = withHanging(now(), now().lines?.[index]?.name ?? "", soffit);
      if (chosen !== KNOWN) {
        next = withPatch(next, "lines", index, { projection_mm: undefined, projection_sd_mm: undefined });
      }
      desk.commit(next);
    });
    return make("div", {}, choice.element, sizes);
  }

  function acts() {
    return make("div", { class: "dr-buttons" },
      button(say("line.show"), () => showShape(id)),
      button(say("line.snap"), () => void snapping.snap(id, true)),
      button(say("line.bend"), () => actions.bend()),
      button(say("form.delete"), () => {
        desk.change({ selected: id, at: null });
        actions.remove();
      }, "dr-danger"));
  }
}
