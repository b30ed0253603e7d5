/**
 * What one pointer does: move a handle, bend a line, put picks, or pan.
 *
 * @typedef {import("./types.mjs").Point} Point
 * @typedef {import("./types.mjs").Place} Place
 * @typedef {import("./desk.mjs").Desk} Desk
 * @typedef {import("./gestures.mjs").Stroke} Stroke
 * @typedef {{kind: "handle" | "bend", id: string, at: number, place: Place}} Grip
 */
import { shapeOf, withBend, withPickMoved } from "./model.mjs";
import { apart, JOIN_PX } from "./picking.mjs";
import { TOOLS } from "./tools.mjs";
import { panned, toImage, toScreen, within } from "./view.mjs";

/** A finger that rests so long wants to aim finely. */
const HOLD_MS = 350;

/** A resting finger moves the pick this much less than itself. */
const FINE_GAIN = 0.2;

/** A rest may tremble by so much. */
const TREMBLE_PX = 4;

/**
 * Follows one pointer; after a rest its moves count a fifth, so that a thumb on a small
 * screen can place a pick to a pixel of the photo.
 * @param {Place} from
 * @param {boolean} steady a mouse or a pen, that aims finely by itself
 * @param {() => void} onFine
 */
function follower(from, steady, onFine) {
  let fine = false;
  let rested = from;
  let last = from;
  let offset = /** @type {Place} */ ([0, 0]);
  const begin = () => {
    fine = true;
    rested = last;
    onFine();
  };
  /** A busy phone has moves that wait behind the clock: they are looked at first. */
  const rest = () => {
    const where = rested;
    requestAnimationFrame(() => requestAnimationFrame(() => where === rested && !ended && begin()));
  };
  let ended = steady;
  const wait = () => (steady ? undefined : setTimeout(rest, HOLD_MS));
  let timer = wait();
  return {
    stop() {
      ended = true;
      clearTimeout(timer);
    },
    isFine: () => fine,
    /** @type {(place: Place) => Place} */
    follow(place) {
      last = place;
      if (fine) {
        offset = [
          (rested[0] - place[0]) * (1 - FINE_GAIN),
          (rested[1] - place[1]) * (1 - FINE_GAIN),
        ];
      } else if (apart(place, rested) > TREMBLE_PX) {
        rested = place;
        clearTimeout(timer);
        timer = wait();
      }
      return [place[0] + offset[0], place[1] + offset[1]];
    },
  };
}

/**
 * The end of another line that a place is near enough to be joined to.
 * @param {Desk} desk
 * @param {Place} place
 * @param {string | null} own id of the shape that is moved
 * @returns {Point | null}
 */
export function joinAt(desk, place, own) {
  const { view } = desk.state();
  let best = null;
  let least = JOIN_PX;
  for (const [index, line] of (desk.state().history.present.lines ?? []).entries()) {
    if (`lines/${index}/picks` === own) continue;
    for (const pick of [line.picks[0], line.picks.at(-1)]) {
      const far = pick ? apart(toScreen(view, pick), place) : Infinity;
      if (pick && far < least) [best, least] = [pick, far];
    }
  }
  return best;
}

/**
 * Move a handle, keeping how far from its middle it was taken.
 * @param {Desk} desk
 * @param {Grip} grip
 * @param {Place} from
 * @param {boolean} steady whether the pointer is a mouse or a pen
 * @param {(id: string) => void} onDone after a move was kept
 * @returns {Stroke}
 */
export function gripStroke(desk, grip, from, steady, onDone) {
  const { view, history, size } = desk.state();
  const start = history.present;
  const kept = /** @type {Place} */ ([grip.place[0] - from[0], grip.place[1] - from[1]]);
  const bend = grip.kind === "bend";
  const at = bend ? grip.at + 1 : grip.at;
  const isLine = grip.id.startsWith("lines/");
  const first = shapeOf(start, grip.id)?.picks[grip.at];
  let moved = false;
  const hand = follower(from, steady, () => desk.change({}));
  desk.change({ selected: grip.id, at, choice: null });
  if (!bend && first) desk.change({ loupe: { point: first, place: from, fine: false } });
  return {
    move(place, event) {
      const aimed = hand.follow([place[0] + kept[0], place[1] + kept[1]]);
      if (!moved && apart(place, from) < 2) return;
      moved = true;
      const join = isLine && !event.altKey ? joinAt(desk, aimed, grip.id) : null;
      const point = join ?? within(size, toImage(view, aimed));
      const live = bend
        ? withBend(start, grip.id, grip.at, point)
        : withPickMoved(start, grip.id, grip.at, point, event.altKey);
      const loupe = { point, place, fine: hand.isFine() };
      desk.change({ live, loupe, joining: join !== null });
    },
    lift() {
      hand.stop();
      const { live } = desk.state();
      // The step first: without it the old line would be drawn, and asked for, once more.
      if (live) desk.commit(live);
      desk.change({ live: null, loupe: null, joining: false });
      if (live) onDone(grip.id);
    },
    cancel() {
      hand.stop();
      desk.change({ live: null, loupe: null, joining: false });
    },
  };
}

/**
 * Put picks: a tap puts one, a slide from the first to the second puts a line at once,
 * and any later slide aims.
 * @param {Desk} desk
 * @param {Place} from
 * @param {boolean} steady whether the pointer is a mouse or a pen, that need no rest
 * @param {(picks: readonly Point[]) => void} onPicks
 * @returns {Stroke}
 */
export function pickStroke(desk, from, steady, onPicks) {
  const { view, picks, tool, size } = desk.state();
  const joins = tool === "line";
  const slides = TOOLS[tool]?.most === 2 && picks.length === 0;
  let aiming = false;
  const hand = follower(from, steady, () => {
    aiming = true;
    aim(from);
  });
  const pointAt = (/** @type {Place} */ place) =>
    (joins ? joinAt(desk, place, null) : null) ?? within(size, toImage(view, place));

  /** @param {Place} place */
  function aim(place) {
    const aimed = hand.follow(place);
    const join = joins ? joinAt(desk, aimed, null) : null;
    const point = join ?? within(size, toImage(view, aimed));
    const loupe = { point, place, fine: hand.isFine() };
    desk.change({ float: point, loupe, joining: join !== null });
  }
  aim(from);
  let slid = false;
  return {
    move(place) {
      if (slides && !slid && !aiming && apart(place, from) > (steady ? 4 : 12)) {
        slid = true;
        desk.change({ picks: [pointAt(from)] });
      }
      aim(place);
    },
    lift(place, still) {
      hand.stop();
      const point = still && !aiming ? pointAt(from) : desk.state().float ?? pointAt(place);
      desk.change({ float: null, loupe: null, joining: false });
      onPicks([...desk.state().picks, point]);
    },
    cancel() {
      hand.stop();
      desk.change({ picks, float: null, loupe: null, joining: false });
    },
  };
}

/**
 * @param {Desk} desk
 * @param {Place} from
 * @param {(view: import("./view.mjs").View) => void} show
 * @param {(place: Place) => void} [onTap]
 * @returns {Stroke}
 */
export function panStroke(desk, from, show, onTap) {
  const { view } = desk.state();
  return {
    move: (place) => show(panned(view, place[0] - from[0], place[1] - from[1])),
    lift(place, still) {
      if (!still) return;
      show(view);
      onTap?.(place);
    },
    cancel: () => {},
  };
}
