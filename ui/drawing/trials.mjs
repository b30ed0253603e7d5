/**
 * What a line would measure by each answer to an open question: asked of the server in
 * quiet moments, one after the other, and thrown away when the drawing moves on.
 */
import { openQuestions, trialOf } from "./questions.mjs";

/** Nobody reads two answers while he draws. */
const QUIET_MS = 300;

/**
 * @param {object} setting
 * @param {import("./desk.mjs").Desk} setting.desk
 * @param {import("./routes.mjs").Routes} setting.routes
 * @param {import("./types.mjs").Unit} setting.unit
 * @param {(line: import("./types.mjs").MeasuredLine) => string} setting.lengthSaid
 * @param {string} setting.late said while it is being measured
 */
export function makeTrials({ desk, routes, unit, lengthSaid, late }) {
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let timer;
  let turn = 0;
  /** @type {readonly unknown[]} */
  let shown = [];

  desk.onDraw((state) => {
    const parts = [state.history.present, state.measured, state.found, state.selected];
    if (state.live || parts.every((part, i) => part === shown[i])) return;
    shown = parts;
    turn += 1;
    clearTimeout(timer);
    timer = setTimeout(() => void run(turn), QUIET_MS);
  });

  /** @param {number} mine */
  async function run(mine) {
    const drawn = desk.elevation();
    // As long as before, so that no button moves under a finger.
    const trials = new Map([...desk.state().trials.keys()].map((key) => [key, late]));
    if (trials.size > 0) desk.change({ trials: new Map(trials) });
    const asked = new Set();
    for (const question of openQuestions(desk.state(), drawn)) {
      for (const way of question.ways) {
        const trial = trialOf(desk.state(), drawn, way);
        const told = trial ? await measured(trial, way.proposal ? "" : undefined) : "";
        if (mine !== turn || desk.elevation() !== drawn) return;
        const key = `${question.key} ${way.key}`;
        asked.add(key);
        trials.set(key, told);
        desk.change({ trials: new Map(trials) });
      }
    }
    desk.change({ trials: new Map([...trials].filter(([key]) => asked.has(key))) });
  }

  /**
   * @param {{elevation: import("./types.mjs").Elevation, index: number}} trial
   * @param {string} [called] instead of the line's name
   */
  async function measured({ elevation, index }, called) {
    try {
      const answer = await routes.measure({ seq: 0, elevation, unit });
      const line = answer.lines?.[index];
      return line?.interval95_mm ? `${called ?? line.name} ${lengthSaid(line)}`.trim() : "";
    } catch {
      return ""; // the answer can be given without
    }
  }
  return { end: () => clearTimeout(timer) };
}
