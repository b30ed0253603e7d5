/**
 * Work that the server has not got yet, kept in this browser by job.
 *
 * @typedef {import("./types.mjs").JobDocument} JobDocument
 * @typedef {{base: number, at: string, document: JobDocument}} Unsaved
 */

const key = (/** @type {string} */ job) => `drawing-unsaved:${job}`;

/**
 * @param {string} job
 * @param {Storage} storage
 */
export function unsavedWork(job, storage) {
  return {
    /** @type {(base: number, document: JobDocument) => void} */
    remember(base, document) {
      try {
        storage.setItem(key(job), JSON.stringify({ base, at: new Date().toISOString(), document }));
      } catch (error) {
        console.warn(error); // storage is full or barred: the server's copy is all there is
      }
    },
    forget() {
      try {
        storage.removeItem(key(job));
      } catch (error) {
        console.warn(error);
      }
    },
    /** @type {() => Unsaved | null} */
    recall() {
      try {
        const kept = JSON.parse(storage.getItem(key(job)) ?? "null");
        return Array.isArray(kept?.document?.elevations) ? kept : null;
      } catch (error) {
        console.warn(error);
        return null;
      }
    },
  };
}
