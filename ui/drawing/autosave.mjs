/**
 * When to save: a state machine without clock, network or storage.
 *
 * @typedef {"saved" | "waiting" | "sending" | "dropped" | "conflict" | "refused"} Phase
 *   dropped: the connection failed, it is tried again; refused: the server will not have it
 * @typedef {object} Saving
 * @property {Phase} phase
 * @property {number} base revision that the work stands on
 * @property {boolean} changed edited since the last sending began
 * @property {number} failures in a row
 * @property {string} message why not saved
 *
 * @typedef {{type: "edited"} | {type: "due"} | {type: "kept", revision: number}
 *   | {type: "conflicted", revision: number, message: string} | {type: "lost"}
 *   | {type: "rejected", message: string} | {type: "settled", base: number, changed: boolean}
 *   } Happening
 * @typedef {{type: "send"} | {type: "wait", ms: number} | {type: "remember"}
 *   | {type: "forget"} | {type: "resolve", revision: number}} Effect
 */

/** Quiet time before a save: a drag or a word typed is one save. */
export const QUIET_MS = 600;

const RETRY_MS = 1000;
const LONGEST_RETRY_MS = 15_000;

/** @type {(base: number) => Saving} */
export const resting = (base) => ({
  phase: "saved",
  base,
  changed: false,
  failures: 0,
  message: "",
});

/**
 * Retries back off, so that a server that comes up again is not stormed.
 * @type {(failures: number) => number}
 */
export const retryAfter = (failures) =>
  Math.min(RETRY_MS * 2 ** (failures - 1), LONGEST_RETRY_MS);

/**
 * @param {Saving} saving
 * @param {Happening} happening
 * @returns {readonly [Saving, readonly Effect[]]}
 */
export function happened(saving, happening) {
  switch (happening.type) {
    case "edited":
      return edited(saving);
    case "due":
      if (saving.phase !== "waiting" && saving.phase !== "dropped") return [saving, []];
      return [{ ...saving, phase: "sending", changed: false }, [{ type: "send" }]];
    case "kept":
      return keptBy(saving, happening.revision);
    case "lost": {
      const failures = saving.failures + 1;
      const next = { ...saving, phase: /** @type {const} */ ("dropped"), failures };
      return [next, [{ type: "wait", ms: retryAfter(failures) }]];
    }
    case "conflicted":
      return [
        { ...saving, phase: "conflict", message: happening.message },
        [{ type: "resolve", revision: happening.revision }],
      ];
    case "rejected":
      return [{ ...saving, phase: "refused", message: happening.message, failures: 0 }, []];
    case "settled":
      return settled(saving, happening.base, happening.changed);
  }
}

/** @type {(saving: Saving) => readonly [Saving, readonly Effect[]]} */
function edited(saving) {
  const next = { ...saving, changed: true };
  if (saving.phase === "sending" || saving.phase === "conflict") {
    return [next, [{ type: "remember" }]];
  }
  if (saving.phase === "dropped") return [next, [{ type: "remember" }]]; // a retry is due
  return [{ ...next, phase: "waiting" }, [{ type: "remember" }, { type: "wait", ms: QUIET_MS }]];
}

/** @type {(saving: Saving, revision: number) => readonly [Saving, readonly Effect[]]} */
function keptBy(saving, revision) {
  const clean = { ...saving, base: revision, failures: 0, message: "" };
  if (saving.changed) {
    return [{ ...clean, phase: "waiting" }, [{ type: "remember" }, { type: "wait", ms: QUIET_MS }]];
  }
  return [{ ...clean, phase: "saved" }, [{ type: "forget" }]];
}

/**
 * A conflict was settled: the work now stands on `base`, and differs from it or not.
 * @type {(saving: Saving, base: number, changed: boolean) => readonly [Saving, readonly Effect[]]}
 */
function settled(saving, base, changed) {
  const next = { ...saving, base, changed, failures: 0, message: "" };
  if (!changed) return [{ ...next, phase: "saved" }, [{ type: "forget" }]];
  return [{ ...next, phase: "waiting" }, [{ type: "remember" }, { type: "wait", ms: 0 }]];
}
