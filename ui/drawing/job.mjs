/**
 * The job on the desk: its document, what is saved of it, and one sheet at a time.
 */
import { begun, stepped } from "./history.mjs";
import { makeDesk } from "./desk.mjs";
import { make, tell } from "./dom.mjs";
import { elevationOf, merge, rebased, same, withElevation, withOwn } from "./merge.mjs";
import { namesOf } from "./names.mjs";
import { makeNotices } from "./notices.mjs";
import { makeSaving } from "./saving.mjs";
import { emptySheet, makeSheet } from "./sheet.mjs";

/**
 * @typedef {import("./types.mjs").JobDocument} JobDocument
 * @typedef {import("./types.mjs").Elevation} Elevation
 * @typedef {import("./mount.mjs").Options} Options
 */

/**
 * The job with its saving; one sheet, of one elevation, lies on the desk at a time.
 * @param {any} opened
 * @param {Options} options
 * @param {import("./texts.mjs").Say} say
 * @param {import("./routes.mjs").Routes} routes
 */
export function makeJob(opened, options, say, routes) {
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
    moving() {
      const { live, loupe, tool } = desk?.state() ?? {};
      return Boolean(live || (tool === "look" && loupe));
    },
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
  status.dataset["phase"] = "saved";

  /**
   * Another document takes the place of ours. Where a person chose, ours stays in the steps
   * to take back; where none had to, the steps go on top of what came in.
   * @param {JobDocument} merged
   * @param {{base: JobDocument, theirs: JobDocument}} [from]
   */
  function takeIn(merged, from) {
    for (const next of merged.elevations) {
      const old = elevationOf(document_, next.name);
      if (same(old, next)) continue;
      const now = desk?.elevation().name === next.name ? desk : null;
      const before = now?.state().history ?? histories.get(next.name) ?? begun(old ?? next);
      const [was, their] = [from?.base, from?.theirs].map((one) => one && elevationOf(one, next.name));
      const history = was && their ? rebased(before, was, their, next) : stepped(before, next);
      if (now) now.change({ history, live: null, selected: null, at: null });
      else histories.set(next.name, history);
    }
    document_ = merged;
    const name = desk?.elevation().name;
    if (name && !elevationOf(merged, name)) {
      notices.ask(say("clash.taken_out", { name }), [{ text: say("clash.read"), act: () => {} }]);
    }
    if (desk) desk.change({});
  }

  const kept = saving.recall();
  if (kept && !same(kept.document.elevations, document_.elevations)) {
    const at = new Date(kept.at).toLocaleString([], { dateStyle: "short", timeStyle: "short" });
    notices.ask(say("unsaved", { at }), [
      { text: say("unsaved.take"), act: () => restore(kept), main: true },
      { text: say("unsaved.leave"), act: saving.forget },
    ]);
  } else if (kept) saving.forget();

  /**
   * Take up unsaved work: it was chosen, so it comes before what others drew meanwhile on
   * the same elevation; theirs can be had back with Undo.
   * @param {import("./unsaved.mjs").Unsaved} unsaved
   */
  function restore(unsaved) {
    const { merged, clashes } = merge(unsaved.began, unsaved.document, document_);
    takeIn(withOwn(merged, unsaved.document, clashes));
    saving.edited();
  }

  /** @param {string} name */
  function lay(name) {
    const elevation = elevationOf(document_, name) ?? document_.elevations[0];
    const entry = opened.elevations.find((/** @type {any} */ one) => one.name === elevation?.name);
    if (!elevation || !entry?.photo) return emptySheet(say);
    const laid = makeDesk(elevation);
    const history = histories.get(elevation.name);
    if (history) laid.change({ history });
    desk = laid;
    // Before the saving: what keeps unsaved work in the browser would hold its question up.
    const sheet = makeSheet({ desk: laid, entry, options, say, routes, status,
      taken: () => namesOf(document_.elevations) });
    laid.onCommit((next) => {
      document_ = withElevation(document_, next);
      saving.edited();
    });
    return { ...sheet, end() {
      histories.set(elevation.name, laid.state().history);
      sheet.end();
    } };
  }
  return { lay, saving, notices };
}

