// @ts-check
// What every panel's script shares: texts, elements, requests.

/**
 * @typedef {{drawing: string | null, texts: Record<string, Record<string, string>>,
 *   formats: {name: string, said: string}[]}} Page
 */

/** @type {Promise<Page> | null} */
let facts = null;

/** @returns {Promise<Page>} */
export function page() {
  facts ??= ask("/page.json");
  return facts;
}

/**
 * @param {string} url
 * @param {RequestInit} [options]
 * @returns {Promise<any>}
 */
export async function ask(url, options) {
  const answer = await fetch(url, options);
  const body = await answer.json().catch(() => ({}));
  if (answer.status === 401) {
    window.location.reload();
  }
  if (!answer.ok) {
    throw new Error(body.message ?? `${answer.status}`);
  }
  return body;
}

/**
 * @param {string} name
 * @param {Record<string, string>} [attributes]
 * @param {...(Node | string)} children
 * @returns {HTMLElement}
 */
export function make(name, attributes = {}, ...children) {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    element.setAttribute(key, value);
  }
  element.append(...children);
  return element;
}

/**
 * The button that leads to another panel; manners.mjs makes it do so.
 * @param {string} tab
 * @param {string} words
 */
export const onward = (tab, words) =>
  make("div", { class: "pm-onward" },
    make("button", { type: "button", class: "pm-next", "data-tab": tab }, words));

/**
 * @param {string} text
 * @param {Record<string, string | number>} words
 * @returns {string}
 */
export function filled(text, words) {
  return text.replace(/\{(\w+)\}/g, (whole, key) => String(words[key] ?? whole));
}
