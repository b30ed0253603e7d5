/**
 * What is drawn: changes of one elevation of the job file, each returning a new one. Pure.
 *
 * @typedef {import("./types.mjs").Point} Point
 * @typedef {import("./types.mjs").Elevation} Elevation
 * @typedef {import("./types.mjs").Line} Line
 * @typedef {import("./types.mjs").Reference} Reference
 * @typedef {import("./types.mjs").Soffit} Soffit
 * @typedef {"lines" | "references" | "soffits"} List
 *
 * @typedef {object} Shape picks that are drawn and moved together
 * @property {string} id list/index/field
 * @property {List} list
 * @property {number} index
 * @property {string} field where the picks stand in the job file
 * @property {readonly Point[]} picks
 * @property {"open" | "closed" | "marks"} form marks are not joined: each pick stands alone
 * @property {string} name
 * @property {string} kind role of a line, kind of a reference, "soffit", "ground"
 * @property {readonly number[]} [counts] numbers of the marks
 */

/** Fields that hold picks, by kind of reference. @type {Readonly<Record<string, string>>} */
const FIELD = Object.freeze({
  points: "picks",
  rectangle: "corners",
  distance: "ends",
  level: "ends",
  plumb: "ends",
  straight: "picks",
  courses: "picks",
});

/** The job file's word for a pick by hand. */
const USUAL_PICK_SD_PX = 1;

/** Shapes whose number of picks may change, and the fewest each may have. */
const FEWEST = /** @type {Readonly<Record<string, number>>} */ ({ straight: 3 });
const FIXED = new Set(["points", "rectangle", "distance", "level", "plumb", "courses", "ground"]);

/**
 * All that can be drawn and moved.
 * @param {Elevation} elevation
 * @returns {Shape[]}
 */
export function shapesOf(elevation) {
  return [
    ...(elevation.references ?? []).flatMap(referenceShape),
    ...(elevation.soffits ?? []).flatMap(soffitShapes),
    ...(elevation.lines ?? []).map(lineShape),
  ];
}

/** @type {(line: Line, index: number) => Shape} */
const lineShape = (line, index) => ({
  id: `lines/${index}/picks`,
  list: "lines",
  index,
  field: "picks",
  picks: line.picks,
  form: "open",
  name: line.name,
  kind: line.role ?? "other",
});

/** @type {(soffit: Soffit, index: number) => Shape[]} */
const soffitShapes = (soffit, index) =>
  /** @type {const} */ (["wall_edge", "outer_edge", "ground"]).flatMap((field) => {
    const picks = field === "ground" ? (soffit.ground ? [soffit.ground] : null) : soffit[field];
    return picks === null ? [] : [{
      id: `soffits/${index}/${field}`,
      list: /** @type {const} */ ("soffits"),
      index,
      field,
      picks,
      form: field === "ground" ? /** @type {const} */ ("marks") : /** @type {const} */ ("open"),
      name: soffit.name,
      kind: field === "ground" ? "ground" : "soffit",
    }];
  });

/** @type {(reference: Reference, index: number) => Shape[]} */
function referenceShape(reference, index) {
  const field = FIELD[reference.kind];
  const picks = field && /** @type {any} */ (reference)[field];
  if (!field || !picks) return [];
  return [
    {
      id: `references/${index}/${field}`,
      list: "references",
      index,
      field,
      picks,
      form: formOf(reference.kind),
      name: reference.name ?? "",
      kind: reference.kind,
      ...(reference.counts ? { counts: reference.counts } : {}),
    },
  ];
}

/** @type {(kind: string) => Shape["form"]} */
export function formOf(kind) {
  if (kind === "courses" || kind === "points") return "marks";
  return kind === "rectangle" ? "closed" : "open";
}

/** @type {(elevation: Elevation, id: string | null) => Shape | undefined} */
export const shapeOf = (elevation, id) => shapesOf(elevation).find((shape) => shape.id === id);

/**
 * @template T
 * @param {readonly T[]} items
 * @param {number} at
 * @param {number} gone how many are taken out there
 * @param {...T} put what comes in
 * @returns {T[]}
 */
const spliced = (items, at, gone, ...put) => [
  ...items.slice(0, at), ...put, ...items.slice(at + gone),
];

/** @type {(elevation: Elevation, id: string, picks: readonly Point[]) => Elevation} */
export function withPicks(elevation, id, picks) {
  const shape = shapeOf(elevation, id);
  if (!shape) return elevation;
  // The ground below a soffit is one point, not a list of them.
  const value = shape.kind === "ground" ? picks[0] : picks;
  return withPatch(elevation, shape.list, shape.index, { [shape.field]: value });
}

/**
 * Move a pick, and with it every other pick that was joined to it.
 * @param {Elevation} elevation
 * @param {string} id
 * @param {number} at which pick
 * @param {Point} to
 * @param {boolean} [alone] part it from what it was joined to
 * @returns {Elevation}
 */
export function withPickMoved(elevation, id, at, to, alone = false) {
  const from = shapeOf(elevation, id)?.picks[at];
  if (!from) return elevation;
  let moved = elevation;
  for (const shape of shapesOf(elevation)) {
    const own = shape.id === id;
    if (!own && (alone || shape.list !== "lines")) continue;
    const joined = (/** @type {Point} */ pick, /** @type {number} */ index) =>
      own ? index === at : pick[0] === from[0] && pick[1] === from[1];
    if (!shape.picks.some(joined)) continue;
    const picks = shape.picks.map((pick, index) => (joined(pick, index) ? to : pick));
    moved = withPicks(moved, shape.id, picks);
    if (shape.list === "lines") moved = handPlaced(moved, shape.index);
  }
  return moved;
}

/**
 * A line that was laid on its edge by the program is known better than by hand; moved by
 * hand it is not any more.
 * @type {(elevation: Elevation, index: number) => Elevation}
 */
function handPlaced(elevation, index) {
  const stated = elevation.lines?.[index]?.pick_sd_px ?? Infinity;
  if (stated >= (elevation.pick_sd_px ?? USUAL_PICK_SD_PX)) return elevation;
  return withPatch(elevation, "lines", index, { pick_sd_px: undefined });
}

/**
 * Whether another line has a pick at the same point.
 * @type {(elevation: Elevation, id: string, at: number) => boolean}
 */
export function isJoined(elevation, id, at) {
  const own = shapeOf(elevation, id)?.picks[at];
  return shapesOf(elevation).some((shape) =>
    shape.list === "lines" && shape.id !== id &&
    shape.picks.some((pick) => pick[0] === own?.[0] && pick[1] === own[1]));
}

/** @type {(shape: Shape) => boolean} */
export const bends = (shape) => !FIXED.has(shape.kind);

/**
 * Put a bend after a pick.
 * @type {(elevation: Elevation, id: string, after: number, point: Point) => Elevation}
 */
export function withBend(elevation, id, after, point) {
  const shape = shapeOf(elevation, id);
  if (!shape || !bends(shape)) return elevation;
  return withPicks(elevation, id, spliced(shape.picks, after + 1, 0, point));
}

/**
 * Take a whole shape out: of a soffit its ground point alone, or all of it.
 * @type {(elevation: Elevation, shape: Shape) => Elevation}
 */
export const withoutShape = (elevation, { kind, list, index }) =>
  kind === "ground"
    ? withPatch(elevation, list, index, { ground: undefined })
    : without(elevation, list, index);

/**
 * Take a pick out; a shape with too few picks goes altogether.
 * @type {(elevation: Elevation, id: string, at: number) => Elevation}
 */
export function withoutPick(elevation, id, at) {
  const shape = shapeOf(elevation, id);
  if (!shape) return elevation;
  const fewest = FEWEST[shape.kind] ?? 2;
  if (!bends(shape) || shape.picks.length <= fewest) return withoutShape(elevation, shape);
  return withPicks(elevation, id, spliced(shape.picks, at, 1));
}

/**
 * Change some fields of one line, reference or soffit; an undefined field is taken out.
 * @param {Elevation} elevation
 * @param {List} list
 * @param {number} index
 * @param {Readonly<Record<string, unknown>>} patch
 * @returns {Elevation}
 */
export function withPatch(elevation, list, index, patch) {
  const items = (elevation[list] ?? []).map((item, at) => {
    if (at !== index) return item;
    const entries = Object.entries({ ...item, ...patch });
    return Object.fromEntries(entries.filter(([, value]) => value !== undefined));
  });
  return { ...elevation, [list]: items };
}

/** @type {(elevation: Elevation, list: List, item: object) => Elevation} */
export const withItem = (elevation, list, item) => ({
  ...elevation,
  [list]: [...(elevation[list] ?? []), item],
});

/**
 * Take out one line, reference or soffit; a line that goes leaves its soffits.
 * @type {(elevation: Elevation, list: List, index: number) => Elevation}
 */
export function without(elevation, list, index) {
  const gone = elevation[list]?.[index];
  const next = { ...elevation, [list]: spliced(/** @type {readonly any[]} */ (elevation[list] ?? []), index, 1) };
  if (list !== "lines" || !gone) return next;
  const others = next.lines?.some((line) => line.name === gone.name);
  return others ? next : withHanging(next, gone.name ?? "", null);
}

/**
 * Rename a line, and the soffits' word for it.
 * @type {(elevation: Elevation, index: number, name: string) => Elevation}
 */
export function withName(elevation, index, name) {
  const old = elevation.lines?.[index]?.name;
  const next = withPatch(elevation, "lines", index, { name });
  const soffits = (next.soffits ?? []).map((soffit) =>
    soffit.lines?.includes(String(old))
      ? { ...soffit, lines: soffit.lines.map((line) => (line === old ? name : line)) }
      : soffit,
  );
  return next.soffits ? { ...next, soffits } : next;
}

/**
 * Hang a line at a soffit's outer edge, or at none.
 * @type {(elevation: Elevation, line: string, at: string | null) => Elevation}
 */
export function withHanging(elevation, line, at) {
  if (!elevation.soffits) return elevation;
  const soffits = elevation.soffits.map((soffit) => {
    const others = (soffit.lines ?? []).filter((name) => name !== line);
    return { ...soffit, lines: soffit.name === at ? [...others, line] : others };
  });
  return { ...elevation, soffits };
}

/** @type {(elevation: Elevation, line: string) => string | null} */
export const hangsAt = (elevation, line) =>
  elevation.soffits?.find((soffit) => soffit.lines?.includes(line))?.name ?? null;

/**
 * A name that no line of the job has: lines of one name are one real line.
 * @param {string} wanted
 * @param {ReadonlySet<string>} taken
 * @returns {string}
 */
export function freshName(wanted, taken) {
  if (!taken.has(wanted)) return wanted;
  for (let number = 2; ; number += 1) {
    if (!taken.has(`${wanted} ${number}`)) return `${wanted} ${number}`;
  }
}
