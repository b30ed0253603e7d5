/**
 * What is on the desk: the one place with state. Everything else reads it and asks it to
 * change; a change is drawn once in the next frame.
 */
import { begun, redone, stepped, undone } from "./history.mjs";

/**
 * @typedef {import("./types.mjs").Elevation} Elevation
 * @typedef {import("./types.mjs").Point} Point
 * @typedef {import("./types.mjs").Place} Place
 * @typedef {import("./types.mjs").Measured} Measured
 * @typedef {import("./types.mjs").Candidate} Candidate
 * @typedef {import("./types.mjs").Found} Found
 * @typedef {import("./view.mjs").View} View
 *
 * @typedef {object} State
 * @property {import("./history.mjs").History<Elevation>} history
 * @property {Elevation | null} live while something is dragged
 * @property {string | null} selected id of a shape
 * @property {number | null} at pick of it that has the keyboard or was touched last
 * @property {string} tool "look" or a key of TOOLS
 * @property {readonly Point[]} picks of the tool so far
 * @property {Point | null} float where the next pick would be
 * @property {{tool: string, picks: readonly Point[]} | null} pending waits for its size
 * @property {string} role of the next line
 * @property {number} target soffit that the tool is for
 * @property {View} view
 * @property {readonly [number, number]} size of the photo
 * @property {readonly [number, number]} stage size in CSS pixels
 * @property {Measured | null} measured
 * @property {Elevation | null} measuredOf what it was measured from
 * @property {boolean} late whether the answer is long in coming
 * @property {string} trouble why there are no lengths, if the server could not be asked
 * @property {{id: string, drawn: readonly Point[], candidates: readonly Candidate[]} | null
 *   } choice where a line may lie
 * @property {Found | null} found
 * @property {ReadonlyMap<string, string>} trials what a line would measure by each answer
 * @property {{point: Point, place: Place, fine: boolean} | null} loupe
 * @property {boolean} joining whether the float lies on an end
 */

/**
 * @typedef {object} Desk
 * @property {() => State} state
 * @property {() => Elevation} elevation as drawn now
 * @property {(patch: Partial<State>) => void} change
 * @property {(next: Elevation, key?: string | null) => void} commit
 * @property {() => void} undo
 * @property {() => void} redo
 * @property {(draw: (state: State) => void) => void} onDraw
 * @property {(told: (elevation: Elevation) => void) => void} onLive the drawing moved
 * @property {(told: (elevation: Elevation) => void) => void} onCommit a step was taken
 * @property {() => void} drawNow
 */

/**
 * @param {Elevation} elevation
 * @returns {Desk}
 */
export function makeDesk(elevation) {
  /** @type {State} */
  let state = {
    history: begun(elevation), live: null, selected: null, at: null, tool: "look",
    picks: [], float: null, pending: null, role: "eaves", target: 0,
    view: { scale: 1, x: 0, y: 0 }, size: [1, 1], stage: [1, 1], measured: null, measuredOf: null,
    late: false, trouble: "", choice: null, found: null, trials: new Map(), loupe: null, joining: false,
  };
  /** @type {((state: State) => void)[]} */
  const drawers = [];
  /** @type {((elevation: Elevation) => void)[]} */
  const liveTold = [];
  /** @type {((elevation: Elevation) => void)[]} */
  const commitTold = [];
  let due = false;

  const current = () => state.live ?? state.history.present;

  function drawNow() {
    due = false;
    for (const draw of drawers) draw(state);
  }

  /** @param {Partial<State>} patch */
  function change(patch) {
    const before = current();
    state = { ...state, ...patch };
    if (!due) {
      due = true;
      requestAnimationFrame(() => due && drawNow());
    }
    if (current() !== before) for (const told of liveTold) told(current());
  }

  /** @param {State["history"]} history */
  function step(history) {
    if (history === state.history) return;
    change({ history, live: null });
    for (const told of commitTold) told(history.present);
  }

  return {
    state: () => state,
    elevation: current,
    change,
    commit: (next, key = null) => step(stepped(state.history, next, key)),
    undo: () => {
      change({ choice: null, picks: [], float: null });
      step(undone(state.history));
    },
    redo: () => step(redone(state.history)),
    onDraw: (draw) => void drawers.push(draw),
    onLive: (told) => void liveTold.push(told),
    onCommit: (told) => void commitTold.push(told),
    drawNow,
  };
}
