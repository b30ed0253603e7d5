/** Open questions: what is asked, what an answer makes of the drawing, what is tried. */
import assert from "node:assert/strict";
import test from "node:test";

import { begun } from "../../../ui/drawing/history.mjs";
import { askedAbout, openQuestions, trialOf, withReferences, withTape } from "../../../ui/drawing/questions.mjs";
import { asFound } from "../../../ui/drawing/reading.mjs";

const ladder = (direction, pitch) => ({
  kind: "courses", name: direction, direction, picks: [[1, 1], [2, 2]], counts: [0, 9],
  gauge_mm: pitch, gauge_sd_mm: 5, may_be: ["uk-metric", "us-modular", "de-nf"],
});
const house = (more = {}) => ({
  name: "front", references: [{ kind: "level", ends: [[0, 0], [9, 0]] }, ladder("up", 78), ladder("along", 230)],
  lines: [], ...more,
});
const eaves = { name: "eaves", role: "eaves", picks: [[0, 0], [100, 0]], confidence: 0.4, said: "" };
const other = { ...eaves, name: "eaves, choice 2", picks: [[0, 30], [100, 30]], confidence: 0.05 };
const read = {
  references: [], proposals: [eaves, other], notes: [],
  questions: [
    { ask: "count", said: "Is this brickwork?", ways: [{ said: "stretcher", references: [ladder("up", 75)], line: "" }] },
    { ask: "line", said: "8.01 m", ways: [eaves, other].map(({ name }) => ({ said: name, references: [], line: name })) },
  ],
};
const state = (elevation, more = {}) => ({
  history: begun(elevation), measured: { seq: 1, ok: true, questions: [{ ask: "format", references: [1, 2], formats: ["uk-metric", "us-modular", "de-nf"] }] },
  measuredOf: elevation, found: null, size: [1000, 800], selected: null, ...more,
});

test("an answer of the job changes the references that it is about, and nothing else", () => {
  const elevation = house();
  const [question] = openQuestions(state(elevation), elevation);
  assert.deepEqual(question.ways.map((way) => way.said), ["uk-metric", "us-modular"]);
  const answered = question.ways[1].apply(elevation);
  assert.equal(answered.references[0], elevation.references[0]);
  for (const one of answered.references.slice(1)) {
    assert.equal(one.format, "us-modular");
    assert.ok(!("gauge_mm" in one) && !("gauge_sd_mm" in one) && !("may_be" in one));
  }
});

test("questions of other references than are drawn are not asked", () => {
  const elevation = house();
  const changed = { ...elevation, references: elevation.references.slice(1) };
  assert.deepEqual(openQuestions(state(elevation), changed), []);
  assert.equal(openQuestions(state(elevation), { ...elevation, lines: [eaves] }).length, 1);
});

test("a taped run is of the bed joints; perpends keep their spread and are not asked again", () => {
  const { references } = withTape(house(), [1, 2], 10, 752);
  assert.deepEqual([references[1].taped_count, references[1].taped_mm, references[1].gauge_mm], [10, 752, undefined]);
  assert.deepEqual([references[2].taped_mm, references[2].gauge_sd_mm, references[2].may_be], [undefined, 5, undefined]);
});

test("references take the place of those of their name", () => {
  const again = { ...ladder("up", 75), gauge_sd_mm: 1 };
  const { references } = withReferences(house(), [again, { kind: "plumb", name: "new", ends: [[0, 0], [0, 9]] }]);
  assert.equal(references.length, 4);
  assert.equal(references[1], again);
});

test("what was read is asked until the drawing answers it, and again after a step back", () => {
  const bare = house({ references: [] });
  const found = asFound(read, [], 1000);
  const asked = (elevation) => openQuestions(state(elevation, { found, measured: null }), elevation);
  assert.deepEqual(asked(bare).map((one) => [one.ask, one.said]), [["count", "Is this brickwork?"], ["line", ""]]);
  const [count, line] = asked(bare);
  assert.deepEqual(asked(count.ways[0].apply(bare)).map((one) => one.ask), ["line"]);
  const drawn = line.ways[0].apply(bare);
  assert.deepEqual(drawn.lines.map((one) => [one.name, one.role]), [["eaves", "eaves"]]);
  assert.deepEqual(asked(drawn).map((one) => one.ask), ["count"]);
  assert.equal(asked(bare).length, 2);
});

test("a line too unlikely to be shown is still an answer, and shown as one", () => {
  const found = asFound(read, [], 1000);
  assert.deepEqual(found.proposals, [eaves]);
  const places = askedAbout(state(house({ references: [] }), { found, measured: null }), house({ references: [] }));
  assert.deepEqual([places.get(eaves), places.get(other)], [0, 1]);
  const unlikely = asFound({ ...read, proposals: [{ ...eaves, confidence: 0.05 }, other] }, [], 1000);
  assert.equal(askedAbout(state(house(), { found: unlikely, measured: null }), house()).size, 0);
});

test("what is tried: the answer's own line, the selected, the longest, the likeliest found", () => {
  const lines = [{ name: "a", picks: eaves.picks }, { name: "b", picks: other.picks }];
  const elevation = house({ lines });
  const measured = { questions: state(elevation).measured.questions, lines: [{ length_mm: 100 }, { length_mm: 900 }] };
  const found = asFound(read, [], 1000);
  const way = openQuestions(state(elevation), elevation)[0].ways[0];
  assert.equal(trialOf(state(elevation, { measured }), elevation, way).index, 1);
  assert.equal(trialOf(state(elevation, { measured, selected: "lines/0/picks" }), elevation, way).index, 0);
  assert.equal(trialOf(state(house()), house(), way), null);
  const alone = trialOf(state(house(), { found }), house(), way);
  assert.deepEqual(alone.elevation.lines.map((one) => one.name), ["eaves"]);
  const bare = house({ references: [] });
  const [, line] = openQuestions(state(bare, { found, measured: null }), bare);
  const second = trialOf(state(bare, { found, measured: null }), bare, line.ways[1]);
  assert.deepEqual(second.elevation.lines[second.index].picks, other.picks);
});
