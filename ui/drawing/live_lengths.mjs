/**
 * Lengths of what is drawn, asked for as it changes. A length is only shown beside the
 * line that it was measured from: on a slow connection the line says that it is being
 * measured, and without one it has no length.
 */
import { lengthSaid } from "./lengths.mjs";
import { asker } from "./measuring.mjs";
import { Refusal } from "./routes.mjs";

/** @typedef {import("./types.mjs").Elevation} Elevation */

/** An older length beside a line for longer than this could be read off as the line's. */
export const LATE_MS = 400;

/**
 * Whether a line's length is the one that was measured: the line itself is as it was, and
 * so is all that lengths rest on. Drawings are never changed in place, so what is the same
 * object is the same.
 * @param {Elevation | null} measured
 * @param {Elevation} drawn
 * @param {number} index
 * @returns {boolean}
 */
export function isOf(measured, drawn, index) {
  if (measured === drawn) return true;
  if (!measured || measured.lines?.[index] !== drawn.lines?.[index]) return false;
  const keys = /** @type {(keyof Elevation)[]} */ ([...new Set([...Object.keys(measured), ...Object.keys(drawn)])]);
  const rest = keys.every((key) => key === "lines" || measured[key] === drawn[key]);
  return rest && statedOf(measured) === statedOf(drawn);
}

/** What lines say of the soffit that they share. @type {(elevation: Elevation) => string} */
const statedOf = ({ lines = [] }) => JSON.stringify(lines
  .filter((line) => typeof line.projection_mm === "number")
  .map((line) => [line.name, line.projection_mm, line.projection_sd_mm]));

/** @type {(line: import("./types.mjs").MeasuredLine, unit: import("./types.mjs").Unit) => string} */
export function saidOf({ said, length_mm, interval95_mm }, unit) {
  if (!interval95_mm || length_mm === undefined) return "";
  return unit === "mm" && said ? said : lengthSaid(length_mm, interval95_mm, unit);
}

/**
 * @param {object} setting
 * @param {import("./desk.mjs").Desk} setting.desk
 * @param {import("./routes.mjs").Routes} setting.routes
 * @param {import("./types.mjs").Unit} setting.unit
 * @param {import("./texts.mjs").Say} setting.say
 */
export function makeLiveLengths({ desk, routes, unit, say }) {
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let timer;

  /** @type {import("./measuring.mjs").Asking<Elevation, import("./types.mjs").Measured>} */
  const asking = {
    send: (seq, elevation) => routes.measure({ seq, elevation, unit }),
    onAnswer(measured, question) {
      rest();
      if (question !== desk.elevation()) wait();
      desk.change({ measured, measuredOf: question, trouble: "", late: false });
    },
    onFailure(error) {
      rest();
      const told = error instanceof Refusal && error.message ? error.message : say("measure.failed");
      desk.change({ trouble: told, late: false });
    },
  };
  const questions = asker(asking);

  function rest() {
    clearTimeout(timer);
    timer = undefined;
  }
  function wait() {
    timer ??= setTimeout(() => desk.change({ late: true }), LATE_MS);
  }
  function ask() {
    wait();
    questions.ask(desk.elevation());
  }

  desk.onLive(ask);
  desk.onCommit(questions.hurry);

  /** @type {(index: number) => string} */
  function lengthOf(index) {
    const { measured, measuredOf, late, trouble } = desk.state();
    const line = measured?.lines?.[index];
    if (!line?.interval95_mm || line.length_mm === undefined) return "";
    if (line.name !== desk.elevation().lines?.[index]?.name) return ""; // of another line
    if ((late || trouble) && !isOf(measuredOf, desk.elevation(), index)) {
      return trouble ? "" : say("line.late");
    }
    return saidOf(line, unit);
  }
  return { ask, lengthOf, end: rest };
}
