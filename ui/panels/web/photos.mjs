// @ts-check
// Photos in: dropped, chosen or taken, several at once, each with its progress.

import { job } from "./address.mjs";
import { ask, filled, make, onward, page } from "./page.mjs";

const PICTURES = "image/jpeg,image/png,image/webp,image/tiff,image/heic,image/heif,.heic,.heif";

/**
 * @param {HTMLElement} element
 * @returns {Promise<void>}
 */
export async function photos(element) {
  const words = (await page()).texts.photos;
  const cards = make("div", { class: "pm-cards" });
  const sending = make("ul", { class: "pm-sending", "aria-live": "polite" });
  const root = element.querySelector(".pm-root") ?? element;
  const next = onward("lines", words.onward);
  next.hidden = true;
  const show = (/** @type {any} */ answer) => {
    cards.replaceChildren(...drawn(answer, words));
    next.hidden = !answer.elevations.some((/** @type {any} */ one) => one.photo);
  };
  const send = (/** @type {FileList | null} */ files) => sendAll(files, sending, show, words);
  root.replaceChildren(dropZone(send, words), sending, cards, next);
  if (!job()) {
    return;
  }
  try {
    show(await ask(`/work-on/${job()}`));
  } catch (error) {
    cards.replaceChildren(refusal(String(error instanceof Error ? error.message : error)));
  }
}

/**
 * @param {(files: FileList | null) => void} send
 * @param {Record<string, string>} words
 */
function dropZone(send, words) {
  const zone = make(
    "div",
    { class: "pm-drop" },
    chooser(words.choose, { multiple: "" }, send),
    chooser(words.take, { capture: "environment" }, send, "pm-button pm-second"),
    make("p", {}, words.drop),
  );
  zone.addEventListener("dragover", (event) => {
    event.preventDefault();
    zone.classList.add("pm-over");
  });
  zone.addEventListener("dragleave", () => zone.classList.remove("pm-over"));
  zone.addEventListener("drop", (event) => {
    event.preventDefault();
    zone.classList.remove("pm-over");
    send(event.dataTransfer?.files ?? null);
  });
  return zone;
}

/**
 * @param {string} label
 * @param {Record<string, string>} more
 * @param {(files: FileList | null) => void} send
 * @param {string} look
 */
function chooser(label, more, send, look = "pm-button") {
  const input = /** @type {HTMLInputElement} */ (
    make("input", { type: "file", accept: PICTURES, class: "pm-file", ...more })
  );
  input.addEventListener("change", () => {
    send(input.files);
    input.value = "";
  });
  return make("label", { class: look }, input, make("span", {}, label));
}

/**
 * @param {FileList | null} files
 * @param {HTMLElement} list
 * @param {(answer: any) => void} show
 * @param {Record<string, string>} words
 */
async function sendAll(files, list, show, words) {
  // One after another: a phone's connection is the narrow part, and so each has its own
  // progress and its own refusal.
  // A copy: the chooser is emptied at once, and its list with it.
  for (const file of [...(files ?? [])]) {
    const bar = /** @type {HTMLProgressElement} */ (make("progress", { max: "1", value: "0" }));
    const said = make("span", { class: "pm-said" }, words.sending);
    const row = make("li", {}, make("b", {}, file.name), bar, said);
    bar.setAttribute("aria-label", file.name);
    list.append(row);
    try {
      const answer = await sendOne(file, bar, said, words);
      show(answer);
      const refused = answer.refused?.[0];
      bar.remove();
      said.textContent = refused ? refused.message : words.kept;
      row.classList.toggle("pm-refused", Boolean(refused));
    } catch (error) {
      bar.remove();
      said.textContent = error instanceof Error ? error.message : String(error);
      row.classList.add("pm-refused");
    }
  }
}

/**
 * @param {File} file
 * @param {HTMLProgressElement} bar
 * @param {HTMLElement} said
 * @param {Record<string, string>} words
 * @returns {Promise<any>}
 */
function sendOne(file, bar, said, words) {
  return new Promise((resolve, reject) => {
    const form = new FormData();
    form.append("photos", file, file.name);
    const request = new XMLHttpRequest(); // fetch tells nothing of what has gone up
    request.open("POST", `/work-on/${job()}/photos`);
    request.upload.addEventListener("progress", (event) => {
      if (event.lengthComputable) {
        bar.value = event.loaded / event.total;
      }
    });
    request.upload.addEventListener("load", () => {
      bar.removeAttribute("value");
      said.textContent = words.looking;
    });
    request.addEventListener("load", () => {
      const body = answered(request.responseText);
      if (request.status < 300) {
        resolve(body);
      } else {
        reject(new Error(body.message ?? words.lost));
      }
    });
    request.addEventListener("error", () => reject(new Error(words.lost)));
    request.send(form);
  });
}

/**
 * @param {string} text
 * @returns {any}
 */
function answered(text) {
  try {
    return JSON.parse(text);
  } catch {
    return {};
  }
}

/**
 * @param {any} answer
 * @param {Record<string, string>} words
 * @returns {HTMLElement[]}
 */
function drawn(answer, words) {
  const shown = answer.elevations.filter((/** @type {any} */ one) => one.photo);
  if (!shown.length) {
    return [make("p", { class: "pm-note" }, words.none)];
  }
  return shown.map((/** @type {any} */ one) => card(one, words));
}

/**
 * @param {{name: string, photo: any}} one
 * @param {Record<string, string>} words
 */
function card(one, words) {
  const picture = make("img", {
    src: one.photo.thumb,
    alt: filled(words.alt, { name: one.name }),
    loading: "lazy",
    decoding: "async",
  });
  const facts = make("ul", { class: "pm-facts" });
  facts.append(...one.photo.facts.map((/** @type {string} */ s) => make("li", {}, s)));
  const warnings = make("ul", { class: "pm-warnings" });
  warnings.append(...one.photo.warnings.map((/** @type {string} */ s) => make("li", {}, s)));
  const text = make("div", {}, make("h3", {}, one.name), make("p", { class: "pm-small" }, one.photo.name), facts);
  if (one.photo.warnings.length) {
    text.append(make("h4", {}, words.warnings), warnings);
  } else {
    text.append(make("p", { class: "pm-fine" }, words.fine));
  }
  return make("article", { class: "pm-card" }, picture, text);
}

/** @param {string} sentence */
function refusal(sentence) {
  return make("p", { class: "pm-alert", role: "alert" }, sentence);
}
