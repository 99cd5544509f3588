// The phone finds the same action as the solver in every state.

import assert from "node:assert/strict";
import { test } from "node:test";

import { nearestLevel, openTable, TableError } from "../../static/field/table.js";
import { tableCases } from "./sample.mjs";

const stateOf = (one) => ({
  slot: one.slot,
  made: one.made,
  rainClass: one.rain_class,
  hairDose: one.hair_dose_g_m2,
  lookDoses: one.look_doses_g_m2,
});

for (const { name, table, cases } of tableCases) {
  test(`${name}: every state has the solver's action`, async () => {
    const open = await openTable(table);
    for (const one of cases) {
      assert.equal(open.action(stateOf(one)), one.action, JSON.stringify(one));
    }
    const known = cases.filter((one) => one.action !== null).length;
    assert.ok(known >= 100 && cases.length - known >= 30, `${known} of ${cases.length} are known`);
  });
}

test("the tables have what tables can have", () => {
  const tables = tableCases.map((one) => one.table);
  assert.ok(tables.some((table) => table.kept_looks.length > 0));
  assert.ok(tables.some((table) => table.counted.length > 0));
  assert.ok(tables.some((table) => table.look_at_start === null));
  assert.ok(tables.some((table) => table.look_at_start !== null));
});

test("the first slot of a block is that from which it has cells", async () => {
  const { table, cases } = tableCases[0];
  const open = await openTable(table);
  for (const one of cases.filter((it) => it.action !== null)) {
    const first = open.firstSlot(one.made);
    assert.ok(first <= one.slot);
    assert.notEqual(open.action({ ...stateOf(one), slot: first }), null);
    assert.equal(open.action({ ...stateOf(one), slot: first - 1 }), null);
  }
});

test("a lookup takes less than 5 ms", async () => {
  const { table, cases } = tableCases[0];
  const open = await openTable(table);
  const start = performance.now();
  for (const one of cases) open.action(stateOf(one));
  assert.ok((performance.now() - start) / cases.length < 5);
});

test("of two levels equally near the higher counts", () => {
  const levels = [0, 5, 10, 15];
  for (const [dose, level] of [[0, 0], [2.4, 0], [2.5, 1], [12.5, 3], [99, 3]]) {
    assert.equal(nearestLevel(levels, dose), level, `${dose}`);
  }
  assert.equal(nearestLevel([0], 99), 0);
});

test("a damaged table, or one of another version, is refused", async () => {
  const { table } = tableCases[0];
  const kind = async (change) => {
    const copy = structuredClone(table);
    change(copy);
    try {
      await openTable(copy);
    } catch (error) {
      assert.ok(error instanceof TableError);
      return error.kind;
    }
    return null;
  };
  assert.equal(await kind(() => {}), null);
  assert.equal(await kind((it) => (it.version = 2)), "version");
  for (const change of [
    (it) => (it.actions = it.actions.slice(0, (it.actions.length / 8) * 4)),
    (it) => (it.actions = `!${it.actions}`),
    (it) => (it.actions = 7),
    (it) => (it.blocks += 1),
    (it) => (it.blocks = 1e300),
    (it) => (it.blocks = -1),
    (it) => (it.slots += 1),
    (it) => (it.slots = 2),
    (it) => (it.sets[0].look = 9),
    (it) => it.kept_looks.push(0),
    (it) => (it.looks = []),
    (it) => (it.hair_levels_g_m2 = []),
    (it) => delete it.counted,
  ]) {
    assert.equal(await kind(change), "damaged", change.toString());
  }
});
