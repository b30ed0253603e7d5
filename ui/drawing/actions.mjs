/**
 * What buttons, keys and touches do to the drawing.
 */
import {
  bends, freshName, shapeOf, withBend, withItem, withoutPick, withPatch, withPickMoved, withoutShape,
} from "./model.mjs";
import { withReferences } from "./questions.mjs";
import { TOOLS } from "./tools.mjs";

/**
 * @typedef {import("./desk.mjs").Desk} Desk
 * @typedef {import("./types.mjs").Point} Point
 * @typedef {import("./types.mjs").Proposal} Proposal
 */

/**
 * @param {Desk} desk
 * @param {object} how
 * @param {import("./texts.mjs").Say} how.say
 * @param {() => ReadonlySet<string>} how.taken names of all lines of the job
 * @param {(id: string) => void} how.onDrawn a line was drawn or moved
 */
export function makeActions(desk, { say, taken, onDrawn }) {
  /** @type {(role: string) => string} */
  const roleName = (role) =>
    say("name.fresh", { elevation: desk.elevation().name, role: say(`role.${role}`) });
  /** @type {(role: string) => string} */
  const lineName = (role) => freshName(roleName(role), taken());

  /** @param {string} tool */
  function take(tool) {
    desk.change({
      tool, picks: [], float: null, pending: null, choice: null, loupe: null,
      selected: tool === "look" ? desk.state().selected : null,
    });
  }

  /** @param {readonly Point[]} picks of the tool so far */
  function put(picks) {
    const tool = TOOLS[desk.state().tool];
    if (!tool) return;
    desk.change({ picks });
    if (picks.length >= tool.most) finish();
  }

  /** End a tool that has picks enough. */
  function finish() {
    const { tool, picks } = desk.state();
    const made = TOOLS[tool];
    if (!made || picks.length < made.least) return;
    if (made.asks) {
      desk.change({ pending: { tool, picks }, tool: "look", picks: [], float: null });
      return;
    }
    if (tool === "ground") putGround(picks[0]);
    else add(made.list, { ...made.make(picks), ...named(tool, picks) });
  }

  /** The foot of the wall below the soffit that was chosen before. @param {Point | undefined} ground */
  function putGround(ground) {
    const { target } = desk.state();
    desk.change({ tool: "look", picks: [], float: null, selected: `soffits/${target}/wall_edge` });
    desk.commit(withPatch(desk.elevation(), "soffits", target, { ground }));
  }

  /** @param {number} soffit its place in the list */
  function takeGround(soffit) {
    take("ground");
    desk.change({ target: soffit });
  }

  /** @type {(tool: string, picks?: readonly Point[]) => Record<string, unknown>} */
  function named(tool, picks = []) {
    const role = likelyRole(desk.state().role, picks);
    if (tool === "line") return { name: lineName(role), role };
    const wanted = say(tool === "soffit" ? "name.fresh.soffit" : `reference.${tool}`, {
      elevation: desk.elevation().name,
    });
    const list = tool === "soffit" ? "soffits" : "references";
    const names = new Set((desk.elevation()[list] ?? []).map((item) => item.name ?? ""));
    return { name: freshName(wanted, names) };
  }

  /**
   * @param {import("./model.mjs").List} list
   * @param {object} item
   * @param {boolean} [laid] whether it lies on its edge already
   */
  function add(list, item, laid = false) {
    const next = withItem(desk.elevation(), list, item);
    const index = (next[list]?.length ?? 1) - 1;
    const field = list === "lines" ? "picks" : "";
    const id = field ? `${list}/${index}/${field}` : null;
    desk.commit(next);
    desk.change({ tool: "look", picks: [], float: null, pending: null, selected: id, at: null });
    if (list === "lines" && id && !laid) onDrawn(id);
  }

  /** @type {(dx: number, dy: number) => boolean} */
  function nudge(dx, dy) {
    const { selected, at } = desk.state();
    const pick = shapeOf(desk.elevation(), selected)?.picks[at ?? -1];
    if (!selected || at === null || !pick) return false;
    const to = /** @type {const} */ ([clean(pick[0] + dx), clean(pick[1] + dy)]);
    const key = `nudge ${selected} ${at}`;
    desk.commit(withPickMoved(desk.elevation(), selected, at, to), key);
    return true;
  }

  function remove() {
    const { selected, at } = desk.state();
    const shape = shapeOf(desk.elevation(), selected);
    if (!shape) return;
    const whole = at === null || !bends(shape);
    const next = whole
      ? withoutShape(desk.elevation(), shape)
      : withoutPick(desk.elevation(), shape.id, at);
    const stays = shapeOf(next, selected)?.name === shape.name;
    desk.change({ choice: null, at: null, ...(stays ? {} : { selected: null }) });
    desk.commit(next);
  }

  /** Put a bend into the middle of the selected shape's longest piece. */
  function bend() {
    const { selected } = desk.state();
    const shape = shapeOf(desk.elevation(), selected);
    if (!shape || !bends(shape)) return;
    const lengths = shape.picks.slice(1).map((to, i) => {
      const from = shape.picks[i] ?? to;
      return Math.hypot(to[0] - from[0], to[1] - from[1]);
    });
    const after = lengths.indexOf(Math.max(...lengths));
    const [a, b] = [shape.picks[after], shape.picks[after + 1]];
    if (!a || !b) return;
    const middle = /** @type {Point} */ ([(a[0] + b[0]) / 2, (a[1] + b[1]) / 2]);
    desk.commit(withBend(desk.elevation(), shape.id, after, middle));
    desk.change({ at: after + 1 });
  }

  /** @type {(proposal: Proposal, name: string) => Record<string, unknown>} */
  const asLine = ({ role, picks, pick_sd_px: sd }, name) =>
    ({ name, role, picks, ...(sd ? { pick_sd_px: sd } : {}) });

  /** @param {Proposal} proposal */
  function accept(proposal) {
    dismiss(proposal);
    add("lines", asLine(proposal, lineName(proposal.role)), true);
  }

  /** Take everything that fits together, as one step that one Undo takes back. */
  function acceptAll() {
    const { found } = desk.state();
    const { references, proposals } = fitting(found);
    if (!found || references.length + proposals.length === 0) return;
    const names = new Set(taken());
    let next = withReferences(desk.elevation(), references.map((one) => one.reference));
    for (const one of proposals) {
      const name = freshName(roleName(one.role), names);
      names.add(name);
      next = withItem(next, "lines", asLine(one, name));
    }
    desk.change({
      found: {
        ...found,
        references: found.references.filter((one) => !one.used),
        proposals: found.proposals.filter((one) => !one.used),
      },
    });
    desk.commit(next);
  }

  /** @param {object} gone a proposal or a found reference */
  function dismiss(gone) {
    const { found } = desk.state();
    if (!found) return;
    desk.change({
      found: {
        ...found,
        proposals: found.proposals.filter((one) => one !== gone),
        references: found.references.filter((one) => one !== gone),
      },
    });
  }

  /** @param {import("./types.mjs").FoundReference} one */
  function confirm(one) {
    dismiss(one);
    add("references", one.reference);
  }

  return { take, takeGround, put, finish, add, nudge, remove, bend, accept, acceptAll, dismiss, confirm, lineName, named };
}

/**
 * What a reading of the photo relied on itself: it fits together.
 * @param {import("./types.mjs").Found | null} found
 */
export const fitting = (found) => ({
  references: (found?.references ?? []).filter((one) => one.used),
  proposals: (found?.proposals ?? []).filter((one) => one.used),
});

/** Between these slopes on the photo a roof's edge is a rake; a form corrects it. */
const RAKE_SLOPES = Object.freeze([Math.tan(Math.PI / 9), Math.tan((7 * Math.PI) / 18)]);

/**
 * Eaves or rake, by how steep it was drawn; any other role is what was chosen last.
 * @type {(role: string, picks: readonly Point[]) => string}
 */
export function likelyRole(role, picks) {
  const [a, b] = [picks[0], picks.at(-1)];
  if ((role !== "eaves" && role !== "rake") || !a || !b) return role;
  const slope = Math.abs((b[1] - a[1]) / (b[0] - a[0] || 1e-9));
  return slope > Number(RAKE_SLOPES[0]) && slope < Number(RAKE_SLOPES[1]) ? "rake" : "eaves";
}

/** Tenths of a pixel, without the dust that adding them leaves. @type {(v: number) => number} */
const clean = (v) => Math.round(v * 1e4) / 1e4;
