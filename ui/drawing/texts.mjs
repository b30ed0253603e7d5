/**
 * The catalogue's texts by key, with values put in.
 *
 * A missing text shows its key, so that a gap is seen and nothing is lost.
 *
 * @typedef {(key: string, values?: Readonly<Record<string, string | number>>) => string} Say
 */

/**
 * @param {Readonly<Record<string, string>>} texts flat: key to text with {names} in braces
 * @returns {Say}
 */
export function speaker(texts) {
  return (key, values = {}) =>
    (texts[key] ?? key).replaceAll(/\{(\w+)\}/g, (whole, name) => String(values[name] ?? whole));
}

/** Roles of the job file, in the order in which a roofline is walked. */
export const ROLES = Object.freeze([
  "eaves", "rake", "verge", "ridge", "hip", "valley", "fascia", "soffit", "fascia_depth",
  "box_end", "gutter", "downpipe", "opening", "wall", "other",
]);
