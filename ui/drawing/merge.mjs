/**
 * Two people saved: what each changed since their common revision. Pure.
 *
 * @typedef {import("./types.mjs").JobDocument} JobDocument
 * @typedef {import("./types.mjs").Elevation} Elevation
 */

/**
 * The same whatever the order of fields, and whether an unknown is null or left out.
 * @param {unknown} value
 * @returns {string}
 */
export function canonical(value) {
  if (Array.isArray(value)) return `[${value.map(canonical).join()}]`;
  if (value === null || typeof value !== "object") return JSON.stringify(value) ?? "null";
  const entries = Object.entries(value)
    .filter(([, item]) => item !== null && item !== undefined)
    .sort(([a], [b]) => (a < b ? -1 : 1));
  return `{${entries.map(([key, item]) => `${JSON.stringify(key)}:${canonical(item)}`).join()}}`;
}

/** @type {(a: unknown, b: unknown) => boolean} */
export const same = (a, b) => canonical(a) === canonical(b);

/** @type {(job: JobDocument, name: string) => Elevation | undefined} */
export const elevationOf = (job, name) => job.elevations.find((one) => one.name === name);

/**
 * Put one's own elevations into their document. What only one side changed is taken from
 * that side; an elevation that both changed is a clash, and stays theirs until a person
 * has chosen.
 * @param {JobDocument} base
 * @param {JobDocument} mine
 * @param {JobDocument} theirs
 * @returns {{merged: JobDocument, clashes: string[]}}
 */
export function merge(base, mine, theirs) {
  /** @type {string[]} */
  const clashes = [];
  const elevations = theirs.elevations.map((their) => {
    const own = elevationOf(mine, their.name);
    const old = elevationOf(base, their.name);
    if (!own || same(own, old) || same(own, their)) return their;
    if (same(old, their)) return own;
    clashes.push(their.name);
    return their;
  });
  return { merged: { ...theirs, elevations }, clashes };
}

/** @type {(job: JobDocument, elevation: Elevation) => JobDocument} */
export const withElevation = (job, elevation) => ({
  ...job,
  elevations: job.elevations.map((one) => (one.name === elevation.name ? elevation : one)),
});

/**
 * Put one's own elevations of some names in the place of theirs.
 * @type {(merged: JobDocument, own: JobDocument, names: readonly string[]) => JobDocument}
 */
export function withOwn(merged, own, names) {
  const elevations = merged.elevations.map((their) =>
    names.includes(their.name)
      ? (own.elevations.find((one) => one.name === their.name) ?? their)
      : their,
  );
  return { ...merged, elevations };
}
