// @ts-check
// What the framework's parts lack for keyboards and ears, and what our markup asks of the
// browser: buttons that lead to a panel, folds that stay as they were left, local times.

const FOLDS = "photomeasure folds";

/** Between what is focused and the tabs below it. */
const FREE_PX = 12;

/** Begin; the page calls it once. */
export function manners() {
  document.addEventListener("click", pressed);
  document.addEventListener("keydown", steered);
  document.addEventListener("focusin", (event) => requestAnimationFrame(() => uncovered(event)));
  document.addEventListener("toggle", folded, true);
  let due = false;
  const look = () => {
    due = false;
    mend();
  };
  const soon = () => {
    if (due) return;
    due = true;
    requestAnimationFrame(look);
  };
  new MutationObserver((changes) => {
    if (changes.some(({ target }) => !(/** @type {Element} */ (target).closest?.(".dr-root")))) soon();
  }).observe(document.body, { childList: true, subtree: true });
  document.addEventListener("click", soon);
  for (const place of document.querySelectorAll("#pm-check-told, #pm-papers-told")) {
    new MutationObserver(() => place.lastElementChild?.scrollIntoView({ block: "nearest" }))
      .observe(place, { childList: true, subtree: true });
  }
  look();
}

/** Put in what is missing from the markup as it is now. */
function mend() {
  for (const button of document.querySelectorAll(".gr-accordion > .label-wrap")) {
    set(button, "aria-expanded", String(button.classList.contains("open")));
  }
  for (const group of document.querySelectorAll("fieldset.block")) {
    const name = group.querySelector('[data-testid="block-info"]')?.textContent?.trim();
    if (name) set(group, "aria-label", name);
    for (const radio of group.querySelectorAll('input[type="radio"]')) set(radio, "name", group.id);
  }
  for (const tab of document.querySelectorAll('[role="tab"]')) {
    set(tab, "tabindex", tab.getAttribute("aria-selected") === "true" ? "0" : "-1");
  }
  const open = remembered();
  for (const fold of document.querySelectorAll("details[data-fold]:not([data-seen])")) {
    fold.setAttribute("data-seen", "");
    const kept = open[fold.getAttribute("data-fold") ?? ""];
    if (kept !== undefined) /** @type {HTMLDetailsElement} */ (fold).open = kept;
  }
  for (const moment of document.querySelectorAll("time[datetime]:not([data-seen])")) {
    moment.setAttribute("data-seen", "");
    const when = new Date(moment.getAttribute("datetime") ?? "");
    moment.textContent = when.toLocaleString(undefined, { dateStyle: "medium", timeStyle: "short" });
  }
}

/** @type {(element: Element, name: string, value: string) => void} */
function set(element, name, value) {
  if (element.getAttribute(name) !== value) element.setAttribute(name, value);
}

/** @param {string} name of a panel */
const tabOf = (name) =>
  /** @type {HTMLElement | null} */ (document.querySelector(`[role="tab"][data-tab-id="${name}"]`));

/** @param {MouseEvent} event */
function pressed({ target, detail }) {
  const button = /** @type {Element | null} */ (target)?.closest?.("[data-tab], #pm-boards-save");
  const name = button?.getAttribute("data-tab");
  if (name) {
    tabOf(name)?.click();
    globalThis.scrollTo({ top: 0 });
    // The keyboard goes on where the eyes do, and not from the head again.
    requestAnimationFrame(() => tabOf(name)?.focus({ preventScroll: true }));
  } else if (button && detail > 0) { // by keys the page stays with what has the keyboard
    const follows = document.querySelector("#pm-takeoff");
    if ((follows?.getBoundingClientRect().top ?? 0) > globalThis.innerHeight * 0.7) {
      follows?.scrollIntoView({ behavior: "smooth", block: "start" });
    }
  }
}

/**
 * Arrows go along the tabs, as in every row of tabs (ARIA practices, tabs).
 * @param {KeyboardEvent} event
 */
function steered(event) {
  const tab = /** @type {Element | null} */ (event.target)?.closest?.('[role="tab"]');
  const tabs = [...(tab?.parentElement?.querySelectorAll('[role="tab"]') ?? [])];
  const at = tab ? tabs.indexOf(tab) : -1;
  const to = { ArrowRight: at + 1, ArrowLeft: at - 1, Home: 0, End: tabs.length - 1 }[event.key];
  if (at < 0 || to === undefined) return;
  event.preventDefault();
  const next = /** @type {HTMLElement | undefined} */ (tabs[(to + tabs.length) % tabs.length]);
  next?.click();
  next?.focus();
}

/**
 * What has the keyboard is not left under the tabs of a phone (WCAG 2.4.11).
 * @param {FocusEvent} event
 */
function uncovered({ target }) {
  const one = /** @type {Element} */ (target);
  const bar = document.querySelector("#pm-tabs > .tab-wrapper");
  if (!bar || bar.contains(one) || getComputedStyle(bar).position !== "fixed") return;
  const [box, top] = [one.getBoundingClientRect(), bar.getBoundingClientRect().top];
  const under = box.bottom + FREE_PX - top;
  if (under > 0 && box.height < top / 2) globalThis.scrollBy({ top: under });
}

/** @returns {Record<string, boolean>} */
function remembered() {
  try {
    return JSON.parse(sessionStorage.getItem(FOLDS) ?? "{}");
  } catch {
    return {};
  }
}

/** @param {Event} event */
function folded({ target }) {
  const fold = /** @type {HTMLDetailsElement | null} */ (target);
  const key = fold?.getAttribute?.("data-fold");
  if (!fold || !key) return;
  sessionStorage.setItem(FOLDS, JSON.stringify({ ...remembered(), [key]: fold.open }));
}
