/**
 * The bars at the stage: what to do next, tools, undo, and how near to look. Words, no icons.
 */
import { make, tell } from "./dom.mjs";
import { promptKey, REFERENCE_TOOLS, TOOLS } from "./tools.mjs";

/**
 * @typedef {object} BarSetting
 * @property {import("./desk.mjs").Desk} desk
 * @property {import("./texts.mjs").Say} say
 * @property {ReturnType<typeof import("./actions.mjs").makeActions>} actions
 * @property {(factor: number) => void} zoom
 * @property {() => void} showWhole
 * @property {() => void} focusStage
 * @property {() => Promise<void>} read
 */

const ZOOM = 1.6;

/** @param {BarSetting} setting */
export function makeToolbar({ desk, say, actions, zoom, showWhole, focusStage, read }) {
  const choose = (/** @type {string} */ tool) => () => {
    actions.take(desk.state().tool === tool ? "look" : tool);
    menu.hidden = true;
    more.setAttribute("aria-expanded", "false");
    focusStage();
  };
  /** A word on a phone, the whole sentence where there is room. @type {(key: string) => Node[]} */
  const words = (key) => [
    make("span", { class: "dr-long" }, say(key)),
    make("span", { class: "dr-short" }, say(`${key}.short`)),
  ];

  const menu = make("div", { class: "dr-menu", hidden: true, role: "group", "aria-label": say("bar.reference") },
    ...REFERENCE_TOOLS.map((name) =>
      make("button", { type: "button", "data-tool": name, onclick: choose(name) },
        make("span", {}, say(`reference.${name}`)),
        make("span", { class: "dr-hint" }, say(`reference.${name}.why`)))),
    make("button", { type: "button", "data-tool": "soffit", onclick: choose("soffit") },
      make("span", {}, say("bar.soffit")),
      make("span", { class: "dr-hint" }, say("bar.soffit.why"))));
  const more = make("button", { type: "button", "aria-expanded": "false", "aria-label": say("bar.reference"), onclick: () => {
    menu.hidden = !menu.hidden;
    more.setAttribute("aria-expanded", String(!menu.hidden));
    if (!menu.hidden) /** @type {HTMLElement | null} */ (menu.querySelector("button"))?.focus();
  } }, ...words("bar.reference"));
  menu.addEventListener("keydown", (event) => {
    if (event.key !== "Escape") return;
    menu.hidden = true;
    more.setAttribute("aria-expanded", "false");
    more.focus();
  });

  const undo = make("button", { type: "button", onclick: desk.undo }, say("bar.undo"));
  const redo = make("button", { type: "button", onclick: desk.redo }, say("bar.redo"));
  const readNow = () => {
    find.disabled = true;
    void read().finally(() => {
      find.disabled = false;
    });
  };
  const find = make("button", { type: "button", "aria-label": say("bar.read"), onclick: readNow },
    ...words("bar.read"));
  const line = make("button", { type: "button", class: "dr-main", "data-tool": "line",
    "aria-pressed": "false", "aria-label": say("bar.line"), onclick: choose("line") },
    ...words("bar.line"));
  const bar = make("div", { class: "dr-bar", role: "toolbar", "aria-label": say("bar.name") },
    line, more, find, make("span", { class: "dr-gap" }), undo, redo);

  const prompt = make("span", { class: "dr-prompt-text", role: "status" });
  const done = make("button", { type: "button", class: "dr-main", onclick: actions.finish }, say("tool.done"));
  const stop = make("button", { type: "button", onclick: () => actions.take("look") }, say("tool.stop"));
  const prompts = make("div", { class: "dr-prompt", hidden: true }, prompt, done, stop);

  const near = make("div", { class: "dr-zoom" },
    make("button", { type: "button", "aria-label": say("zoom.in"), onclick: () => zoom(ZOOM) }, "+"),
    make("button", { type: "button", "aria-label": say("zoom.out"), onclick: () => zoom(1 / ZOOM) }, "−"),
    make("button", { type: "button", class: "dr-zoom-whole", onclick: showWhole }, say("zoom.whole")));

  desk.onDraw((state) => {
    line.setAttribute("aria-pressed", String(state.tool === "line"));
    const made = TOOLS[state.tool];
    more.setAttribute("aria-pressed", String(state.tool !== "line" && made !== undefined));
    undo.disabled = state.history.past.length === 0;
    redo.disabled = state.history.future.length === 0;
    prompts.hidden = made === undefined;
    if (!made) return;
    tell(prompt, say(promptKey(state.tool, state.picks.length)));
    done.hidden = made.least === made.most || state.picks.length < made.least;
  });
  return { bar: make("div", { class: "dr-bars" }, bar, menu), prompts, near, read: readNow };
}

/**
 * Four arrows for a thumb: moves a pick by one pixel without dragging.
 * @param {import("./desk.mjs").Desk} desk
 * @param {import("./texts.mjs").Say} say
 * @param {ReturnType<typeof import("./actions.mjs").makeActions>} actions
 */
export function makeNudges(desk, say, actions) {
  const arrow = (/** @type {string} */ key, /** @type {string} */ sign, /** @type {number} */ dx, /** @type {number} */ dy) =>
    make("button", { type: "button", "aria-label": say(`nudge.${key}`), onclick: () => actions.nudge(dx, dy) }, sign);
  const element = make("div", { class: "dr-nudges", hidden: true, role: "group", "aria-label": say("nudge.name") },
    arrow("left", "←", -1, 0), arrow("up", "↑", 0, -1), arrow("down", "↓", 0, 1), arrow("right", "→", 1, 0));
  desk.onDraw(({ selected, at, tool, live }) => {
    element.hidden = !selected || at === null || tool !== "look" || live !== null;
  });
  return element;
}
