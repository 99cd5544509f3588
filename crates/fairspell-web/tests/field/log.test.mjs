// Logs of several phones become one; what is undone can be put back; nothing is lost.

import assert from "node:assert/strict";
import { test } from "node:test";

import { fromTheFuture, inOrder, logAsText, makeEvent, mergeLogs, undoneIds, whatCounts } from "../../static/field/log.js";
import { events, minute } from "./sample.mjs";

const ids = (list) => list.map((event) => event.id);

test("an event carries device, number, time and kind", () => {
  const event = makeEvent("abc", 3, minute(0), "rain", { class: 2 });
  assert.deepEqual(event, {
    id: "abc-3",
    device: "abc",
    n: 3,
    at: "2026-09-03T05:15:00.000Z",
    kind: "rain",
    class: 2,
  });
});

test("two phones' logs merge by id, whichever comes first", () => {
  const ours = events([[0, "arrived"], [9, "rain", { class: 2 }]], "ours");
  const theirs = events([[5, "thunder"], [9, "hold"]], "theirs");
  const both = mergeLogs(ours, theirs, ours);
  assert.deepEqual(ids(both), ["ours-1", "theirs-1", "ours-2", "theirs-2"]);
  assert.deepEqual(mergeLogs(theirs, ours), both);
});

test("of the same event the first list's copy stays", () => {
  const [event] = events([[0, "thunder"]]);
  const putRight = { ...event, at: "2026-09-03T06:15:00.000Z" };
  assert.deepEqual(mergeLogs([putRight], [event]), [putRight]);
});

test("order is by time, then device, then number", () => {
  const at = "2026-09-03T05:15:00Z";
  const event = (device, n) => ({ id: `${device}-${n}`, device, n, at, kind: "note" });
  const mixed = [event("b", 2), event("a", 10), event("a", 9)];
  assert.deepEqual(ids(inOrder(mixed)), ["a-9", "a-10", "b-2"]);
});

test("an undo takes an event out, and an undo of the undo puts it back", () => {
  const log = events([[0, "rain", { class: 3 }], [1, "undo", { of: "phone-1" }]]);
  assert.deepEqual(whatCounts(log), []);
  log.push(...events([[2, "undo", { of: "phone-2" }]]).map((it) => ({ ...it, id: "phone-3", n: 3 })));
  assert.deepEqual(ids(whatCounts(log)), ["phone-1"]);
});

test("an undo whose clock was behind still undoes, and a pair of undos of each other does nothing", () => {
  const early = events([[5, "thunder"], [1, "undo", { of: "phone-1" }]]);
  assert.deepEqual(whatCounts(early), []);
  const pair = events([[0, "undo", { of: "phone-2" }], [1, "undo", { of: "phone-1" }]]);
  assert.doesNotThrow(() => undoneIds(pair));
});

test("two undos of one event are both needed to be taken back", () => {
  const log = events([
    [0, "thunder"],
    [1, "undo", { of: "phone-1" }],
    [2, "undo", { of: "phone-1" }],
    [3, "undo", { of: "phone-2" }],
  ]);
  assert.deepEqual(whatCounts(log), []);
});

test("a time well ahead is told; a minute ahead is only a clock", () => {
  const log = events([[0, "arrived"], [4, "hold"], [6, "thunder"]]);
  assert.deepEqual(ids(fromTheFuture(log, minute(0))), ["phone-3"]);
  assert.deepEqual(fromTheFuture(log, minute(2)), []);
});

test("the log as text is a line for a person and one for the studio", () => {
  const log = events([[0, "note", { text: "two\nlines" }]]);
  const lines = logAsText("Field log", "s", "d", minute(1), log).split("\n");
  assert.equal(lines.length, 2);
  const read = JSON.parse(lines[1]);
  assert.equal(read.fairspell_field_log, 1);
  assert.deepEqual(read.events, log);
});
