// Where the evening stands: doses, what runs, the clock that thunder starts.

import assert from "node:assert/strict";
import { test } from "node:test";

import { doseOf, doseSeen, secondsUntil, wetnessOf } from "../../static/field/dose.js";
import { budgetAt } from "../../static/field/advice.js";
import { eveningAt, pictureToKeep } from "../../static/field/state.js";
import { events, minute, sampleSheet } from "./sample.mjs";

const LINEN_OPEN = "white linen / heron_walk / open";
const DENIM_BURSTS = "denim / heron_walk / open";
const SATIN = "sage satin / cannery_arcade / cover";

const near = (a, b) => assert.ok(Math.abs(a - b) < 1e-9, `${a} is not ${b}`);
const at = (minutes, log, sheet = sampleSheet()) => eveningAt(sheet, events(log), minute(minutes));

test("the trade's table of uncovered bursts", () => {
  // Rate in mm/h, seconds until fine hair looks damp (15 g/m²) and clearly wet (30), in whole seconds.
  for (const [rate, damp, wet] of [[0.5, 108, 216], [1, 54, 108], [2, 27, 54], [5, 11, 22], [10, 5, 11]]) {
    assert.ok(Math.abs(secondsUntil(rate, 15, 1) - damp) <= 0.5);
    assert.ok(Math.abs(secondsUntil(rate, 30, 1) - wet) <= 0.5);
    near(doseOf(rate, secondsUntil(rate, 15, 1), 1), 15);
  }
  assert.equal(secondsUntil(0, 15, 1), null);
  assert.equal(secondsUntil(2, 15, 0), null);
});

test("three bursts of 40 s are one of 120 s", () => {
  near(3 * doseOf(1.7, 40, 1), doseOf(1.7, 120, 1));
});

test("a set interrupted twice takes the water of one that was not", () => {
  const whole = at(60, [[0, "rain", { class: 2 }], [10, "start", { set: LINEN_OPEN, form: "full" }], [16, "done"]]);
  const parts = at(60, [
    [0, "rain", { class: 2 }],
    [10, "start", { set: LINEN_OPEN, form: "full" }],
    [12, "hold"],
    [20, "resume"],
    [22, "hold"],
    [30, "resume"],
    [32, "done"],
  ]);
  near(whole.hairDose, doseOf(2, 360, 1));
  near(parts.hairDose, whole.hairDose);
  near(parts.lookDoses[1], whole.lookDoses[1]);
});

test("bursts are spread over the planned minutes, and end with them", () => {
  const start = [[0, "rain", { class: 2 }], [10, "start", { set: DENIM_BURSTS, form: "full" }]];
  near(at(16, start).hairDose, doseOf(2, 80, 1));
  near(at(22, start).hairDose, doseOf(2, 160, 1));
  near(at(40, start).hairDose, doseOf(2, 160, 1));
  near(at(40, [...start, [30, "note", { text: "gulls" }]]).hairDose, doseOf(2, 160, 1));
  assert.equal(at(16, start).running.workedMs, 6 * 60_000);
});

test("rain that turns during a set counts from its turn", () => {
  const log = [
    [0, "rain", { class: 0 }],
    [10, "start", { set: LINEN_OPEN, form: "full" }],
    [14, "rain", { class: 1 }],
    [16, "rain", { class: 3 }],
    [17, "stop"],
  ];
  near(at(30, log).hairDose, doseOf(0.5, 120, 1) + doseOf(6, 60, 1));
  assert.deepEqual(at(30, log).made, []);
  assert.equal(at(30, log).stopped.length, 1);
});

test("a roof and standing about take no water", () => {
  const log = [[0, "rain", { class: 3 }], [1, "start", { set: SATIN, form: "full" }], [21, "done"]];
  near(at(60, log).hairDose, 0);
});

test("what is seen puts the dose right, and agrees with what it had", () => {
  const limits = { damp_at_g_m2: 15, wet_at_g_m2: 30 };
  const levels = [0, 5, 10, 15, 20, 25, 30];
  for (const [dose, seen, now] of [
    [7, "dry", 7],
    [22, "dry", 10],
    [3, "damp", 15],
    [40, "damp", 25],
    [3, "wet", 30],
    [44, "wet", 44],
  ]) {
    assert.equal(doseSeen(dose, seen, limits, levels), now, `${dose} ${seen}`);
    assert.equal(wetnessOf(now, limits), seen);
  }
});

test("sets made, running and skipped are told apart", () => {
  const log = [
    [0, "arrived"],
    [1, "start", { set: SATIN, form: "short" }],
    [12, "done"],
    [13, "skip", { set: LINEN_OPEN }],
    [20, "start", { set: DENIM_BURSTS, form: "full" }],
  ];
  const evening = at(22, log);
  assert.deepEqual(evening.made.map(({ set, form }) => [set, form]), [[0, "short"]]);
  assert.deepEqual([...evening.skipped], [3]);
  assert.equal(evening.running.set, 5);
  assert.equal(evening.worn, 2);
  assert.equal(evening.spot, "heron_walk");
  // What is undone was never so.
  const undone = at(22, [...log, [21, "undo", { of: "phone-5" }]]);
  assert.equal(undone.running, null);
  assert.equal(undone.worn, 0);
});

test("rain is what was tapped, with since when; else the picture's, while it is young", () => {
  assert.deepEqual(at(0, []).rain, { class: 0, since: minute(-27), by: "picture" });
  assert.equal(at(14, []).rain.class, null);
  const tapped = at(50, [[9, "rain", { class: 2 }], [12, "rain", { class: 2 }]]).rain;
  assert.deepEqual(tapped, { class: 2, since: minute(9), by: "tap" });
  const nothing = sampleSheet({ nowcast: null });
  assert.equal(at(0, [], nothing).rain.class, null, "not known, never dry");
});

test("the sheet says when a picture is too old", () => {
  const { nowcast } = sampleSheet();
  const quick = sampleSheet({ nowcast: { ...nowcast, too_old_min: 30 } });
  assert.equal(at(3, [], quick).rain.class, 0);
  assert.equal(at(4, [], quick).rain.class, null);
});

/** A sheet of a quarter past, whose picture has another class. */
const withPicture = (minutes, now_class) => {
  const issued = new Date(minute(minutes)).toISOString();
  return sampleSheet({ nowcast: { ...sampleSheet().nowcast, issued, now_class } });
};

test("a later picture does not change the water of the past", () => {
  const issued = new Date(minute(0)).toISOString();
  const log = [
    [1, "rain", { class: 2, by: "picture", issued, too_old_min: 40 }],
    [1, "start", { set: LINEN_OPEN, form: "full" }],
    [4, "done"],
  ];
  for (const now of [0, 1, 3]) {
    const evening = at(10, log, withPicture(9, now));
    near(evening.hairDose, doseOf(2, 180, 1));
    assert.ok(evening.isHairKnown);
    assert.equal(evening.rain.class, now, "what falls now is the newest picture's");
  }
  // What was tapped counts before any picture.
  const tapped = at(10, [[0, "rain", { class: 1 }], ...log], withPicture(9, 3));
  near(tapped.hairDose, doseOf(0.5, 180, 1));
  assert.equal(tapped.rain.by, "tap");
});

test("where nobody said what fell, the dose is not known, until somebody looks", () => {
  const log = [[1, "start", { set: LINEN_OPEN, form: "full" }], [4, "rain", { class: 2 }], [5, "done"]];
  const evening = at(10, log);
  near(evening.hairDose, doseOf(2, 60, 1));
  assert.deepEqual([evening.isHairKnown, evening.areLooksKnown], [false, [true, false, true]]);
  assert.deepEqual(budgetAt(sampleSheet(), evening).hair, { is: "unknown", next: null, seconds: null });
  assert.equal(budgetAt(sampleSheet(), evening).look.is, "unknown");
  const seen = at(10, [...log, [6, "hair", { state: "damp" }], [6, "cloth", { look: "white linen", state: "dry" }]]);
  assert.deepEqual([seen.isHairKnown, seen.areLooksKnown], [true, [true, true, true]]);
  assert.equal(budgetAt(sampleSheet(), seen).hair.is, "damp");
  assert.ok(at(10, [[1, "start", { set: SATIN, form: "full" }], [5, "done"]]).isHairKnown, "under a roof");
  const issued = new Date(minute(-38)).toISOString();
  const old = [[1, "rain", { class: 2, by: "picture", issued, too_old_min: 40 }], [1, "start", { set: LINEN_OPEN, form: "full" }]];
  near(at(9, old).hairDose, doseOf(2, 60, 1));
  assert.equal(at(9, old).isHairKnown, false, "a picture holds no longer than it can be gone by");
});

test("what falls by the picture is kept once, anew when it changes, and never against a tap", () => {
  const sheet = withPicture(0, 2);
  const first = pictureToKeep(sheet, at(1, [], sheet));
  const issued = new Date(minute(0)).toISOString();
  assert.deepEqual(first, { class: 2, by: "picture", issued, too_old_min: 40 });
  const log = [[1, "rain", first]];
  const next = (minutes, sheet, more = []) => pictureToKeep(sheet, at(minutes, [...log, ...more], sheet));
  assert.equal(next(2, sheet), null);
  assert.equal(next(12, withPicture(10, 2)), null);
  assert.equal(next(12, withPicture(10, 0)).class, 0);
  assert.equal(next(35, withPicture(30, 2)).class, 2, "before the first runs out");
  assert.equal(next(12, withPicture(10, 0), [[5, "rain", { class: 1 }]]), null);
  assert.equal(next(12, withPicture(-5, 0)), null, "an older picture of another phone");
});

test("every new rumble starts the clock again", () => {
  const first = [[60, "spot", { spot: "heron_walk" }], [61, "thunder"]];
  const one = at(70, first).thunder;
  assert.ok(one.isOn);
  assert.equal(one.until, minute(91));
  assert.equal(one.lightLeftMin, 66);
  assert.deepEqual(one.refuge, { name: "the car", at: "Heron Walk", minutes: 6 });
  const again = [...first, [90, "thunder"]];
  assert.equal(at(95, again).thunder.until, minute(120));
  assert.ok(at(119, again).thunder.isOn);
  assert.ok(!at(120, again).thunder.isOn);
  assert.equal(at(131, [...again, [130, "thunder"]]).thunder.lightLeftMin, null);
});

test("a refuge is what is called one: never the roof one stands under", () => {
  const sheet = sampleSheet();
  sheet.spots[0].refuge = null;
  const { refuge } = at(6, [[5, "thunder"]], sheet).thunder;
  assert.deepEqual(refuge, { name: "the church hall", at: "Lantern Steps", minutes: 6 });
  for (const spot of sheet.spots) spot.refuge = null;
  assert.equal(at(6, [[5, "thunder"]], sheet).thunder.refuge, null);
});

test("nobody gets wet while thunder keeps them in", () => {
  const log = [
    [0, "rain", { class: 2 }],
    [1, "start", { set: LINEN_OPEN, form: "full" }],
    [3, "thunder"],
  ];
  near(at(33, log).hairDose, doseOf(2, 120, 1));
  near(at(34, log).hairDose, doseOf(2, 180, 1));
});

test("cells are filled and emptied for each look", () => {
  const cell = (look, id, filled) => ["cell", { look, cell: id, filled }];
  const log = [
    [1, ...cell("denim", "close-smile", true)],
    [2, ...cell("denim", "close-soft", true)],
    [3, ...cell("denim", "close-smile", false)],
    [4, ...cell("no such look", "close-smile", true)],
  ];
  assert.deepEqual([...at(9, log).grid.get("denim")], ["close-soft"]);
  assert.equal(at(9, log).grid.get("sage satin").size, 0);
});

test("a later program's events, unknown sets and broken times change nothing", () => {
  const log = events([[1, "flying"], [2, "start", { set: "gone", form: "full" }], [3, "rain", { class: 9 }]]);
  log.push({ id: "x-1", device: "x", n: 1, at: "never", kind: "thunder" });
  const evening = eveningAt(sampleSheet(), log, minute(9));
  assert.equal(evening.running, null);
  assert.equal(evening.thunder, null);
});

test("what has a time well ahead waits for it, and is told", () => {
  const log = [[60, "rain", { class: 2 }], [61, "start", { set: SATIN, form: "full" }]];
  const early = at(0, log);
  assert.equal(early.rain.by, "picture");
  assert.equal(early.running, null);
  assert.equal(early.future.length, 2);
  assert.equal(at(61, log).running.set, 0);
});

test("what another phone tapped a few minutes ahead counts at once", () => {
  const log = [[4, "rain", { class: 3 }], [5, "start", { set: LINEN_OPEN, form: "full" }]];
  const evening = at(0, log);
  assert.equal(evening.rain.class, 3);
  assert.equal(evening.running.set, 3);
  assert.equal(evening.future.length, 0);
  near(evening.hairDose, 0);
  near(at(6, log).hairDose, doseOf(6, 60, 1));
});

test("thunder counts as soon as it is known, however far ahead its phone's clock is", () => {
  for (const ahead of [4, 60]) {
    const { thunder } = at(0, [[ahead, "thunder"]]);
    assert.ok(thunder.isOn);
    assert.equal(thunder.last, minute(ahead));
    assert.equal(thunder.until, minute(ahead + 30));
  }
  assert.equal(at(0, [[60, "thunder"]]).future.length, 1, "a changed clock is told");
  // The earlier thunder of the right clock does not shorten it.
  assert.equal(at(3, [[1, "thunder"], [4, "thunder"]]).thunder.until, minute(34));
  assert.equal(at(1, [[4, "thunder"], [0, "undo", { of: "phone-1" }]]).thunder, null);
});

test("a sheet never shortens the wait after thunder", () => {
  for (const thunder of [{ wait_min: 0 }, {}, { wait_min: -5 }, { wait_min: "9" }, { wait_min: null }]) {
    const sheet = sampleSheet({ thunder });
    assert.equal(at(10, [[0, "thunder"]], sheet).thunder.until, minute(30), JSON.stringify(thunder));
    const wet = [[0, "rain", { class: 2 }], [1, "start", { set: LINEN_OPEN, form: "full" }], [1, "thunder"]];
    near(at(20, wet, sheet).hairDose, 0);
  }
  const longer = sampleSheet({ thunder: { wait_min: 45 } });
  assert.equal(at(10, [[0, "thunder"]], longer).thunder.until, minute(45));
});

test("with a set its second round is given up", () => {
  const sheet = sampleSheet();
  sheet.sets[1].id = `${sheet.sets[0].id} again`;
  const evening = at(1, [[0, "skip", { set: sheet.sets[0].id }]], sheet);
  assert.deepEqual([...evening.skipped], [0, 1]);
  const second = at(1, [[0, "skip", { set: sheet.sets[1].id }]], sheet);
  assert.deepEqual([...second.skipped], [1]);
});
