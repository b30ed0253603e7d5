/**
 * Lengths as people write and read them: millimetres inside, metres or feet and inches
 * outside. Pure.
 *
 * @typedef {import("./types.mjs").Unit} Unit
 */

const MM_PER_INCH = 25.4;
/** As on a tape, and as on the papers. */
const PARTS = 16;

/** @type {(mm: number, up?: boolean) => string} */
function feetAndInches(mm, up = false) {
  const parts = (up ? Math.ceil : Math.round)((mm / MM_PER_INCH) * PARTS - (up ? 1e-9 : 0));
  const feet = Math.floor(parts / (12 * PARTS));
  const inches = Math.floor((parts % (12 * PARTS)) / PARTS);
  const part = parts % PARTS;
  const common = part % 8 === 0 ? 8 : part % 4 === 0 ? 4 : part % 2 === 0 ? 2 : 1;
  const fraction = part ? `${part / common}/${PARTS / common}` : "";
  const whole = [inches || (!fraction && !feet) ? `${inches}` : "", fraction]
    .filter(Boolean)
    .join(" ");
  return [feet ? `${feet} ft` : "", whole ? `${whole} in` : ""].filter(Boolean).join(" ");
}

/**
 * A length with the half-width of its 95 % interval. The half-width is rounded up: an
 * interval on the screen is never narrower than the one that was computed.
 * @param {number} mm
 * @param {readonly [number, number]} interval
 * @param {Unit} unit
 * @returns {string}
 */
export function lengthSaid(mm, interval, unit) {
  const half = Math.max(interval[1] - mm, mm - interval[0]);
  if (unit === "ft-in") return `${feetAndInches(mm)} ± ${feetAndInches(half, true)}`;
  return `${(mm / 1000).toFixed(3)} m ± ${Math.ceil(half - 1e-9)} mm`;
}

/**
 * A stated size for a form's field, to be read back by {@link readLength}.
 * @type {(mm: number | null | undefined, unit: Unit) => string}
 */
export function sizeSaid(mm, unit) {
  if (mm === null || mm === undefined) return "";
  return unit === "ft-in" ? feetAndInches(mm) : String(Math.round(mm * 10) / 10);
}

/**
 * Read what a person typed: `3597`, `3.597 m`, `359.7 cm`, `11' 9 5/8"`, `11 ft 9`, `9 1/2"`.
 * A bare number is millimetres, or inches where feet and inches are shown.
 * @param {string} text
 * @param {Unit} unit
 * @returns {number | null} millimetres; null if it is not a length
 */
export function readLength(text, unit) {
  const said = text.trim().toLowerCase().replace(",", ".").replaceAll(/[′’]/g, "'")
    .replaceAll(/[″”]|''/g, '"');
  const metric = /^(\d+(?:\.\d+)?|\.\d+)\s*(mm|cm|m)?$/.exec(said);
  if (metric) {
    const factors = { mm: 1, cm: 10, m: 1000, "": unit === "mm" ? 1 : MM_PER_INCH };
    return Number(metric[1]) * factors[/** @type {keyof typeof factors} */ (metric[2] ?? "")];
  }
  return imperial(said);
}

/** @type {(said: string) => number | null} */
function imperial(said) {
  const feet = String.raw`(?:(\d+(?:\.\d+)?)\s*(?:'|ft|feet|foot)\s*-?\s*)?`;
  const inches = String.raw`(?:(\d+(?:\.\d+)?)?(?:(?:^|\s+|-)?(\d+)\s*\/\s*(\d+))?\s*(?:"|in|inch|inches)?)?`;
  const match = new RegExp(`^${feet}${inches}$`).exec(said);
  if (!match || said === "") return null;
  const [, ft, whole, over, under] = match;
  if (ft === undefined && whole === undefined && over === undefined) return null;
  if (under !== undefined && Number(under) === 0) return null;
  const part = over === undefined ? 0 : Number(over) / Number(under);
  return (Number(ft ?? 0) * 12 + Number(whole ?? 0) + part) * MM_PER_INCH;
}
