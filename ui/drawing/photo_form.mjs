/**
 * What is known of photo and wall beside the drawing: the lens of a photo that does not
 * say it, how well points can be placed, how flat the wall is.
 */
import { make } from "./dom.mjs";
import { lengthField, opened } from "./fields.mjs";
import { sizeSaid } from "./lengths.mjs";
import { numberField } from "./reference_more.mjs";

/**
 * @param {import("./line_form.mjs").FormSetting} setting
 * @returns {{element: HTMLElement, show: () => void}}
 */
export function makePhotoForm({ desk, say, unit }) {
  const lens = numberField(say("photo.lens"), undefined, 0.1);
  const picks = numberField(say("photo.picks"), undefined, 0.1);
  const flat = lengthField({ label: say("photo.flat"), value: "", unit, wrong: say("form.no_length"),
    hint: say("photo.flat.hint"), onChange: (mm) => desk.commit({ ...desk.elevation(), wall_relief_sd_mm: mm || undefined }) });
  const typed = (/** @type {HTMLInputElement} */ input) =>
    input.value === "" || !(Number(input.value) > 0) ? undefined : Number(input.value);
  lens.input.addEventListener("change", () => {
    const now = desk.elevation();
    desk.commit({ ...now, camera: { ...now.camera, focal_35mm: typed(lens.input) } });
  });
  picks.input.addEventListener("change", () => desk.commit({ ...desk.elevation(), pick_sd_px: typed(picks.input) }));
  const inside = [lens.element, make("p", { class: "dr-hint" }, say("photo.lens.hint")), picks.element, flat.element];
  const element = make("section", { class: "dr-card" }, ...opened(say("photo.title"), inside));

  /** Put in what the drawing says, but never under a hand that types. */
  function show() {
    if (element.contains(document.activeElement)) return;
    const { camera, pick_sd_px, wall_relief_sd_mm } = desk.elevation();
    lens.input.value = String(camera?.["focal_35mm"] ?? "");
    picks.input.value = String(pick_sd_px ?? "");
    flat.input.value = sizeSaid(wall_relief_sd_mm, unit);
  }
  return { element, show };
}
