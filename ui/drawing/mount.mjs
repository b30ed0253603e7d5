/**
 * The drawing part of the page: `mount()` puts it into an empty element.
 */
import { make } from "./dom.mjs";
import { makeJob } from "./job.mjs";
import { makeRoutes, Refusal } from "./routes.mjs";
import { speaker } from "./texts.mjs";

/**
 * @typedef {object} Options
 * @property {string} job
 * @property {string} [elevation] its name; the first one if left out
 * @property {string} [base] what stands before the routes
 * @property {Readonly<Record<string, string>>} texts the catalogue's group `drawing`
 * @property {import("./types.mjs").Unit} [unit]
 * @property {string} [who] whose work it is, for the job's history
 * @property {readonly {name: string, said: string}[]} [formats] of bricks, to choose from
 * @property {boolean} [readFresh] read the photo of a wall that nobody worked on yet
 * @property {(revision: number) => void} [onCommit] a revision was saved
 * @property {(sentence: string) => void} [onStatus]
 *
 * @typedef {object} Mounted
 * @property {() => Promise<void>} destroy saves what waits first
 * @property {(elevation: string) => void} show another elevation
 * @property {() => void} focus
 * @property {(clientX: number, clientY: number) => import("./types.mjs").Point} pointAt what
 *   would be picked at a place of the window
 */

/** Put the module's style sheet into the page, once. */
function withStyle() {
  const href = new URL("./drawing.css", import.meta.url).href;
  const there = document.querySelector(`link[href="${href}"]`);
  if (there) return Promise.resolve();
  return new Promise((resolve) => {
    const link = make("link", { rel: "stylesheet", href });
    link.onload = link.onerror = resolve;
    document.head.append(link);
  });
}

/**
 * @param {HTMLElement} element
 * @param {Options} options
 * @returns {Promise<Mounted>}
 */
export async function mount(element, options) {
  const say = speaker(options.texts);
  const routes = makeRoutes(options.base ?? "", options.job);
  const root = make("div", { class: "dr-root", lang: document.documentElement.lang || "en" },
    make("p", { class: "dr-quiet" }, say("opening")));
  element.replaceChildren(root);
  try {
    const [opened] = await Promise.all([routes.open(), withStyle()]);
    return begin(element, root, options, opened);
  } catch (error) {
    const told = error instanceof Refusal && error.message ? error.message : say("opening.failed");
    const again = make("button", { type: "button", onclick: () => void mount(element, options) }, say("opening.again"));
    root.replaceChildren(make("p", { role: "alert" }, told), again);
    throw error;
  }
}

/**
 * @param {HTMLElement} element
 * @param {HTMLElement} root
 * @param {Options} options
 * @param {any} opened answer of the job's route
 * @returns {Mounted}
 */
function begin(element, root, options, opened) {
  const say = speaker(options.texts);
  const routes = makeRoutes(options.base ?? "", options.job);
  const job = makeJob(opened, options, say, routes);
  let sheet = job.lay(options.elevation ?? opened.document.elevations[0]?.name);
  root.replaceChildren(job.notices.element, sheet.element);
  sheet.begin();
  // What is not saved by then is kept in this browser and offered at the next visit.
  const leaving = () => job.saving.flush();
  globalThis.addEventListener("pagehide", leaving);
  return {
    async destroy() {
      globalThis.removeEventListener("pagehide", leaving);
      job.saving.flush();
      await job.saving.settled();
      job.saving.stop();
      sheet.end();
      element.replaceChildren();
    },
    show(name) {
      sheet.end();
      sheet = job.lay(name);
      root.replaceChildren(job.notices.element, sheet.element);
      sheet.begin();
    },
    focus: () => sheet.focus(),
    pointAt: (x, y) => sheet.pointAt(x, y),
  };
}
