/**
 * What has to be decided before going on: edges to choose from, unsaved work, a clash.
 */
import { make, match } from "./dom.mjs";
import { button } from "./fields.mjs";

/** @typedef {import("./texts.mjs").Say} Say */

/** Notices stand above the stage, one below the other. */
export function makeNotices() {
  const element = make("div", { class: "dr-notices" });
  /**
   * @param {string} text
   * @param {readonly {text: string, act: () => void, main?: boolean}[]} choices
   */
  function ask(text, choices) {
    const notice = make("div", { class: "dr-notice", role: "alert" }, make("p", {}, text));
    const buttons = choices.map(({ text: word, act, main }) =>
      button(word, () => {
        notice.remove();
        act();
      }, main ? "dr-main" : ""));
    notice.append(make("div", { class: "dr-buttons" }, ...buttons));
    element.append(notice);
    return () => notice.remove();
  }
  return { element, ask };
}

/**
 * The edges that a line may lie on, numbered as on the photo.
 * @param {import("./desk.mjs").Desk} desk
 * @param {Say} say
 * @param {ReturnType<typeof import("./snapping.mjs").makeSnapping>} snapping
 */
export function makeChoiceBar(desk, say, snapping) {
  const buttons = make("div", { class: "dr-buttons" });
  const element = make("div", { class: "dr-notice dr-choose", hidden: true, role: "group", "aria-label": say("snap.choose") },
    make("p", { role: "alert" }, say("snap.choose")), buttons);
  /** @type {object | null} */
  let shown = null;
  desk.onDraw(({ choice }) => {
    element.hidden = choice === null;
    if (!choice || choice === shown) return;
    shown = choice;
    const items = [
      ...choice.candidates.map((one, index) => ({
        key: `${index} ${one.said}`, index,
        text: say("snap.candidate", { number: index + 1, said: one.said }),
        act: () => snapping.choose(index) })),
      { key: "drawn", index: -1, text: say("snap.as_drawn"), act: snapping.asDrawn },
    ];
    buttons.replaceChildren();
    match(buttons, items, ({ key }) => key,
      ({ text, act, index }) => button(text, act, index >= 0 ? `dr-choice-${index}` : ""),
      () => {});
  });
  return element;
}
