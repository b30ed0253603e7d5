/** Node's own test runner on the parts without a page: `node --test tests/ui/drawing/`. */
import assert from "node:assert/strict";
import { test } from "node:test";

import { happened, QUIET_MS, resting, retryAfter } from "../../../ui/drawing/autosave.mjs";
import { likelyRole } from "../../../ui/drawing/actions.mjs";
import { worthShowing } from "../../../ui/drawing/found.mjs";
import { begun, redone, stepped, undone } from "../../../ui/drawing/history.mjs";
import { meaningOf } from "../../../ui/drawing/keyboard.mjs";
import { placeLabels } from "../../../ui/drawing/labels.mjs";
import { lengthSaid, readLength, sizeSaid } from "../../../ui/drawing/lengths.mjs";
import { isOf } from "../../../ui/drawing/live_lengths.mjs";
import * as model from "../../../ui/drawing/model.mjs";
import { nearestEdge, nearestHandle } from "../../../ui/drawing/picking.mjs";
import { needsTiles, tilesInView } from "../../../ui/drawing/tiles.mjs";
import { promptKey, TOOLS } from "../../../ui/drawing/tools.mjs";
import * as view from "../../../ui/drawing/view.mjs";

const near = (actual, expected, slack = 1e-9) =>
  actual.forEach((value, i) => assert.ok(Math.abs(value - expected[i]) <= slack, `${actual} ${expected}`));

test("whole numbers are pixel centres: the photo's corner is at minus one half", () => {
  near(view.toScreen({ scale: 4, x: 10, y: 20 }, [-0.5, -0.5]), [10, 20]);
  near(view.toScreen({ scale: 4, x: 10, y: 20 }, [0, 0]), [12, 22]);
});

test("there and back is where one was, at any scale", () => {
  for (const scale of [0.05, 0.37, 1, 13]) {
    const at = { scale, x: -321.25, y: 17.75 };
    near(view.toImage(at, view.toScreen(at, [123.4, 2045.6])), [123.4, 2045.6], 1e-6);
  }
});

test("zooming leaves the point under the pointer where it is, up to the limits", () => {
  const at = { scale: 0.5, x: 30, y: 40 };
  const point = view.toImage(at, [200, 100]);
  near(view.toScreen(view.zoomed(at, [200, 100], 3, 0.1), point), [200, 100]);
  assert.equal(view.zoomed(at, [0, 0], 1e6, 0.1).scale, view.LARGEST_SCALE);
  assert.equal(view.zoomed(at, [0, 0], 1e-6, 0.1).scale, 0.1);
});

test("both fingers keep their points", () => {
  const at = { scale: 0.5, x: 30, y: 40 };
  const from = [[100, 100], [200, 180]];
  const to = [[80, 120], [280, 280]]; // twice as far apart, same direction
  const after = view.pinched(at, from, to, 0.1);
  from.forEach((place, i) => near(view.toScreen(after, view.toImage(at, place)), to[i], 1e-9));
});

test("the photo stays in reach and on whole device pixels", () => {
  const away = view.kept({ scale: 1, x: 9000, y: -9000 }, [400, 300], [200, 100]);
  near([away.x, away.y], [100, -250]);
  const put = view.onWholePixels({ scale: 1, x: 1.4, y: -2.7 }, 3);
  near([put.x * 3, put.y * 3], [4, -8]);
});

test("whole CSS pixels that are whole device pixels", () => {
  assert.deepEqual([1, 2, 3, 1.25, 1.5, 2.625, 1.1].map(view.wholePixels), [1, 1, 1, 4, 2, 8, 10]);
  assert.equal(view.wholePixels(Math.PI), 1);
});

test("no pick lies beside the photo", () => {
  assert.deepEqual(view.within([40, 30], [-7, 31]), [-0.5, 29.5]);
  assert.deepEqual(view.within([40, 30], [12.25, 3]), [12.25, 3]);
});

test("showing some points puts their middle in the middle", () => {
  const shown = view.around([[100, 100], [300, 200]], [500, 400], 9);
  near(view.toScreen(shown, [200, 150]), [250, 200]);
  assert.ok(shown.scale * 200 <= 350 + 1e-9);
});

test("undo and redo go back and forth; a new step forgets what was taken back", () => {
  let steps = begun("a");
  steps = stepped(stepped(steps, "b"), "c");
  assert.equal(undone(steps).present, "b");
  assert.equal(redone(undone(steps)).present, "c");
  assert.equal(undone(undone(undone(steps))).present, "a");
  assert.deepEqual(stepped(undone(steps), "d").future, []);
});

test("steps in a row with one key are one step, and not across an undo", () => {
  let steps = stepped(begun(0), 1, "nudge");
  steps = stepped(stepped(steps, 2, "nudge"), 3, "nudge");
  assert.equal(undone(steps).present, 0);
  assert.equal(undone(stepped(undone(steps), 9, "nudge")).present, 0);
});

const run = (saving, ...happenings) =>
  happenings.reduce(([now], happening) => happened(now, happening), [saving, []]);

test("a change is remembered at once and sent after a quiet moment", () => {
  const [waiting, effects] = run(resting(4), { type: "edited" });
  assert.equal(waiting.phase, "waiting");
  assert.deepEqual(effects, [{ type: "remember" }, { type: "wait", ms: QUIET_MS }]);
  const [sending, sent] = happened(waiting, { type: "due" });
  assert.deepEqual([sending.phase, sent], ["sending", [{ type: "send" }]]);
});

test("one save at a time: what changes meanwhile is sent after it, on the new revision", () => {
  const [sending] = run(resting(4), { type: "edited" }, { type: "due" });
  const [still, effects] = happened(sending, { type: "edited" });
  assert.deepEqual([still.phase, effects], ["sending", [{ type: "remember" }]]);
  assert.deepEqual(happened(still, { type: "due" })[1], []);
  const [next, after] = happened(still, { type: "kept", revision: 5 });
  assert.deepEqual([next.phase, next.base], ["waiting", 5]);
  assert.ok(!after.some((effect) => effect.type === "forget"));
});

test("what is saved is forgotten here", () => {
  const [, effects] = run(resting(4), { type: "edited" }, { type: "due" }, { type: "kept", revision: 5 });
  assert.deepEqual(effects, [{ type: "forget" }]);
});

test("a dropped connection is tried again, ever more rarely, and forgets nothing", () => {
  let [saving, effects] = run(resting(4), { type: "edited" }, { type: "due" }, { type: "lost" });
  assert.deepEqual([saving.phase, effects], ["dropped", [{ type: "wait", ms: retryAfter(1) }]]);
  [saving, effects] = happened(saving, { type: "edited" });
  assert.deepEqual([saving.phase, effects], ["dropped", [{ type: "remember" }]]);
  [saving, effects] = happened(saving, { type: "due" });
  assert.deepEqual(effects, [{ type: "send" }]);
  assert.ok(retryAfter(2) > retryAfter(1) && retryAfter(50) === retryAfter(60));
});

test("a conflict sends nothing until a person has settled it", () => {
  const conflict = { type: "conflicted", revision: 7, message: "Ann saved 7." };
  let [saving, effects] = run(resting(4), { type: "edited" }, { type: "due" }, conflict);
  assert.deepEqual(effects, [{ type: "resolve", revision: 7 }]);
  [saving, effects] = happened(saving, { type: "edited" });
  assert.deepEqual([saving.phase, effects], ["conflict", [{ type: "remember" }]]);
  assert.deepEqual(happened(saving, { type: "due" })[1], []);
  [saving, effects] = happened(saving, { type: "settled", base: 7, changed: true });
  assert.deepEqual([saving.phase, saving.base], ["waiting", 7]);
  assert.deepEqual(happened(saving, { type: "settled", base: 7, changed: false })[0].phase, "saved");
});

test("what the server will not have is kept here and tried again after the next change", () => {
  const [saving, effects] = run(resting(4), { type: "edited" }, { type: "due" }, { type: "rejected", message: "Too long." });
  assert.deepEqual([saving.phase, saving.message, effects], ["refused", "Too long.", []]);
  assert.equal(happened(saving, { type: "edited" })[0].phase, "waiting");
});

const label = (id, places, more = {}) => ({ id, places, width: 100, height: 26, first: false, ...more });
const meets = (a, b) => Math.abs(a.x - b.x) < 100 && Math.abs(a.y - b.y) < 26;

test("labels lie on the stage, beside their lines, and not on each other", () => {
  const lines = [0, 8, 16, 24].map((y) => label(`${y}`, [[100, 200 + y], [500, 200 + y]]));
  const placed = placeLabels(lines, [600, 400]);
  placed.forEach((a, i) => placed.slice(i + 1).forEach((b) => assert.ok(!meets(a, b))));
  const [first] = placed;
  assert.ok(first.y + 26 < 200 && first.x > 100 && first.x < 500);
});

test("the selected line has its label even where there is no room; others give way", () => {
  const crowd = [label("a", [[0, 5], [90, 5]]), label("b", [[0, 6], [90, 6]], { first: true })];
  assert.deepEqual(placeLabels(crowd, [112, 40]).map((one) => one.id), ["b"]);
});

test("the nearest handle is taken, the selected line's before a slightly nearer one", () => {
  const handles = [{ id: "a", at: 0, place: [0, 0] }, { id: "b", at: 1, place: [10, 0] }];
  assert.equal(nearestHandle(handles, [4, 0], 22, null)?.id, "a");
  assert.equal(nearestHandle(handles, [4, 0], 22, "b")?.id, "b");
  assert.equal(nearestHandle(handles, [1, 0], 22, "b")?.id, "a");
  assert.equal(nearestHandle(handles, [60, 0], 22, "b"), null);
});

test("an edge is touched anywhere along it, also the closing side", () => {
  const edges = [{ id: "r", places: [[0, 0], [100, 0], [100, 100]], closed: true }];
  assert.deepEqual(nearestEdge(edges, [50, 52], 5), { id: "r", after: 2 });
  assert.equal(nearestEdge(edges, [50, 70], 5), null);
});

test("tiles at the rim keep their own size, and far views ask for none", () => {
  const tiles = tilesInView({ scale: 1, x: -900, y: -900 }, [1100, 1000], [400, 400], 512);
  assert.deepEqual(tiles.map((t) => [t.column, t.row, t.width, t.height]),
    [[1, 1, 512, 488], [2, 1, 76, 488]]);
  assert.deepEqual(tilesInView({ scale: 0.01, x: 0, y: 0 }, [8000, 6000], [400, 400], 512), []);
  assert.equal(needsTiles(0.4, 1, 0.5), false);
  assert.equal(needsTiles(0.4, 3, 0.5), true);
  assert.equal(needsTiles(9, 3, 1), false);
});

test("lengths are said with an interval that is never made narrower", () => {
  assert.equal(lengthSaid(7659.19, [7619.29, 7699.1], "mm"), "7.659 m ± 40 mm");
  assert.equal(lengthSaid(3048, [3045.9, 3050.1], "ft-in"), "10 ft ± 1/8 in");
  assert.equal(lengthSaid(3667.1, [3600, 3734.2], "ft-in"), "12 ft 3/8 in ± 2 11/16 in");
});

test("lengths are read as people write them", () => {
  const close = (text, unit, mm) => assert.ok(Math.abs(readLength(text, unit) - mm) < 1e-9, text);
  close("3597", "mm", 3597);
  close("3,597 m", "mm", 3597);
  close("359.7cm", "mm", 3597);
  close("11' 9 5/8\"", "mm", 3597.275);
  close("11 ft 9", "ft-in", 3581.4);
  close("11′ 9 5/8″", "ft-in", 3597.275);
  close("5/8\"", "mm", 15.875);
  close("9 1/2", "ft-in", 241.3);
  close("12", "ft-in", 304.8);
  for (const wrong of ["", "x", "3 5", "5/0\"", "-4", "1e3", "3..4"]) {
    assert.equal(readLength(wrong, "mm"), null, wrong);
  }
});

test("a size written into a field is read back as it was, to a sixteenth of an inch", () => {
  for (const mm of [3597, 12.5, 910]) {
    assert.equal(readLength(sizeSaid(mm, "mm"), "mm"), mm);
    assert.ok(Math.abs(readLength(sizeSaid(mm, "ft-in"), "ft-in") - mm) <= 25.4 / 16 + 1e-9);
  }
});

test("a length is of a line only while the line and what it rests on are as they were", () => {
  const measured = house();
  const moved = model.withPickMoved(measured, "lines/0/picks", 0, [1, 101]);
  assert.ok(isOf(measured, measured, 0));
  assert.ok(!isOf(null, measured, 0));
  assert.deepEqual([isOf(measured, moved, 0), isOf(measured, moved, 1)], [false, true]);
  const recounted = model.withPatch(measured, "references", 0, { counts: [0, 8] });
  assert.ok(!isOf(measured, recounted, 1));
  assert.ok(!isOf(measured, { ...measured, camera: { focal_px: 900 } }, 1));
  // What one line says of the soffit moves whatever hangs there.
  assert.ok(!isOf(measured, model.withPatch(measured, "lines", 1, { projection_mm: 300 }), 0));
});

const house = () => ({
  name: "front",
  references: [{ kind: "courses", picks: [[1, 1], [2, 2]], counts: [0, 9] }],
  lines: [
    { name: "left rake", role: "rake", picks: [[0, 100], [50, 50]] },
    { name: "right rake", role: "rake", picks: [[50, 50], [100, 100]] },
  ],
  soffits: [{ name: "s", wall_edge: [[0, 0], [9, 0]], outer_edge: [[0, 5], [9, 5]], lines: ["left rake"] }],
});

test("joined ends move together, and apart if asked", () => {
  const moved = model.withPickMoved(house(), "lines/0/picks", 1, [51, 52]);
  assert.deepEqual(moved.lines.map((line) => line.picks), [[[0, 100], [51, 52]], [[51, 52], [100, 100]]]);
  const parted = model.withPickMoved(house(), "lines/0/picks", 1, [51, 52], true);
  assert.deepEqual(parted.lines[1].picks[0], [50, 50]);
});

test("a line's name is changed wherever it stands, and goes when the line goes", () => {
  assert.deepEqual(model.withName(house(), 0, "rake").soffits[0].lines, ["rake"]);
  assert.deepEqual(model.without(house(), "lines", 0).soffits[0].lines, []);
  assert.equal(model.hangsAt(model.withHanging(house(), "right rake", "s"), "right rake"), "s");
});

test("bends come and go; a line of two points goes as a whole", () => {
  const bent = model.withBend(house(), "lines/0/picks", 0, [20, 70]);
  assert.equal(bent.lines[0].picks.length, 3);
  assert.equal(model.withoutPick(bent, "lines/0/picks", 1).lines[0].picks.length, 2);
  assert.equal(model.withoutPick(house(), "lines/0/picks", 1).lines.length, 1);
});

test("moved by hand, a line is no longer known as well as the program laid it", () => {
  const laid = (sd) => model.withPatch(house(), "lines", 0, { pick_sd_px: sd });
  const after = (sd) => model.withPickMoved(laid(sd), "lines/0/picks", 0, [1, 99]).lines[0].pick_sd_px;
  assert.equal(after(0.3), undefined);
  assert.equal(after(2.5), 2.5); // a person said that this one is hard to see
});

test("nothing is changed in place", () => {
  const before = house();
  const copy = structuredClone(before);
  model.withPickMoved(before, "lines/0/picks", 0, [7, 7]);
  model.without(before, "references", 0);
  assert.deepEqual(before, copy);
});

test("a fresh name is nobody's", () => {
  assert.equal(model.freshName("eaves", new Set(["eaves", "eaves 2"])), "eaves 3");
});

test("keys: steps of one, ten and a tenth of a pixel", () => {
  const press = (key, more = {}) => meaningOf({ key, ctrl: false, shift: false, alt: false, ...more });
  assert.deepEqual(press("ArrowLeft"), { type: "nudge", dx: -1, dy: 0 });
  assert.deepEqual(press("ArrowDown", { shift: true }), { type: "nudge", dx: 0, dy: 10 });
  assert.deepEqual(press("ArrowRight", { alt: true }), { type: "nudge", dx: 0.1, dy: 0 });
  assert.deepEqual([press("z", { ctrl: true }), press("Z", { ctrl: true, shift: true }), press("y", { ctrl: true })].map((m) => m.type), ["undo", "redo", "redo"]);
  assert.equal(press("a"), null);
});

test("every pick of every tool has a text of its own", () => {
  for (const [name, { least }] of Object.entries(TOOLS)) {
    for (let done = 0; done < least; done += 1) assert.equal(promptKey(name, done), `tool.${name}.${done + 1}`);
  }
  assert.equal(promptKey("straight", 5), "tool.straight.more");
});

test("found edges: the surest first, each once, none that is drawn", () => {
  const edge = (confidence, y, more = {}) => ({ role: "eaves", picks: [[0, y], [900, y]], confidence, said: "", ...more });
  const twin = edge(0.4, 104, { picks: [[900, 104], [0, 104]] });
  const shown = worthShowing([edge(0.3, 300), edge(0.9, 100), twin, edge(0.05, 600), edge(0.8, 500)], [{ picks: [[2, 502], [898, 501]] }], 1000);
  assert.deepEqual(shown.map((one) => one.confidence), [0.9, 0.3]);
});

test("a line drawn steep is a rake, a level one an eaves, any other what was chosen", () => {
  assert.equal(likelyRole("eaves", [[0, 0], [100, 80]]), "rake");
  assert.equal(likelyRole("rake", [[0, 0], [100, 5]]), "eaves");
  assert.equal(likelyRole("eaves", [[0, 0], [0, 100]]), "eaves");
  assert.equal(likelyRole("gutter", [[0, 0], [100, 80]]), "gutter");
});

test("an end at another line's end is joined", () => {
  assert.deepEqual([0, 1].map((at) => model.isJoined(house(), "lines/0/picks", at)), [false, true]);
});
