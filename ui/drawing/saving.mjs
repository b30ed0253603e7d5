/**
 * Saves the document as it changes: the state machine of autosave.mjs with its clock,
 * network and storage.
 */
import { happened, resting } from "./autosave.mjs";
import { merge, withOwn } from "./merge.mjs";
import { isPassing, Refusal } from "./routes.mjs";
import { unsavedWork } from "./unsaved.mjs";

/**
 * @typedef {import("./types.mjs").JobDocument} JobDocument
 * @typedef {import("./autosave.mjs").Saving} Saving
 * @typedef {object} Clash two people drew the same elevation
 * @property {string} message
 * @property {readonly string[]} elevations
 * @property {JobDocument} mine
 * @property {JobDocument} theirs with what only this side changed put in
 * @property {(keepMine: boolean) => void} settle
 *
 * @typedef {object} Setting
 * @property {string} job
 * @property {string} who
 * @property {import("./routes.mjs").Routes} routes
 * @property {JobDocument} document as opened
 * @property {number} revision as opened
 * @property {() => JobDocument} mine
 * @property {(saving: Saving) => void} onPhase
 * @property {(revision: number) => void} onSaved
 * @property {() => boolean} moving whether a hand is at something just now
 * @property {(merged: JobDocument, from?: {base: JobDocument, theirs: JobDocument}) => void
 *   } onMerged the others' work came in; where nobody had to be asked, since what
 * @property {(clash: Clash) => void} onClash
 */

/** Whoever leaves the drawing waits no longer than this for its last save. */
const PATIENCE_MS = 4000;

/** @param {Setting} setting */
export function makeSaving(setting) {
  const { routes, mine } = setting;
  const shelf = unsavedWork(setting.job, globalThis.localStorage);
  let saving = resting(setting.revision);
  let base = setting.document;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let timer;

  /** @param {import("./autosave.mjs").Happening} happening */
  function tell(happening) {
    const [next, effects] = happened(saving, happening);
    saving = next;
    for (const effect of effects) run(effect);
    setting.onPhase(saving);
  }

  /** @param {import("./autosave.mjs").Effect} effect */
  function run(effect) {
    if (effect.type === "wait") {
      clearTimeout(timer);
      timer = setTimeout(() => tell({ type: "due" }), effect.ms);
    } else if (effect.type === "send") void send();
    else if (effect.type === "remember") shelf.remember(base, mine());
    else if (effect.type === "forget") shelf.forget();
    else void resolve();
  }

  async function send() {
    const document = mine();
    try {
      const { revision } = await routes.save({ base: saving.base, document, who: setting.who });
      base = document;
      tell({ type: "kept", revision });
      setting.onSaved(revision);
    } catch (error) {
      tell(meaningOf(error));
    }
  }

  /** Take in what the others saved; ask only where both drew the same elevation. */
  async function resolve() {
    try {
      const opened = await routes.open();
      const theirs = /** @type {JobDocument} */ (opened.document);
      // A hand moves what it took hold of before: letting go would undo the others' work.
      while (setting.moving()) await new Promise((done) => setTimeout(done, 50));
      const own = mine();
      const { merged, clashes } = merge(base, own, theirs);
      const settle = (/** @type {JobDocument} */ result, asked = true) => {
        const from = asked ? undefined : { base, theirs };
        base = theirs;
        setting.onMerged(result, from);
        tell({ type: "settled", base: opened.revision, changed: result !== theirs });
      };
      if (clashes.length === 0) return settle(merged, false);
      setting.onClash({
        message: saving.message,
        elevations: clashes,
        mine: own,
        theirs: merged,
        settle(keepMine) {
          const kept = withOwn(merged, mine(), clashes);
          setting.onMerged(merged); // also where it is not kept: a step to go back to
          settle(keepMine ? kept : merged);
        },
      });
    } catch (error) {
      setTimeout(() => void resolve(), 3000); // the connection dropped meanwhile
      console.warn(error);
    }
  }

  const online = () => tell({ type: "due" });
  globalThis.addEventListener("online", online);

  /** Wait for what is under way; what cannot be saved now is kept in this browser. */
  async function settled() {
    const began = Date.now();
    while (["waiting", "sending"].includes(saving.phase) && Date.now() - began < PATIENCE_MS) {
      await new Promise((resolve) => setTimeout(resolve, 30));
    }
  }
  return {
    settled,
    edited: () => tell({ type: "edited" }),
    saving: () => saving,
    recall: shelf.recall,
    forget: shelf.forget,
    /** Save at once what waits: the page is being left. */
    flush: () => tell({ type: "due" }),
    stop() {
      clearTimeout(timer);
      globalThis.removeEventListener("online", online);
    },
  };
}

/** @type {(error: unknown) => import("./autosave.mjs").Happening} */
function meaningOf(error) {
  if (error instanceof Refusal && error.status === 409) {
    return { type: "conflicted", revision: error.revision ?? 0, message: error.message };
  }
  if (isPassing(error)) return { type: "lost" };
  return { type: "rejected", message: error instanceof Error ? error.message : "" };
}
