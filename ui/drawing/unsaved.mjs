/**
 * Work that the server has not got yet, kept in this browser by job.
 *
 * @typedef {import("./types.mjs").JobDocument} JobDocument
 * @typedef {{began: JobDocument, at: string, document: JobDocument}} Unsaved
 *   began: as the server had it
 */

const key = (/** @type {string} */ job) => `drawing-unsaved:${job}`;

/**
 * @param {string} job
 * @param {Storage} storage
 */
export function unsavedWork(job, storage) {
  return {
    /** @type {(began: JobDocument, document: JobDocument) => void} */
    remember(began, document) {
      try {
        storage.setItem(key(job), JSON.stringify({ began, at: new Date().toISOString(), document }));
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
        const whole = [kept?.document, kept?.began].every((one) => Array.isArray(one?.elevations));
        return whole ? kept : null;
      } catch (error) {
        console.warn(error);
        return null;
      }
    },
  };
}
