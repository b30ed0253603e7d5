/** Two people at one job: what is kept of each, and when a person is asked. */
import assert from "node:assert/strict";
import test from "node:test";

import { begun, stepped, undone } from "../../../ui/drawing/history.mjs";
import { merge, rebased, same, withElevation, withOwn } from "../../../ui/drawing/merge.mjs";

test("documents are the same whatever the order of fields and how unknown is written", () => {
  assert.ok(same({ a: 1, b: [{ c: null, d: 2 }] }, { b: [{ d: 2 }], a: 1 }));
  assert.ok(!same({ a: [1, 2] }, { a: [2, 1] }));
});

const job = (...elevations) => ({ title: "t", elevations });

test("what only one of two people changed is taken from that one", () => {
  const base = job({ name: "a", v: 1 }, { name: "b", v: 1 });
  const mine = job({ name: "a", v: 2 }, { name: "b", v: 1 });
  const theirs = { ...job({ name: "a", v: 1 }, { name: "b", v: 3 }, { name: "c" }), title: "new" };
  const { merged, clashes } = merge(base, mine, theirs);
  assert.deepEqual(merged, { ...job({ name: "a", v: 2 }, { name: "b", v: 3 }, { name: "c" }), title: "new" });
  assert.deepEqual(clashes, []);
});

test("what both changed is a clash, unless both did the same", () => {
  const base = job({ name: "a", v: 1 });
  assert.deepEqual(merge(base, job({ name: "a", v: 2 }), job({ name: "a", v: 3 })).clashes, ["a"]);
  assert.deepEqual(merge(base, job({ name: "a", v: 2 }), job({ name: "a", v: 2 })).clashes, []);
});

const line = (name, x = 0) => ({ name, role: "eaves", picks: [[x, 0], [100, 0]] });
const wall = (...lines) => ({ elevations: [{ name: "front", references: [{ kind: "level", name: "sill" }], lines }] });
const merged = (base, mine, theirs) => merge(base, mine, theirs).merged.elevations[0];

test("different lines of one wall are kept from both sides", () => {
  const base = wall(line("a"), line("b"), line("c"));
  const mine = wall(line("a", 1), line("b"), line("mine"));
  const theirs = wall(line("a"), line("b", 2), line("c"), line("theirs"));
  const { clashes } = merge(base, mine, theirs);
  assert.deepEqual(clashes, []);
  assert.deepEqual(merged(base, mine, theirs).lines, [line("a", 1), line("b", 2), line("theirs"), line("mine")]);
});

test("lines of one side and references of the other", () => {
  const base = wall(line("a"));
  const theirs = structuredClone(base);
  theirs.elevations[0].references.push({ kind: "plumb", name: "quoin" });
  const { lines, references } = merged(base, wall(line("a", 5)), theirs);
  assert.deepEqual([lines, references.length], [[line("a", 5)], 2]);
});

test("asked where both changed a line, both drew one of the same name, or one took it away", () => {
  const base = wall(line("a"));
  for (const [mine, theirs] of [
    [wall(line("a", 1)), wall(line("a", 2))],
    [wall(line("a"), line("new", 1)), wall(line("a"), line("new", 2))],
    [wall(line("a", 1)), wall()],
    [wall(), wall(line("a", 1))],
  ]) {
    assert.deepEqual(merge(base, mine, theirs).clashes, ["front"]);
    assert.deepEqual(merged(base, mine, theirs), theirs.elevations[0]);
  }
});

test("what cannot be told apart is asked about", () => {
  const unnamed = (...picks) => ({ elevations: [{ name: "front", references: picks.map((x) => ({ kind: "level", ends: [[x, 0], [9, 0]] })) }] });
  assert.deepEqual(merge(unnamed(1), unnamed(1, 2), unnamed(1, 3)).clashes, ["front"]);
});

test("a line that one took away leaves the soffit that the other hung it at", () => {
  const hung = (job, ...lines) => ({ elevations: [{ ...job.elevations[0], soffits: [{ name: "s", lines }] }] });
  const base = hung(wall(line("a"), line("b")), "b");
  const result = merged(base, hung(wall(line("b")), "b"), hung(wall(line("a"), line("b")), "a", "b"));
  assert.deepEqual(result.lines, [line("b")]);
  assert.deepEqual(result.soffits[0].lines, ["b"]);
});

test("a wall that was taken out meanwhile is asked about if it was drawn on, and comes back", () => {
  const base = wall(line("a"));
  const mine = wall(line("a", 1));
  const theirs = { elevations: [{ name: "back" }] };
  const { merged: result, clashes } = merge(base, mine, theirs);
  assert.deepEqual([clashes, result], [["front"], theirs]);
  assert.deepEqual(withOwn(result, mine, clashes).elevations, [{ name: "back" }, mine.elevations[0]]);
  assert.deepEqual(merge(base, base, theirs).clashes, []);
  assert.deepEqual(withElevation(theirs, mine.elevations[0]).elevations.length, 2);
});

test("a step back takes back one's own work alone", () => {
  const [base, theirs] = [wall(line("a")), wall(line("a"), line("theirs"))];
  const one = { ...base.elevations[0], lines: [line("a"), line("mine")] };
  const two = { ...one, lines: [line("a", 3), line("mine")] };
  const history = [one, two].reduce((steps, next) => stepped(steps, next), begun(base.elevations[0]));
  const present = merged(base, { elevations: [two] }, theirs);
  let steps = rebased(history, base.elevations[0], theirs.elevations[0], present);
  assert.deepEqual(steps.present.lines, [line("a", 3), line("theirs"), line("mine")]);
  steps = undone(steps);
  assert.deepEqual(steps.present.lines, [line("a"), line("theirs"), line("mine")]);
  steps = undone(steps);
  assert.deepEqual(steps.present.lines, [line("a"), line("theirs")]);
  assert.equal(undone(steps), steps);
});

/** A seeded generator: Lehmer's, modulus 2^31 - 1, multiplier 48271. */
function random(seed) {
  let state = seed;
  return (most) => {
    state = (state * 48271) % 2147483647;
    return state % most;
  };
}

test("whatever two people do to different lines, all of it is kept and nothing else", () => {
  for (let seed = 1; seed <= 200; seed += 1) {
    const roll = random(seed * 7919);
    const lines = Array.from({ length: 6 }, (_, i) => line(`line ${i}`));
    const sides = [[...lines], [...lines]];
    const expected = new Map(lines.map((one) => [one.name, one]));
    lines.forEach((one, i) => {
      const [side, act] = [roll(3), roll(2)];
      if (side === 2) return;
      const next = act ? line(one.name, 1 + roll(50)) : undefined;
      sides[side][i] = next;
      if (next) expected.set(one.name, next);
      else expected.delete(one.name);
    });
    sides.forEach((side, i) => {
      if (!roll(2)) return;
      side.push(line(`new ${i}`));
      expected.set(`new ${i}`, line(`new ${i}`));
    });
    const [mine, theirs] = sides.map((side) => wall(...side.filter(Boolean)));
    const { merged: result, clashes } = merge(wall(...lines), mine, theirs);
    assert.deepEqual(clashes, [], `seed ${seed}`);
    const byName = (items) => [...items].sort((a, b) => (a.name < b.name ? -1 : 1));
    assert.deepEqual(byName(result.elevations[0].lines), byName([...expected.values()]), `seed ${seed}`);
  }
});
