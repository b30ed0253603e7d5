/**
 * What only a person can tell, and what the drawing becomes by each answer: pure. Questions
 * come from the job (brickwork of an open format, sheets that nobody measured) and from
 * what was read in the photo. None is ticked off: a question is there as long as the
 * drawing leaves it open, so that Undo asks it again.
 *
 * @typedef {import("./types.mjs").Elevation} Elevation
 * @typedef {import("./types.mjs").Reference} Reference
 * @typedef {import("./types.mjs").Proposal} Proposal
 * @typedef {import("./types.mjs").Found} Found
 *
 * @typedef {object} Way
 * @property {string} key
 * @property {string} said the answer in a few words
 * @property {(elevation: Elevation) => Elevation} apply
 * @property {Proposal} [proposal] the line that it takes up
 *
 * @typedef {object} Question
 * @property {string} key
 * @property {string} ask "format", "print", "line", or whether it is brickwork at all
 * @property {string} said empty where the catalogue has the words
 * @property {readonly Way[]} ways likeliest first
 * @property {readonly number[]} references that it is about, of the job
 * @property {boolean} found whether it was read from the photo and can be waved away
 */
import { LEAST_CONFIDENCE, sameLine } from "./found.mjs";
import { withItem, withPatch } from "./model.mjs";

/** As many answers are buttons; the others are a list to choose from. */
export const OFFERED = 2;

const OPEN = Object.freeze({ gauge_mm: undefined, gauge_sd_mm: undefined, may_be: undefined });

/** @type {(elevation: Elevation, indices: readonly number[], format: string) => Elevation} */
export const withFormat = (elevation, indices, format) =>
  indices.reduce((next, index) => withPatch(next, "references", index, { ...OPEN, format }), elevation);

/**
 * A taped run is of bed joints; perpends keep their wide spread, which harms nothing.
 * @type {(elevation: Elevation, indices: readonly number[], count: number, mm: number) => Elevation}
 */
export const withTape = (elevation, indices, count, mm) =>
  indices.reduce((next, index) => {
    const along = next.references?.[index]?.direction === "along";
    const taped = { ...OPEN, taped_count: count, taped_mm: mm };
    return withPatch(next, "references", index, along ? { may_be: undefined } : taped);
  }, elevation);

/**
 * Put references in the place of those of the same name, or beside the others.
 * @type {(elevation: Elevation, references: readonly Reference[]) => Elevation}
 */
export const withReferences = (elevation, references) =>
  references.reduce((next, one) => {
    const index = (next.references ?? []).findIndex(({ name }) => name === one.name);
    if (index < 0) return withItem(next, "references", one);
    const others = (next.references ?? []).map((old, at) => (at === index ? one : old));
    return { ...next, references: others };
  }, elevation);

/**
 * @param {import("./types.mjs").Measured | null} measured
 * @param {Elevation | null} measuredOf
 * @param {Elevation} elevation
 * @returns {Question[]}
 */
function questionsOfJob(measured, measuredOf, elevation) {
  if (!measuredOf || measuredOf.references !== elevation.references) return [];
  return (measured?.questions ?? []).map(({ ask, references, formats = [] }) => ({
    key: `job ${ask}`, ask, said: "", references, found: false,
    ways: formats.slice(0, OFFERED).map((format) => ({
      key: format, said: format,
      apply: (/** @type {Elevation} */ now) => withFormat(now, references, format) })),
  }));
}

/** @type {(question: import("./types.mjs").FoundQuestion, index: number) => Question} */
const asFound = ({ ask, said, ways }, index) => ({
  key: `found ${index}`, ask, references: [], found: true,
  // The reading's own words hold lengths, that other answers have changed since.
  said: ask === "line" || ask === "format" ? "" : said,
  ways: ways.map((way, place) => ({
    key: `${place}`, said: way.said,
    ...(way.proposal ? { proposal: way.proposal } : {}),
    apply: (now) => withReferences(way.proposal ? withItem(now, "lines", lineOf(way.proposal)) : now, way.references) })),
});

/** @type {(proposal: Proposal) => import("./types.mjs").Line} */
export const lineOf = ({ name, role, picks, pick_sd_px }) =>
  ({ name: name ?? role, role, picks, ...(pick_sd_px ? { pick_sd_px } : {}) });

/** @type {(question: import("./types.mjs").FoundQuestion, elevation: Elevation, width: number) => boolean} */
function isOpen({ ask, ways }, { lines = [], references = [] }, width) {
  if (ask !== "line") {
    const names = new Set(references.map(({ name }) => name));
    return !ways.some((way) => way.references.some(({ name }) => names.has(name)));
  }
  if (!ways.some(({ proposal }) => proposal && proposal.confidence >= LEAST_CONFIDENCE)) return false;
  return !ways.some(({ proposal }) => proposal && lines.some((line) =>
    sameLine(line.picks, proposal.picks, width) || (proposal.role === "eaves" && line.role === "eaves")));
}

/**
 * @param {import("./desk.mjs").State} state
 * @param {Elevation} elevation
 * @returns {Question[]}
 */
export function openQuestions({ measured, measuredOf, found, size }, elevation) {
  const read = (found?.questions ?? []).map((one, index) => /** @type {const} */ ([one, index]))
    .filter(([one]) => one.ways.length > 0 && isOpen(one, elevation, size[0]))
    .map(([one, index]) => asFound(one, index));
  return [...questionsOfJob(measured, measuredOf, elevation), ...read];
}

/**
 * The lines that open questions are about, each with its place among the answers.
 * @param {import("./desk.mjs").State} state
 * @param {Elevation} elevation
 * @returns {Map<Proposal, number>}
 */
export const askedAbout = (state, elevation) =>
  new Map(openQuestions(state, elevation).flatMap(({ ways }) =>
    ways.flatMap(({ proposal }, place) => (proposal ? [/** @type {const} */ ([proposal, place])] : []))));

/**
 * What to measure by an answer: its own line, else the selected one, else the longest,
 * else the likeliest of those found.
 * @param {import("./desk.mjs").State} state
 * @param {Elevation} elevation
 * @param {Way} way
 * @returns {{elevation: Elevation, index: number} | null}
 */
export function trialOf({ selected, measured, found }, elevation, way) {
  const answered = way.apply(elevation);
  const lines = answered.lines ?? [];
  if (way.proposal) return { elevation: answered, index: lines.length - 1 };
  const chosen = /^lines\/(\d+)\//.exec(selected ?? "");
  if (chosen) return { elevation: answered, index: Number(chosen[1]) };
  if (lines.length > 0) {
    const lengths = lines.map((_, i) => measured?.lines?.[i]?.length_mm ?? 0);
    return { elevation: answered, index: lengths.indexOf(Math.max(...lengths)) };
  }
  const [best] = [...(found?.proposals ?? [])].filter(({ role }) => role !== "ridge")
    .sort((a, b) => b.confidence - a.confidence);
  return best ? { elevation: withItem(answered, "lines", lineOf(best)), index: 0 } : null;
}
