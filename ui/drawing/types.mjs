/**
 * The words that the drawing module and the server share. Only types; nothing runs here.
 *
 * A point is x, y in pixels of the upright full-resolution photo: whole numbers lie at
 * pixel *centres*, so the photo's upper left corner is (-0.5, -0.5). A place on the
 * stage is x, y in CSS pixels from the stage's upper left corner.
 *
 * @typedef {readonly [number, number]} Point
 * @typedef {readonly [number, number]} Place
 *
 * @typedef {object} Line a line of the job file
 * @property {string} name
 * @property {string} [role]
 * @property {readonly Point[]} picks
 * @property {number | null} [projection_mm] null or missing: not known
 * @property {number | null} [projection_sd_mm]
 * @property {number | null} [pick_sd_px]
 *
 * @typedef {object} Soffit a traced soffit of the job file
 * @property {string} name
 * @property {readonly Point[]} wall_edge
 * @property {readonly Point[]} outer_edge
 * @property {readonly string[]} [lines]
 * @property {Point | null} [ground] foot of the wall below it
 * @property {number | null} [sd_mm] how far from level across
 *
 * @typedef {object} Reference any reference of the job file; the kind says which fields
 * @property {string} kind
 * @property {string | null} [name]
 * @property {readonly Point[]} [picks]
 * @property {readonly Point[]} [ends]
 * @property {readonly Point[]} [corners]
 * @property {readonly number[]} [counts]
 * @property {string} [direction]
 * @property {number | null} [length_mm]
 * @property {number | null} [width_mm]
 * @property {number | null} [height_mm]
 * @property {number | null} [sd_mm]
 * @property {number | null} [gauge_mm]
 * @property {number | null} [gauge_sd_mm]
 * @property {readonly string[]} [may_be]
 * @property {number | null} [taped_count]
 * @property {number | null} [taped_mm]
 * @property {string | null} [format]
 * @property {number | null} [taped_sd_mm]
 * @property {number | null} [projection_mm] its plane in front of the wall
 * @property {number | null} [projection_sd_mm]
 * @property {boolean} [rotated]
 *
 * @typedef {object} Elevation
 * @property {string} name
 * @property {string | null} [photo]
 * @property {number | undefined} [pick_sd_px]
 * @property {number | undefined} [wall_relief_sd_mm] how flat the wall is
 * @property {Readonly<Record<string, unknown>> | undefined} [camera]
 * @property {readonly Reference[]} [references]
 * @property {readonly Line[]} [lines]
 * @property {readonly Soffit[]} [soffits]
 *
 * @typedef {object} JobDocument
 * @property {string} [title]
 * @property {readonly Elevation[]} elevations
 *
 * @typedef {object} Tiles full-resolution pieces; the url holds {level} {column} {row}
 * @property {number} size
 * @property {string} url
 *
 * @typedef {object} Photo
 * @property {readonly [number, number]} size_px
 * @property {string} preview
 * @property {readonly [number, number]} preview_size_px
 * @property {Tiles} [tiles]
 * @property {readonly string[]} [facts]
 * @property {readonly string[]} [warnings]
 *
 * @typedef {object} MeasuredLine
 * @property {string} name
 * @property {string} [role]
 * @property {number} [length_mm]
 * @property {number} [u_mm]
 * @property {readonly [number, number]} [interval95_mm]
 * @property {string} [said]
 * @property {string} [refused]
 *
 * @typedef {object} MeasuredReference
 * @property {number} index
 * @property {string} name
 * @property {boolean} suspect
 * @property {string} said
 *
 * @typedef {object} Measured answer of the measure route
 * @property {number} seq
 * @property {boolean} ok
 * @property {string} [message]
 * @property {readonly MeasuredLine[]} [lines]
 * @property {readonly {name: string, said: string, height_said?: string,
 *   height_above?: string}[]} [soffits]
 * @property {readonly string[]} [cautions]
 * @property {{said: string, best_next: string | null}} [scale]
 * @property {readonly MeasuredReference[]} [references]
 * @property {readonly OpenQuestion[]} [questions]
 *
 * @typedef {object} OpenQuestion what the elevation leaves open
 * @property {"format" | "print"} ask
 * @property {readonly number[]} references places of those that it is about
 * @property {readonly string[]} [formats] likeliest first
 *
 * @typedef {object} Candidate an edge that a line may lie on
 * @property {readonly Point[]} ends
 * @property {number} across_sd_px
 * @property {number} [pick_sd_px] how well the ends are known, for the job file
 * @property {number} probability
 * @property {string} said
 *
 * @typedef {object} FoundReference
 * @property {Reference} reference
 * @property {number} confidence
 * @property {boolean} [used] whether the reading relied on it
 * @property {string} said
 * @property {{lines: readonly (readonly Point[])[]}} drawn
 *
 * @typedef {object} Proposal a line that was found in the photo
 * @property {string} [name]
 * @property {string} role
 * @property {readonly Point[]} picks
 * @property {number} [pick_sd_px]
 * @property {number} confidence
 * @property {boolean} [used] whether the reading relied on it
 * @property {string} said
 *
 * @typedef {object} FoundQuestion
 * @property {string} ask
 * @property {string} said
 * @property {readonly {said: string, references: readonly Reference[],
 *   proposal?: Proposal | undefined}[]} ways
 *
 * @typedef {object} Found answer of the read route
 * @property {readonly FoundReference[]} references
 * @property {readonly Proposal[]} proposals
 * @property {readonly FoundQuestion[]} questions
 * @property {readonly string[]} notes
 *
 * @typedef {"mm" | "ft-in"} Unit
 */
export {};
