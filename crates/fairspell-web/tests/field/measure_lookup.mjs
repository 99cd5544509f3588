// How long the lookup takes on a sheet: `node measure_lookup.mjs SHEET.html`, where the file is one of
// `fairspell sheet pack`. Every slot, every class of rain, and courses of sets made so far; judges nothing.

import { readFileSync } from "node:fs";

import { lookUp } from "../../static/field/advice.js";
import { readSheet } from "../../static/field/sheet.js";

const html = readFileSync(process.argv[2], "utf8");
const text = html.split('id="field-sheet">')[1].split("</script>")[0];
const digest = html.match(/name="field-digest" content="(\w+)"/)[1];
const { sheet, table, trouble } = await readSheet(text, digest);
if (trouble !== null) throw new Error(`the sheet cannot be read: ${trouble}`);

const times = [];
const ask = (made, slot, rainClass) => {
  const began = performance.now();
  const answer = lookUp(sheet, table, {
    slot,
    made,
    skipped: [],
    rainClass,
    hairDose: 7,
    lookDoses: sheet.looks.map(() => 2),
  });
  times.push(performance.now() - began);
  return answer;
};
for (let round = 0; round < 20; round += 1) {
  for (let rainClass = 0; rainClass < 4; rainClass += 1) {
    const made = [];
    for (let slot = 0; slot < sheet.table.slots; slot += 1) {
      const { what, set, form } = ask([...made], slot, rainClass);
      if (what === "make") made.push([set, form === "full" ? 0 : 1]);
    }
  }
}
times.sort((a, b) => a - b);
const at = (share) => times[Math.floor(share * (times.length - 1))].toFixed(3);
console.log(`${sheet.sets.length} sets, ${sheet.table.slots} slots, ${times.length} lookups, ms:`);
console.log(`median ${at(0.5)}, 99 in 100 ${at(0.99)}, longest ${at(1)}`);
