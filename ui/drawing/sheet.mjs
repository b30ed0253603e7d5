/**
 * One elevation on the desk: statement, bars, stage and panel, and the questions to the
 * server about it.
 */
import { makeActions } from "./actions.mjs";
import { make, tell } from "./dom.mjs";
import { meaningOf, pressOf } from "./keyboard.mjs";
import { makeLiveLengths, saidOf } from "./live_lengths.mjs";
import { makeChoiceBar } from "./notices.mjs";
import { makePanel } from "./panel.mjs";
import { makeQuestionCards } from "./question_cards.mjs";
import { makeReading } from "./reading.mjs";
import { makeSnapping } from "./snapping.mjs";
import { makeStage } from "./stage.mjs";
import { makeStatement } from "./statement.mjs";
import { makeNudges, makeToolbar } from "./toolbar.mjs";
import { makeTrials } from "./trials.mjs";

/**
 * @typedef {object} Sheet
 * @property {HTMLElement} element
 * @property {() => void} ask for lengths
 * @property {() => void} begin once it is in the page
 * @property {() => void} end
 * @property {() => void} focus
 * @property {(clientX: number, clientY: number) => import("./types.mjs").Point} pointAt
 */

/** @type {(say: import("./texts.mjs").Say) => Sheet} */
export const emptySheet = (say) => ({
  element: make("p", { class: "dr-quiet" }, say("no_photo")),
  ask: () => {},
  begin: () => {},
  end: () => {},
  focus: () => {},
  pointAt: () => [NaN, NaN],
});

/** @type {(elevation: import("./types.mjs").Elevation) => boolean} nobody worked on it yet */
const isFresh = ({ lines = [], references = [], soffits = [] }) =>
  lines.length + references.length + soffits.length === 0;

/**
 * Everything for one elevation.
 * @param {object} setting
 * @param {import("./desk.mjs").Desk} setting.desk
 * @param {any} setting.entry of the job's answer
 * @param {import("./mount.mjs").Options} setting.options
 * @param {import("./texts.mjs").Say} setting.say
 * @param {import("./routes.mjs").Routes} setting.routes
 * @param {HTMLElement} setting.status
 * @param {() => ReadonlySet<string>} setting.taken
 * @returns {Sheet}
 */
export function makeSheet({ desk, entry, options, say, routes, status, taken }) {
  const unit = options.unit ?? "mm";
  const lengths = makeLiveLengths({ desk, routes, unit, say });
  const { lengthOf } = lengths;
  const word = make("p", { class: "dr-word", role: "status" });
  const tellWord = (/** @type {string} */ text) => {
    tell(word, text);
    options.onStatus?.(text);
  };
  const snapping = makeSnapping(desk, routes, (key) => tellWord(say(key)));
  const actions = makeActions(desk, { say, taken, onDrawn: (id) => void snapping.snap(id) });
  const stage = makeStage({ desk, photo: entry.photo, say, lengthOf, actions, snapping });
  const scale = makeStatement(desk, say);
  const read = makeReading({ desk, routes, say, tellWord });
  const formats = options.formats ?? [];
  const questions = makeQuestionCards({ desk, say, unit, routes, actions, formats });
  const trials = makeTrials({ desk, routes, unit, late: say("line.late"),
    lengthSaid: (line) => saidOf(line, unit) });
  const bars = makeToolbar({ desk, say, actions, zoom: stage.zoom, showWhole: stage.showWhole,
    focusStage: stage.focus, read });
  const panel = makePanel({ desk, say, unit, actions, snapping,
    showShape: stage.showShape, focusStage: stage.focus,
    formats }, lengthOf);
  const help = make("p", { id: "dr-stage-help", class: "dr-hidden" }, say("stage.help"));
  const element = make("div", { class: "dr-sheet" },
    // What grows stands below the stage: the photo must not move under a finger.
    make("div", { class: "dr-work" }, bars.bar,
      make("div", { class: "dr-frame" }, stage.element, bars.near, bars.prompts,
        makeNudges(desk, say, actions), makeChoiceBar(desk, say, snapping)),
      make("div", { class: "dr-foot" }, word, status), questions, scale, help),
    panel);

  element.addEventListener("keydown", (event) => {
    const meaning = meaningOf(pressOf(event));
    const typing = event.target instanceof HTMLInputElement;
    if (typing || (meaning?.type !== "undo" && meaning?.type !== "redo")) return;
    event.preventDefault();
    if (meaning.type === "undo") desk.undo();
    else desk.redo();
  });

  const watcher = new ResizeObserver(stage.fit);
  desk.onDraw(stage.align); // the last one: what stands above the stage has its height now
  stage.ready.catch(() => tellWord(say("photo.failed")));
  return {
    element,
    ask: lengths.ask,
    begin() {
      watcher.observe(stage.element);
      watcher.observe(document.body);
      globalThis.addEventListener("resize", stage.fit);
      stage.fit();
      desk.drawNow();
      lengths.ask();
      if (options.readFresh && isFresh(desk.elevation())) bars.read();
    },
    end() {
      lengths.end();
      trials.end();
      watcher.disconnect();
      globalThis.removeEventListener("resize", stage.fit);
    },
    focus: stage.focus,
    pointAt: stage.pointAt,
  };
}

