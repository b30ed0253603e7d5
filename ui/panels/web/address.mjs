// @ts-check
// The page's address holds what a reload has to come back to.

/**
 * @param {string} key
 * @returns {string}
 */
export function recall(key) {
  return new URL(window.location.href).searchParams.get(key) ?? "";
}

/**
 * @param {string} key
 * @param {string} value
 */
export function remember(key, value) {
  const url = new URL(window.location.href);
  url.searchParams.set(key, value);
  history.replaceState(history.state, "", url);
}

/** @returns {string} The job that is worked on. */
export function job() {
  return recall("job");
}
