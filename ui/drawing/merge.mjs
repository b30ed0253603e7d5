/**
 * Two people saved: what each changed since their common revision. Pure.
 *
 * @typedef {import("./types.mjs").JobDocument} JobDocument
 * @typedef {import("./types.mjs").Elevation} Elevation
 * @typedef {Readonly<Record<string, any>>} Item a line, reference or soffit
 */

/** Lists whose items two people may change side by side. */
const LISTS = new Set(["lines", "references", "soffits"]);

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
 * that side, down to single lines, references and soffits; where both changed the same
 * one, or one side took away what the other changed, the elevation is a clash, and stays
 * theirs until a person has chosen.
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
    const both = old && mergedElevation(old, own, their);
    if (!both) clashes.push(their.name);
    return both ?? their;
  });
  for (const own of mine.elevations) {
    const taken = !elevationOf(theirs, own.name);
    if (taken && !same(own, elevationOf(base, own.name))) clashes.push(own.name);
  }
  return { merged: { ...theirs, elevations }, clashes };
}

/**
 * @param {Elevation} old
 * @param {Elevation} own
 * @param {Elevation} their
 * @returns {Elevation | null} null: both changed the same
 */
function mergedElevation(old, own, their) {
  /** @type {Record<string, any>} */
  const result = {};
  for (const key of new Set([...Object.keys(their), ...Object.keys(own)])) {
    const [was, mine, theirs] = [old, own, their].map((one) => /** @type {any} */ (one)[key]);
    if (same(was, mine)) result[key] = theirs;
    else if (same(was, theirs) || same(mine, theirs)) result[key] = mine;
    else if (LISTS.has(key)) result[key] = mergedItems(was ?? [], mine ?? [], theirs ?? []);
    else return null;
    if (result[key] === null && LISTS.has(key)) return null;
  }
  return /** @type {Elevation} */ (withoutLoose(result));
}

/**
 * One's own steps on top of what the others did meanwhile: a step back takes back what one
 * did oneself. Steps that the others' work does not go with are left out.
 * @param {import("./history.mjs").History<Elevation>} history
 * @param {Elevation} old
 * @param {Elevation} their
 * @param {Elevation} present
 * @returns {import("./history.mjs").History<Elevation>}
 */
export function rebased(history, old, their, present) {
  const onto = (/** @type {Elevation} */ own) => (same(own, old) ? their : mergedElevation(old, own, their));
  const moved = (/** @type {readonly Elevation[]} */ steps) =>
    steps.map(onto).flatMap((step) => (step ? [step] : []));
  return { past: moved(history.past), present, future: moved(history.future), key: null };
}

/**
 * Theirs in their order, then what only one's own side put in. Items are told apart by
 * their names: two new ones of one name may be the same real line, so a person is asked.
 * @param {readonly Item[]} was
 * @param {readonly Item[]} mine
 * @param {readonly Item[]} theirs
 * @returns {Item[] | null} null: both changed the same
 */
function mergedItems(was, mine, theirs) {
  const maps = [was, mine, theirs].map(byName);
  const [old, own, their] = maps;
  if (!old || !own || !their) return null;
  const names = [...new Set([...their.keys(), ...own.keys()])];
  const kept = names.map((name) => {
    const [a, b, c] = [old.get(name), own.get(name), their.get(name)];
    if (same(a, b)) return c;
    return same(a, c) || same(b, c) ? b : null;
  });
  return kept.includes(null) ? null : /** @type {Item[]} */ (kept.filter((one) => one !== undefined));
}

/** @type {(items: readonly Item[]) => Map<string, Item> | null} null: some cannot be told apart */
function byName(items) {
  const map = new Map(items.map((one) => [one["name"], one]));
  return map.size === items.length && !map.has(undefined) && !map.has(null) ? map : null;
}

/** A line that one side took away leaves the soffit that the other hung it at. @type {(elevation: Record<string, any>) => Record<string, any>} */
function withoutLoose(elevation) {
  if (!elevation["soffits"]) return elevation;
  const names = new Set((elevation["lines"] ?? []).map((/** @type {Item} */ line) => line["name"]));
  const soffits = elevation["soffits"].map((/** @type {Item} */ soffit) =>
    soffit["lines"]?.every((/** @type {string} */ name) => names.has(name)) ?? true
      ? soffit
      : { ...soffit, lines: soffit["lines"].filter((/** @type {string} */ name) => names.has(name)) });
  return { ...elevation, soffits };
}

/**
 * Put an elevation into a job; one that somebody took out meanwhile comes back.
 * @type {(job: JobDocument, elevation: Elevation) => JobDocument}
 */
export const withElevation = (job, elevation) => ({
  ...job,
  elevations: elevationOf(job, elevation.name)
    ? job.elevations.map((one) => (one.name === elevation.name ? elevation : one))
    : [...job.elevations, elevation],
});

/**
 * Put one's own elevations of some names in the place of theirs.
 * @type {(merged: JobDocument, own: JobDocument, names: readonly string[]) => JobDocument}
 */
export const withOwn = (merged, own, names) =>
  own.elevations.filter((one) => names.includes(one.name)).reduce(withElevation, merged);
