// @ts-check
// Where the drawing module lives: it is loaded when somebody comes to it.

import { job, recall, remember } from "./address.mjs";
import { ask, make, onward, page } from "./page.mjs";

/** @type {{destroy: () => unknown, show: (name: string) => unknown} | null} */
let drawing = null;

/** Counts who came: opening the page and choosing the panel may both come at once. */
let turn = 0;

/** End the drawing; it saves what it holds first. */
export async function leaveLines() {
  const ended = drawing;
  drawing = null;
  await ended?.destroy();
}

/**
 * @param {HTMLElement} element
 * @returns {Promise<void>}
 */
export async function lines(element) {
  turn += 1;
  const mine = turn;
  await leaveLines();
  const root = element.querySelector(".pm-root") ?? element;
  const { drawing: address, texts, formats } = await page();
  if (!job() || mine !== turn) {
    return;
  }
  if (!address) {
    root.replaceChildren(make("p", { class: "pm-note" }, texts.lines.missing));
    return;
  }
  try {
    await begin(root, address, texts, formats, mine);
  } catch (error) {
    console.error(error);
    root.replaceChildren(make("p", { class: "pm-alert", role: "alert" }, texts.lines.broken));
  }
}

/**
 * @param {Element} root
 * @param {string} address
 * @param {Record<string, Record<string, string>>} texts
 * @param {{name: string, said: string}[]} formats of bricks
 * @param {number} mine turn; who comes later has the place
 */
async function begin(root, address, texts, formats, mine) {
  const answer = await ask(`/work-on/${job()}`);
  const names = answer.elevations
    .filter((/** @type {any} */ one) => one.photo)
    .map((/** @type {any} */ one) => one.name);
  if (!names.length) {
    const photos = texts.lines.photos ?? "";
    root.replaceChildren(make("p", { class: "pm-note" }, texts.lines.no_photo), onward("photos", photos));
    return;
  }
  const chosen = names.includes(recall("elevation")) ? recall("elevation") : names[0];
  const place = make("div", { class: "pm-drawing" });
  const module = await import(address);
  if (mine !== turn) {
    return;
  }
  root.replaceChildren(chooser(names, chosen, texts.lines.elevation), place,
    onward("boards", texts.lines.onward ?? ""));
  const mounted = await module.mount(place, {
    job: job(),
    elevation: chosen,
    base: "",
    texts: texts.drawing ?? {},
    formats,
    unit: recall("unit") === "ft-in" ? "ft-in" : "mm",
    readFresh: true, // what it finds is offered, not taken
    onCommit: () => {},
    onStatus: () => {}, // the drawing says it itself, beside the photo
  });
  if (mine === turn) {
    drawing = mounted;
  } else {
    await mounted.destroy();
  }
}

/**
 * @param {string[]} names
 * @param {string} chosen
 * @param {string} label
 */
function chooser(names, chosen, label) {
  const select = /** @type {HTMLSelectElement} */ (make("select", { class: "pm-select" }));
  for (const name of names) {
    select.append(new Option(name, name, false, name === chosen));
  }
  select.addEventListener("change", () => {
    remember("elevation", select.value);
    drawing?.show(select.value);
  });
  const whole = make("label", { class: "pm-elevation" }, label, select);
  whole.hidden = names.length < 2;
  return whole;
}
