/** Asking for lengths: when questions go out, and whose answers are told. */
import assert from "node:assert/strict";
import test from "node:test";

import { asker, PACE_MS } from "../../../ui/drawing/measuring.mjs";

/** A clock that goes when told, and a server that answers when told. */
function lab() {
  const parts = { time: 0, timers: [], asked: [], answers: [], failures: 0 };
  const asking = asker({
    send: (seq, question) => new Promise((resolve, reject) => parts.asked.push({ seq, question, resolve, reject })),
    onAnswer: (answer) => parts.answers.push(answer),
    onFailure: () => { parts.failures += 1; },
    now: () => parts.time,
    later: (run, ms) => parts.timers.push({ run, at: parts.time + ms }),
  });
  const pass = async (ms) => {
    parts.time += ms;
    const due = parts.timers.filter((timer) => timer.at <= parts.time);
    parts.timers = parts.timers.filter((timer) => timer.at > parts.time);
    due.forEach((timer) => timer.run());
    await new Promise((resolve) => setImmediate(resolve));
  };
  return { ...asking, parts, pass };
}

test("one question under way, the newest next, and no sooner than the pace", async () => {
  const { ask, parts, pass } = lab();
  ["a", "b", "c"].forEach(ask);
  assert.deepEqual(parts.asked.map((one) => one.question), ["a"]);
  parts.asked[0].resolve("A");
  await pass(10);
  assert.deepEqual(parts.asked.map((one) => one.question), ["a"]);
  await pass(PACE_MS - 10);
  assert.deepEqual(parts.asked.map((one) => [one.seq, one.question]), [[1, "a"], [2, "c"]]);
  assert.deepEqual(parts.answers, ["A"]);
});

test("the finger is up: the last question waits neither for the pace nor for an answer", async () => {
  const { ask, hurry, parts, pass } = lab();
  ["a", "b"].forEach(ask);
  hurry();
  assert.deepEqual(parts.asked.map((one) => one.question), ["a", "b"]);
  ["c", "d"].forEach((question) => { ask(question); hurry(); });
  assert.equal(parts.asked.length, 2); // a slow server gets no more at a time
  parts.asked[0].resolve("A");
  await pass(1);
  assert.deepEqual(parts.asked.map((one) => one.question), ["a", "b", "d"]);
  parts.asked[1].resolve("B");
  parts.asked[2].resolve("D");
  await pass(1);
  assert.deepEqual(parts.answers, ["A", "B", "D"]);
  ask("e"); // nobody hurries any more
  assert.equal(parts.asked.length, 3);
});

test("what is told of a newer question stands, whatever comes of an older one", async () => {
  for (const late of ["resolve", "reject"]) {
    const { ask, hurry, parts, pass } = lab();
    ["a", "b"].forEach(ask);
    hurry();
    parts.asked[1].resolve("B");
    await pass(1);
    parts.asked[0][late]("A");
    await pass(1);
    assert.deepEqual([parts.answers, parts.failures], [["B"], 0]);
  }
  const { ask, hurry, parts, pass } = lab();
  ["a", "b"].forEach(ask);
  hurry();
  parts.asked[1].reject(new Error("gone"));
  await pass(1);
  parts.asked[0].resolve("A"); // its length is of another line than is drawn
  await pass(1);
  assert.deepEqual([parts.answers, parts.failures], [[], 1]);
});

test("a failure is told, and does not end the asking", async () => {
  const { ask, parts, pass } = lab();
  ask("a");
  parts.asked[0].reject(new Error("gone"));
  ask("b");
  await pass(PACE_MS);
  assert.deepEqual([parts.failures, parts.asked.length], [1, 2]);
});
