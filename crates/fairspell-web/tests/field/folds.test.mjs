// The phone and the studio read a log the same way: both tests read the same file.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";

import { eveningAt } from "../../static/field/state.js";
import { minute, sampleSheet } from "./sample.mjs";

const file = new URL("../../../fairspell-studio/tests/fixtures/field-folds.json", import.meta.url);

for (const { name, events, is } of JSON.parse(readFileSync(file, "utf8"))) {
  test(name, () => {
    const sheet = sampleSheet({ nowcast: null });
    const evening = eveningAt(sheet, events, minute(120));
    const run = ({ set, form }) => [sheet.sets[set].id, form];
    const filled = [...evening.grid].filter(([, cells]) => cells.size > 0);
    assert.deepEqual(
      {
        made: evening.made.map(run),
        stopped: evening.stopped.map(run),
        running: evening.running && run(evening.running),
        skipped: [...evening.skipped].map((set) => sheet.sets[set].id),
        is_holding: evening.holding !== null,
        last_thunder: evening.thunder && new Date(evening.thunder.last).toISOString().replace(".000", ""),
        is_finished: evening.finished !== null,
        rain_class: evening.rain.class,
        cells: Object.fromEntries(filled.map(([look, cells]) => [look, [...cells]])),
      },
      is,
    );
  });
}
