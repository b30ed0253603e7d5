/**
 * The live statement above the stage: how well the wall's size is known, and what would
 * help most.
 */
import { make, tell } from "./dom.mjs";

/**
 * What the references mean, and the one that would help most.
 * @param {import("./desk.mjs").Desk} desk
 * @param {import("./texts.mjs").Say} say
 */
export function makeStatement(desk, say) {
  const said = make("p", { class: "dr-scale-said" });
  const next = make("p", { class: "dr-scale-next" });
  const element = make("section", { class: "dr-scale", "aria-live": "polite", "aria-label": say("scale.name") }, said, next);
  /** @type {unknown} */
  let shown;
  desk.onDraw(({ measured, trouble, live }) => {
    const now = trouble || measured;
    if (now === shown || live) return;
    shown = now;
    const bare = (desk.elevation().references ?? []).length === 0;
    tell(said, trouble || (bare ? say("scale.none") : measured?.scale?.said || measured?.message || ""));
    const best = measured?.scale?.best_next;
    tell(next, best ? say("scale.next", { what: best }) : "");
    next.hidden = !best;
  });
  return element;
}
