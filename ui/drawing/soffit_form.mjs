/**
 * The form of a traced soffit: its name, how level it is across, and the ground below it.
 */
import { make } from "./dom.mjs";
import { button, lengthField, textField } from "./fields.mjs";
import { sizeSaid } from "./lengths.mjs";
import { withPatch, without } from "./model.mjs";

/** @type {(setting: import("./line_form.mjs").FormSetting, index: number) => HTMLElement} */
export function soffitForm({ desk, say, unit, actions, focusStage }, index) {
  const soffit = desk.elevation().soffits?.[index];
  if (!soffit) return make("div");
  const patch = (/** @type {Record<string, unknown>} */ change) =>
    desk.commit(withPatch(desk.elevation(), "soffits", index, change));
  const name = textField(say("line.name"), soffit.name, (value) => {
    if (value) patch({ name: value });
  });
  const fall = lengthField({ label: say("soffit.fall"), value: sizeSaid(soffit.sd_mm, unit), unit,
    wrong: say("form.no_length"), hint: say("soffit.fall.hint"), onChange: (mm) => patch({ sd_mm: mm || undefined }) });
  const ground = soffit.ground
    ? button(say("soffit.ground.out"), () => patch({ ground: undefined }))
    : button(say("soffit.ground"), () => {
      actions.takeGround(index);
      focusStage();
    });
  return make("div", { class: "dr-form" }, name.element, fall.element,
    make("p", { class: "dr-hint" }, say("soffit.ground.why")),
    make("div", { class: "dr-buttons" }, ground,
      button(say("form.delete"), () => {
        desk.change({ selected: null, at: null });
        desk.commit(without(desk.elevation(), "soffits", index));
      }, "dr-danger")));
}
