// What the cards say.

import assert from "node:assert/strict";
import { test } from "node:test";

import { adviceAt, budgetAt, emptyCells, lookUp, minutesOf, whatIsLeft, whereAt } from "../../static/field/advice.js";
import { skyAhead } from "../../static/field/sky.js";
import { eveningAt } from "../../static/field/state.js";
import { actionOf, openTable } from "../../static/field/table.js";
import { chanceWords, speaker, spell, wallClock } from "../../static/field/words.js";
import { events, minute, sampleSheet, words } from "./sample.mjs";

const sheet = sampleSheet();
const table = await openTable(sheet.table);
const SATIN = sheet.sets[0].id;
const evening = (minutes, log) => eveningAt(sheet, events(log), minute(minutes));
const advice = (minutes, log) => adviceAt(sheet, table, evening(minutes, log));

test("on arrival, dry: the action of the first slot, what follows, and what if rain begins", () => {
  const { now, then, turns } = advice(0, [[0, "rain", { class: 0 }]]);
  const state = { slot: 0, made: [], rainClass: 0, hairDose: 0, lookDoses: [0, 0, 0] };
  assert.deepEqual(now, { ...actionOf(table.action(state)), how: "exact" });
  assert.equal(now.what, "make");
  assert.equal(then.how, "exact");
  assert.deepEqual(turns.map((turn) => [turn.turn, turn.rainClass]), [["begins", 2]]);
});

test("a set that takes whole slots leads to the state that the plan means", () => {
  const log = [[0, "rain", { class: 0 }]];
  const first = advice(0, log).now;
  const { all } = minutesOf(sheet, evening(0, log), first.set, first.form);
  const slot = Math.ceil(all / sheet.table.slot_min);
  const made = [[first.set, first.form === "full" ? 0 : 1]];
  const state = { slot, made, rainClass: 0, hairDose: 0, lookDoses: [0, 0, 0] };
  assert.deepEqual(advice(0, log).then, { ...actionOf(table.action(state)), how: "exact" });
});

test("while a set runs the cards speak of its end", () => {
  const log = [[0, "rain", { class: 0 }], [1, "start", { set: SATIN, form: "full" }]];
  const { now, then } = advice(11, log);
  assert.equal(now, null);
  const state = { slot: 5, made: [[0, 0]], rainClass: 0, hairDose: 0, lookDoses: [0, 0, 0] };
  assert.deepEqual(then, { ...actionOf(table.action(state)), how: "exact" });
});

test("a set done quicker than planned is asked for at the first slot that has it", () => {
  const log = [[0, "rain", { class: 0 }], [0, "start", { set: SATIN, form: "full" }], [2, "done"]];
  const { now } = advice(3, log);
  const first = table.firstSlot([[0, 0]]);
  assert.ok(first > 0);
  const state = { slot: first, made: [[0, 0]], rainClass: 0, hairDose: 0, lookDoses: [0, 0, 0] };
  assert.deepEqual(now, { ...actionOf(table.action(state)), how: "sooner" });
});

test("what is skipped is never proposed", () => {
  const start = [[0, "rain", { class: 0 }], [0, "start", { set: SATIN, form: "full" }], [22, "done"]];
  const log = [...start];
  for (let n = 0; n < sheet.sets.length; n += 1) {
    const { now } = advice(25, log);
    const skipped = evening(25, log).skipped;
    assert.ok(!skipped.has(now.set), `${now.set} was skipped`);
    if (now.what === "beyond") {
      assert.ok(now.rest.every((set) => !skipped.has(set)));
    }
    if (now.what !== "make") break;
    log.push([25, "skip", { set: sheet.sets[now.set].id }]);
  }
  assert.ok(log.length > start.length);
});

test("a made set that was skipped afterwards is asked for as made", () => {
  const start = [[0, "rain", { class: 0 }], [0, "start", { set: SATIN, form: "full" }], [22, "done"]];
  const plain = advice(25, start).now;
  assert.equal(plain.how, "exact");
  assert.deepEqual(advice(25, [...start, [23, "skip", { set: SATIN }]]).now, plain);
});

test("skipping before anything is made still gets advice", () => {
  const log = [[0, "rain", { class: 0 }], [0, "skip", { set: SATIN }]];
  const { now } = advice(1, log);
  assert.deepEqual([now.what, now.how], ["make", "skipped"]);
  assert.notEqual(now.set, 0);
});

test("skipped sets count as made before the last that was, where the plan knows that", () => {
  // Denim on the steps was made before linen: without it the plan would still count on it.
  const made = [[0, 0], [2, 0]];
  const where = { slot: 14, made, skipped: [4], rainClass: 0, hairDose: 0, lookDoses: [0, 0, 0] };
  const known = [[0, 0], [4, 0], [2, 0]];
  const byte = table.action({ ...where, made: known, slot: table.firstSlot(known) });
  const expected = actionOf(byte);
  assert.equal(expected.what, "make");
  assert.deepEqual(lookUp(sheet, table, where), { ...expected, how: "skipped" });
});

test("with sets skipped nobody is sent home for the sake of what is not so", () => {
  const skips = [1, 2, 3, 4].map((set) => [25, "skip", { set: sheet.sets[set].id }]);
  const start = [[0, "rain", { class: 0 }], [0, "start", { set: SATIN, form: "full" }], [22, "done"]];
  const { now } = advice(25, [...start, ...skips]);
  assert.ok(now.what === "beyond" ? now.rest.includes(5) : now.set === 5, JSON.stringify(now));
});

test("beyond the plan the sets that are left are listed, what fits first and by worth", () => {
  // Satin again after denim: no course of the plan takes a look off and puts it on again.
  const where = { slot: 8, made: [[4, 0], [0, 0]], skipped: [], rainClass: 2, hairDose: 0, lookDoses: [0, 0, 0] };
  const found = lookUp(sheet, table, where);
  assert.equal(found.what, "beyond");
  assert.deepEqual(found.rest, whatIsLeft(sheet, where));
  // In rain the umbrella's sets come first, by worth; those in the open after them.
  assert.deepEqual(found.rest, [2, 1, 3, 5]);
});

test("past the last slot the evening is over", () => {
  assert.equal(advice(160, [[150, "rain", { class: 0 }]]).now.what, "over");
  assert.equal(whereAt(sheet, evening(-20, [])).slot, 0);
});

test("where nobody said what falls, each class is asked", () => {
  const { now, unknownRain } = advice(30, []);
  assert.deepEqual([now.what, now.set], ["make", 0], "what holds in any rain is said");
  const unlike = advice(45, [[20, "start", { set: SATIN, form: "full" }], [40, "done"]]);
  assert.ok(new Set(unlike.unknownRain.map((one) => one.set)).size > 1);
  assert.equal(unlike.now, null, "where the classes differ nothing is");
  for (const { rainClass, how, ...action } of unknownRain) {
    const state = { slot: 6, made: [], rainClass, hairDose: 0, lookDoses: [0, 0, 0] };
    assert.deepEqual([action, how], [actionOf(table.action(state)), "exact"]);
  }
  assert.deepEqual(unknownRain.map((one) => one.rainClass), [0, 1, 2, 3]);
});

test("the budget counts to damp, then to wet, for hair and for the worn look", () => {
  const log = [[0, "rain", { class: 2 }]];
  const fresh = budgetAt(sheet, evening(1, log));
  assert.deepEqual(fresh.hair, { is: "dry", next: "damp", seconds: 27 });
  assert.deepEqual(fresh.look, { is: "dry", next: "damp", seconds: 9 });
  const damp = budgetAt(sheet, evening(2, [...log, [1, "hair", { state: "damp" }]]));
  assert.deepEqual(damp.hair, { is: "damp", next: "wet", seconds: 27 });
  const wet = budgetAt(sheet, evening(2, [...log, [1, "hair", { state: "wet" }]]));
  assert.deepEqual(wet.hair, { is: "wet", next: null, seconds: null });
  assert.equal(budgetAt(sheet, evening(1, [[0, "rain", { class: 0 }]])).hair.seconds, null);
});

test("the ranges widen with age, and an old picture says nothing", () => {
  const width = (age) => {
    const { chance } = skyAhead(sheet.nowcast, minute(-27 + age)).windows[0];
    return chance.high - chance.low;
  };
  const flat = { ...sheet.nowcast, steps: sheet.nowcast.steps.map((step) => ({ ...step, shares: [0.5, 0.2, 0.2, 0.1] })) };
  const wide = (age) => {
    const { low, high } = skyAhead(flat, minute(-27 + age)).windows[0].chance;
    return high - low;
  };
  assert.ok(wide(0) < wide(10) && wide(10) < wide(30));
  assert.ok(width(0) >= 0.05);
  const quick = { ...sheet.nowcast, too_old_min: 15 };
  assert.ok(!skyAhead(quick, minute(-27 + 15)).isTooOld);
  assert.ok(skyAhead(quick, minute(-27 + 16)).isTooOld);
  const old = skyAhead(sheet.nowcast, minute(-27 + 41));
  assert.ok(old.isTooOld);
  assert.deepEqual(old.windows.map((one) => one.chance), [null, null, null]);
});

test("what the steps do not reach is not known, never dry", () => {
  const short = { ...sheet.nowcast, steps: sheet.nowcast.steps.slice(0, 8) };
  const { windows } = skyAhead(short, minute(-27));
  assert.notEqual(windows[0].chance, null);
  assert.notEqual(windows[1].chance, null);
  assert.equal(windows[2].chance, null);
  assert.equal(skyAhead(null, minute(0)), null);
  const holes = { ...sheet.nowcast, steps: sheet.nowcast.steps.map((step) => ({ ...step, shares: null })) };
  assert.equal(skyAhead(holes, minute(-27)).windows[0].chance, null);
});

test("chances in words", () => {
  const say = speaker(words);
  for (const [low, high, text] of [
    [0.62, 0.88, "6 to 9 in 10"],
    [0.3, 0.3, "about 3 in 10"],
    [0, 0.12, "at most 2 in 10"],
    [0.75, 1, "7 in 10 or more"],
    [0.01, 0.99, "not known"],
  ]) {
    assert.equal(chanceWords(say, low, high), text);
  }
});

test("spells are rounded down", () => {
  const say = speaker(words);
  for (const [seconds, text] of [[9.9, "9 s"], [44, "40 s"], [179, "175 s"], [216, "3 min"], [9e9, "more than an hour"]]) {
    assert.equal(spell(say, seconds), text);
  }
  assert.equal(wallClock(minute(0), 600), "15:15");
});

test("the first five empty cells", () => {
  const log = [[1, "cell", { look: "denim", cell: "close-smile", filled: true }]];
  const empty = emptyCells(sheet, evening(2, log), "denim").map((cell) => cell.id);
  assert.deepEqual(empty, ["close-soft", "close-laugh", "half-smile-lean", "half-away", "half-sit"]);
});
