/**
 * The server's routes. An answer that is a refusal becomes a Refusal with its sentence; a
 * connection that fails stays the TypeError that `fetch` throws.
 */

/** The server answered, and said no. */
export class Refusal extends Error {
  /**
   * @param {number} status
   * @param {string} message
   * @param {number | null} revision newest one, of a conflict
   */
  constructor(status, message, revision) {
    super(message);
    this.status = status;
    this.revision = revision;
  }
}

/** A server that answers so is restarting or behind a proxy that lost it. */
const PASSING = new Set([502, 503, 504]);

/** @type {(error: unknown) => boolean} whether trying again can help */
export const isPassing = (error) => !(error instanceof Refusal) || PASSING.has(error.status);

/**
 * @typedef {object} Routes
 * @property {() => Promise<any>} open
 * @property {(body: object) => Promise<{revision: number}>} save
 * @property {(body: object) => Promise<import("./types.mjs").Measured>} measure
 * @property {(body: object) => Promise<{seq: number, clear: boolean,
 *   candidates: import("./types.mjs").Candidate[]}>} snap
 * @property {(body: object) => Promise<any>} read
 * @property {(body: object) => Promise<{references: import("./types.mjs").Reference[]}>} printSize
 */

/**
 * @param {string} base what stands before the routes, without a slash at its end
 * @param {string} job
 * @returns {Routes}
 */
export function makeRoutes(base, job) {
  const root = `${base}/work-on/${encodeURIComponent(job)}`;

  /** @type {(method: string, path: string, body?: object) => Promise<any>} */
  async function ask(method, path, body) {
    const response = await fetch(root + path, {
      method,
      credentials: "same-origin",
      ...(body === undefined
        ? {}
        : { body: JSON.stringify(body), headers: { "content-type": "application/json" } }),
    });
    const answer = await response.json().catch(() => ({}));
    if (response.ok) return answer;
    throw new Refusal(response.status, String(answer.message ?? ""), answer.revision ?? null);
  }
  return {
    open: () => ask("GET", ""),
    save: (body) => ask("PUT", "", body),
    measure: (body) => ask("POST", "/measure", body),
    snap: (body) => ask("POST", "/snap", body),
    read: (body) => ask("POST", "/read", body),
    printSize: (body) => ask("POST", "/print-size", body),
  };
}
