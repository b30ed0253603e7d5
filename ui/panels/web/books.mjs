// @ts-check
// The firm's price book goes up from here.

import { ask, make, page } from "./page.mjs";

const BOOKS = ".csv,.xlsx,text/csv,application/vnd.openxmlformats-officedocument.spreadsheetml.sheet";

/**
 * @param {HTMLElement} element
 * @param {(event: string) => void} trigger
 * @returns {Promise<void>}
 */
export async function books(element, trigger) {
  const words = (await page()).texts.books;
  const root = element.querySelector(".pm-root") ?? element;
  const said = make("div", { "aria-live": "polite" });
  const input = /** @type {HTMLInputElement} */ (
    make("input", { type: "file", accept: BOOKS, class: "pm-file" })
  );
  input.addEventListener("change", async () => {
    const file = input.files?.[0];
    input.value = "";
    if (!file) {
      return;
    }
    const form = new FormData();
    form.append("book", file, file.name);
    try {
      const answer = await ask("/price-books", { method: "POST", body: form });
      said.replaceChildren(make("p", { class: "pm-fine" }, answer.said));
      trigger("books");
    } catch (error) {
      const sentence = error instanceof Error ? error.message : String(error);
      said.replaceChildren(make("p", { class: "pm-alert", role: "alert" }, sentence));
    }
  });
  root.replaceChildren(
    make("label", { class: "pm-button pm-second" }, input, make("span", {}, words.send)),
    said,
  );
}
