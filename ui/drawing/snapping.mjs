/**
 * Laying a line on the edge it was meant for; where several edges may be meant, a person
 * chooses.
 *
 * @typedef {import("./desk.mjs").Desk} Desk
 * @typedef {import("./types.mjs").Candidate} Candidate
 */
import { same } from "./merge.mjs";
import { isJoined, shapeOf, withPatch, withPickMoved } from "./model.mjs";

/**
 * @param {Desk} desk
 * @param {import("./routes.mjs").Routes} routes
 * @param {(key: string) => void} onSaid what happened, as a key of the catalogue
 */
export function makeSnapping(desk, routes, onSaid) {
  let seq = 0;

  /**
   * @param {string} id of a shape with two picks
   * @param {boolean} [asked] by a person, who wants to hear that nothing was found
   */
  async function snap(id, asked = false) {
    const shape = shapeOf(desk.elevation(), id);
    if (!shape || shape.list !== "lines" || shape.picks.length !== 2) return;
    const drawn = shape.picks;
    seq += 1;
    const mine = seq;
    let answer;
    try {
      const elevation = desk.elevation().name;
      answer = await routes.snap({ seq, elevation, ends: drawn, role: shape.kind });
    } catch {
      if (asked) onSaid("snap.failed");
      return;
    }
    const still = shapeOf(desk.elevation(), id)?.picks;
    if (mine !== seq || !same(still, drawn) || desk.state().live) return; // it moved on
    const [best] = answer.candidates;
    if (!best) {
      if (asked) onSaid("snap.none");
    } else if (answer.clear) {
      lay(id, best);
      onSaid("snap.done");
    } else {
      desk.change({ choice: { id, drawn, candidates: answer.candidates }, selected: id });
    }
  }

  /**
   * Lay a line's free ends on an edge. An end that is joined to another line stays: moving
   * it would change a length that nobody touched.
   * @type {(id: string, edge: Candidate) => void}
   */
  function lay(id, edge) {
    let next = desk.elevation();
    const free = edge.ends.map((_, at) => !isJoined(next, id, at));
    edge.ends.forEach((end, at) => {
      if (free[at]) next = withPickMoved(next, id, at, end);
    });
    if (edge.pick_sd_px && free.every(Boolean)) {
      const index = Number(id.split("/")[1]);
      next = withPatch(next, "lines", index, { pick_sd_px: edge.pick_sd_px });
    }
    desk.change({ choice: null });
    if (!same(next, desk.elevation())) desk.commit(next);
  }

  return {
    snap,
    /** @type {(index: number) => void} */
    choose(index) {
      const { choice } = desk.state();
      const chosen = choice?.candidates[index];
      if (choice && chosen) lay(choice.id, chosen);
    },
    asDrawn: () => desk.change({ choice: null }),
  };
}
