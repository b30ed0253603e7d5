/**
 * Making elements. Text goes in as text, never as markup.
 */

const SVG = "http://www.w3.org/2000/svg";

/**
 * @typedef {Readonly<Record<string, string | number | boolean | null | undefined
 *   | ((event: any) => void)>>} Properties
 *   `on…` are listeners, true is an attribute without a value, null and false leave it out
 */

/**
 * @template {keyof HTMLElementTagNameMap} K
 * @param {K} tag
 * @param {Properties} [properties]
 * @param {...(Node | string)} children
 * @returns {HTMLElementTagNameMap[K]}
 */
export function make(tag, properties = {}, ...children) {
  const element = document.createElement(tag);
  give(element, properties);
  element.append(...children);
  return element;
}

/**
 * @template {keyof SVGElementTagNameMap} K
 * @param {K} tag
 * @param {Properties} [properties]
 * @param {...(Node | string)} children
 * @returns {SVGElementTagNameMap[K]}
 */
export function makeSvg(tag, properties = {}, ...children) {
  const element = document.createElementNS(SVG, tag);
  give(element, properties);
  element.append(...children);
  return element;
}

/**
 * @param {Element} element
 * @param {Properties} properties
 */
export function give(element, properties) {
  for (const [name, value] of Object.entries(properties)) {
    if (typeof value === "function") element.addEventListener(name.slice(2), value);
    else if (value === null || value === undefined || value === false) {
      element.removeAttribute(name);
    } else {
      const text = value === true ? "" : String(value);
      if (element.getAttribute(name) !== text) element.setAttribute(name, text);
    }
  }
}

/** @type {(element: Element, text: string) => void} */
export function tell(element, text) {
  if (element.textContent !== text) element.textContent = text;
}

/**
 * Make the children of an element those of a list, keeping what is already there: a
 * focused handle must survive a redraw, or the keyboard is lost after every undo.
 * @template T
 * @template {Element} E
 * @param {Element} parent
 * @param {readonly T[]} items
 * @param {(item: T) => string} keyOf
 * @param {(item: T) => E} create
 * @param {(element: E, item: T) => void} update
 */
export function match(parent, items, keyOf, create, update) {
  /** @type {Map<string, E>} */
  const old = new Map();
  for (const child of /** @type {E[]} */ ([...parent.children])) {
    old.set(child.getAttribute("data-key") ?? "", child);
  }
  let before = parent.firstElementChild;
  for (const item of items) {
    const key = keyOf(item);
    let element = old.get(key);
    old.delete(key);
    if (!element) {
      element = create(item);
      element.setAttribute("data-key", key);
    }
    update(element, item);
    if (element === before) before = before.nextElementSibling;
    else parent.insertBefore(element, before);
  }
  for (const gone of old.values()) gone.remove();
}
