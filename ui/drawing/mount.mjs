/**
 * The drawing part of the page: `mount()` puts it into an empty element.
 */
import { makeActions } from "./actions.mjs";
import { begun, stepped } from "./history.mjs";
import { makeDesk } from "./desk.mjs";
import { make, tell } from "./dom.mjs";
import { lengthSaid } from "./lengths.mjs";
import { asker } from "./measuring.mjs";
import { elevationOf, same, withElevation } from "./merge.mjs";
import { namesOf } from "./names.mjs";
import { makeChoiceBar, makeNotices } from "./notices.mjs";
import { makePanel } from "./panel.mjs";
import { makeRoutes, Refusal } from "./routes.mjs";
import { makeSaving } from "./saving.mjs";
import { makeSnapping } from "./snapping.mjs";
import { makeStage } from "./stage.mjs";
import { speaker } from "./texts.mjs";
import { makeNudges, makeToolbar } from "./toolbar.mjs";

/**
 * @typedef {import("./types.mjs").JobDocument} JobDocument
 * @typedef {import("./types.mjs").Elevation} Elevation
 *
 * @typedef {object} Options
 * @property {string} job
 * @property {string} [elevation] its name; the first one if left out
 * @property {string} [base] what stands before the routes
 * @property {Readonly<Record<string, string>>} texts the catalogue's group `drawing`
 * @property {import("./types.mjs").Unit} [unit]
 * @property {string} [who] whose work it is, for the job's history
 * @property {readonly {name: string, said: string}[]} [formats] of bricks, to choose from
 * @property {(revision: number) => void} [onCommit] a revision was saved
 * @property {(sentence: string) => void} [onStatus]
 *
 * @typedef {{destroy: () => void, show: (elevation: string) => void, focus: () => void}} Mounted
 */

/** Put the module's style sheet into the page, once. */
function withStyle() {
  const href = new URL("./drawing.css", import.meta.url).href;
  const there = document.querySelector(`link[href="${href}"]`);
  if (there) return Promise.resolve();
  return new Promise((resolve) => {
    const link = make("link", { rel: "stylesheet", href });
    link.onload = link.onerror = resolve;
    document.head.append(link);
  });
}

/**
 * @param {HTMLElement} element
 * @param {Options} options
 * @returns {Promise<Mounted>}
 */
export async function mount(element, options) {
  const say = speaker(options.texts);
  const routes = makeRoutes(options.base ?? "", options.job);
  const root = make("div", { class: "dr-root", lang: document.documentElement.lang || "en" },
    make("p", { class: "dr-quiet" }, say("opening")));
  element.replaceChildren(root);
  try {
    const [opened] = await Promise.all([routes.open(), withStyle()]);
    return begin(element, root, options, opened);
  } catch (error) {
    const told = error instanceof Refusal && error.message ? error.message : say("opening.failed");
    const again = make("button", { type: "button", onclick: () => void mount(element, options) }, say("opening.again"));
    root.replaceChildren(make("p", { role: "alert" }, told), again);
    throw error;
  }
}

/**
 * @param {HTMLElement} element
 * @param {HTMLElement} root
 * @param {Options} options
 * @param {any} opened answer of the job's route
 * @returns {Mounted}
 */
function begin(element, root, options, opened) {
  const say = speaker(options.texts);
  const routes = makeRoutes(options.base ?? "", options.job);
  const job = makeJob(opened, options, say, routes);
  let sheet = job.lay(options.elevation ?? opened.document.elevations[0]?.name);
  root.replaceChildren(job.notices.element, sheet.element);
  sheet.begin();
  const mark = (/** @type {BeforeUnloadEvent} */ event) => {
    if (job.saving.saving().phase !== "saved") {
      job.saving.flush();
      event.preventDefault();
    }
  };
  globalThis.addEventListener("beforeunload", mark);
  return {
    destroy() {
      globalThis.removeEventListener("beforeunload", mark);
      job.saving.flush();
      job.saving.stop();
      sheet.end();
      element.replaceChildren();
    },
    show(name) {
      sheet.end();
      sheet = job.lay(name);
      root.replaceChildren(job.notices.element, sheet.element);
      sheet.begin();
    },
    focus: () => sheet.focus(),
  };
}

/**
 * The job with its saving; one sheet, of one elevation, lies on the desk at a time.
 * @param {any} opened
 * @param {Options} options
 * @param {import("./texts.mjs").Say} say
 * @param {import("./routes.mjs").Routes} routes
 */
function makeJob(opened, options, say, routes) {
  let document_ = /** @type {JobDocument} */ (opened.document);
  /** @type {Map<string, import("./history.mjs").History<Elevation>>} */
  const histories = new Map();
  const notices = makeNotices();
  /** @type {import("./desk.mjs").Desk | null} */
  let desk = null;
  const status = make("p", { class: "dr-saved", role: "status" });

  const saving = makeSaving({
    job: options.job,
    who: options.who ?? "",
    routes,
    document: document_,
    revision: opened.revision,
    mine: () => document_,
    onPhase(now) {
      tell(status, say(`saving.${now.phase}`, { message: now.message }));
      status.dataset["phase"] = now.phase;
    },
    onSaved: (revision) => options.onCommit?.(revision),
    onMerged: takeIn,
    onClash({ message, elevations, settle }) {
      const text = say("clash", { message, elevations: elevations.join(", ") });
      notices.ask(text, [
        { text: say("clash.mine"), act: () => settle(true), main: true },
        { text: say("clash.theirs"), act: () => settle(false) },
      ]);
    },
  });
  tell(status, say("saving.saved"));

  /** Another document takes the place of ours; ours stays in the steps to take back. */
  function takeIn(/** @type {JobDocument} */ merged) {
    for (const next of merged.elevations) {
      const old = elevationOf(document_, next.name);
      const now = desk?.elevation().name === next.name;
      if (same(old, next)) continue;
      if (now) desk?.change({ history: stepped(desk.state().history, next), live: null, selected: null, at: null });
      else histories.set(next.name, stepped(histories.get(next.name) ?? begun(old ?? next), next));
    }
    document_ = merged;
    if (desk) desk.change({});
  }

  const kept = saving.recall();
  if (kept && !same(kept.document.elevations, document_.elevations)) {
    const at = new Date(kept.at).toLocaleString([], { dateStyle: "short", timeStyle: "short" });
    notices.ask(say("unsaved", { at }), [
      { text: say("unsaved.take"), act: () => restore(kept.document), main: true },
      { text: say("unsaved.leave"), act: saving.forget },
    ]);
  } else if (kept) saving.forget();

  /** @param {JobDocument} unsaved */
  function restore(unsaved) {
    const elevations = document_.elevations.map((one) => elevationOf(unsaved, one.name) ?? one);
    takeIn({ ...document_, elevations });
    saving.edited();
    if (desk) ask(desk);
  }

  /** @type {(desk: import("./desk.mjs").Desk) => void} */
  let ask = () => {};

  /** @param {string} name */
  function lay(name) {
    const elevation = elevationOf(document_, name) ?? document_.elevations[0];
    const entry = opened.elevations.find((/** @type {any} */ one) => one.name === elevation?.name);
    if (!elevation || !entry?.photo) return emptySheet(say);
    const laid = makeDesk(elevation);
    const history = histories.get(elevation.name);
    if (history) laid.change({ history });
    desk = laid;
    laid.onCommit((next) => {
      document_ = withElevation(document_, next);
      saving.edited();
    });
    const sheet = makeSheet({ desk: laid, entry, options, say, routes, status,
      taken: () => namesOf(document_.elevations) });
    ask = sheet.ask;
    return { ...sheet, end() {
      histories.set(elevation.name, laid.state().history);
      sheet.end();
    } };
  }
  return { lay, saving, notices };
}

/** @type {(say: import("./texts.mjs").Say) => any} */
const emptySheet = (say) => ({
  element: make("p", { class: "dr-quiet" }, say("no_photo")),
  begin: () => {},
  end: () => {},
  focus: () => {},
});

/**
 * Everything for one elevation.
 * @param {object} setting
 * @param {import("./desk.mjs").Desk} setting.desk
 * @param {any} setting.entry of the job's answer
 * @param {Options} setting.options
 * @param {import("./texts.mjs").Say} setting.say
 * @param {import("./routes.mjs").Routes} setting.routes
 * @param {HTMLElement} setting.status
 * @param {() => ReadonlySet<string>} setting.taken
 */
function makeSheet({ desk, entry, options, say, routes, status, taken }) {
  const unit = options.unit ?? "mm";
  const lengthOf = (/** @type {number} */ index) => {
    const line = desk.state().measured?.lines?.[index];
    if (!line?.interval95_mm || line.length_mm === undefined) return "";
    if (line.name !== desk.elevation().lines?.[index]?.name) return ""; // of another line
    return unit === "mm" && line.said ? line.said : lengthSaid(line.length_mm, line.interval95_mm, unit);
  };
  const word = make("p", { class: "dr-word", role: "status" });
  const tellWord = (/** @type {string} */ text) => {
    tell(word, text);
    options.onStatus?.(text);
  };
  const snapping = makeSnapping(desk, routes, (key) => tellWord(say(key)));
  const actions = makeActions(desk, { say, taken, onDrawn: (id) => void snapping.snap(id) });
  const stage = makeStage({ desk, photo: entry.photo, say, lengthOf, actions, snapping });
  const scale = makeStatement(desk, say);
  const bars = makeToolbar({ desk, say, actions, zoom: stage.zoom, showWhole: stage.showWhole,
    focusStage: stage.focus, read });
  const panel = makePanel({ desk, say, unit, actions, snapping, showShape: stage.showShape,
    formats: options.formats ?? [] }, lengthOf);
  const help = make("p", { id: "dr-stage-help", class: "dr-hidden" }, say("stage.help"));
  const element = make("div", { class: "dr-sheet" },
    make("div", { class: "dr-work" }, scale, bars.bar,
      make("div", { class: "dr-frame" }, stage.element, bars.near, bars.prompts, makeNudges(desk, say, actions)),
      makeChoiceBar(desk, say, snapping),
      make("div", { class: "dr-foot" }, word, status), help),
    panel);

  const measuring = asker({
    send: (seq, elevation) => routes.measure({ seq, elevation }),
    onAnswer: (measured) => desk.change({ measured, trouble: "" }),
    onFailure: (error) =>
      desk.change({ trouble: error instanceof Refusal && error.message ? error.message : say("measure.failed") }),
  });
  desk.onLive((elevation) => measuring.ask(elevation));

  async function read() {
    try {
      const found = await routes.read({ elevation: desk.elevation().name });
      desk.change({ found });
      const none = found.references.length + found.proposals.length === 0;
      tellWord(none ? (found.questions[0] ?? say("found.none")) : say("found.some", { count: found.references.length + found.proposals.length }));
    } catch (error) {
      tellWord(error instanceof Refusal && error.message ? error.message : say("found.failed"));
    }
  }

  const watcher = new ResizeObserver(stage.fit);
  stage.ready.catch(() => tellWord(say("photo.failed")));
  return {
    element,
    ask: () => measuring.ask(desk.elevation()),
    begin() {
      watcher.observe(stage.element);
      globalThis.addEventListener("resize", stage.fit);
      stage.fit();
      desk.drawNow();
      measuring.ask(desk.elevation());
    },
    end() {
      watcher.disconnect();
      globalThis.removeEventListener("resize", stage.fit);
    },
    focus: stage.focus,
  };
}

/**
 * What the references mean, and the one that would help most.
 * @param {import("./desk.mjs").Desk} desk
 * @param {import("./texts.mjs").Say} say
 */
function makeStatement(desk, say) {
  const said = make("p", { class: "dr-scale-said" });
  const next = make("p", { class: "dr-scale-next" });
  const cautions = make("ul", { class: "dr-cautions" });
  const element = make("section", { class: "dr-scale", "aria-live": "polite", "aria-label": say("scale.name") }, said, next, cautions);
  /** @type {unknown} */
  let shown;
  desk.onDraw(({ measured, trouble, live }) => {
    const now = trouble || measured;
    if (now === shown || live) return;
    shown = now;
    tell(said, trouble || measured?.scale?.said || measured?.message || "");
    const best = measured?.scale?.best_next;
    tell(next, best ? say("scale.next", { what: best }) : "");
    next.hidden = !best;
    cautions.replaceChildren(...(measured?.cautions ?? []).map((text) => make("li", {}, text)));
  });
  return element;
}
