/**
 * What a key means on the stage: pure.
 *
 * @typedef {{key: string, ctrl: boolean, shift: boolean, alt: boolean}} Press
 * @typedef {{type: "nudge", dx: number, dy: number} | {type: "undo"} | {type: "redo"}
 *   | {type: "zoom", factor: number} | {type: "whole"} | {type: "enter"} | {type: "delete"}
 *   | {type: "leave"} | {type: "choose", index: number}} Meaning
 */

const STEP_PX = 1;
const LARGE_STEP_PX = 10;
const FINE_STEP_PX = 0.1;
const ZOOM = 1.4;

/** @type {Readonly<Record<string, readonly [number, number]>>} */
const ARROWS = Object.freeze({
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
});

/** @type {Readonly<Record<string, Meaning>>} */
const PLAIN = Object.freeze({
  "+": { type: "zoom", factor: ZOOM },
  "=": { type: "zoom", factor: ZOOM }, // plus without Shift
  "-": { type: "zoom", factor: 1 / ZOOM },
  "0": { type: "whole" },
  Enter: { type: "enter" },
  " ": { type: "enter" },
  Delete: { type: "delete" },
  Backspace: { type: "delete" },
  Escape: { type: "leave" },
});

/**
 * @param {Press} press
 * @returns {Meaning | null}
 */
export function meaningOf({ key, ctrl, shift, alt }) {
  const arrow = ARROWS[key];
  if (arrow && !ctrl) {
    const step = alt ? FINE_STEP_PX : shift ? LARGE_STEP_PX : STEP_PX;
    return { type: "nudge", dx: arrow[0] * step, dy: arrow[1] * step };
  }
  if (ctrl) {
    const letter = key.toLowerCase();
    if (letter === "z") return { type: shift ? "redo" : "undo" };
    return letter === "y" ? { type: "redo" } : null;
  }
  if (alt) return null;
  if (/^[1-9]$/.test(key)) return { type: "choose", index: Number(key) - 1 };
  return PLAIN[key] ?? null;
}

/** @type {(event: KeyboardEvent) => Press} */
export const pressOf = (event) => ({
  key: event.key,
  ctrl: event.ctrlKey || event.metaKey,
  shift: event.shiftKey,
  alt: event.altKey,
});
