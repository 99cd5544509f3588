// A sheet taken from its text, and whether it is what the studio wrote.

import { digestOf } from "./digest.js";
import { openTable } from "./table.js";

/**
 * Reads a sheet. `trouble` is null, or why nothing may be advised from it: "changed" (its digest is
 * another), "damaged", "version" or "unsupported" (this browser cannot unpack it). `sheet` is null
 * where its text is no sheet at all.
 */
export async function readSheet(text, digest) {
  let sheet = null;
  try {
    sheet = JSON.parse(text);
  } catch {
    return { sheet: null, table: null, digest, trouble: "damaged" };
  }
  if (sheet?.version !== 1) return { sheet: null, table: null, digest, trouble: "version" };
  if (!hasItsParts(sheet)) return { sheet: null, table: null, digest, trouble: "damaged" };
  if (!digest || (await digestOf(text)) !== digest) {
    return { sheet, table: null, digest, trouble: "changed" };
  }
  try {
    const table = await openTable(sheet.table);
    const agree =
      sheet.sets.length === sheet.table.sets.length &&
      sheet.looks.length === sheet.table.looks.length;
    return { sheet, table: agree ? table : null, digest, trouble: agree ? null : "damaged" };
  } catch (error) {
    return { sheet, table: null, digest, trouble: error.kind ?? "damaged" };
  }
}

/** What the page cannot do without, whatever else is wrong. */
function hasItsParts(sheet) {
  return (
    ["sets", "looks", "spots", "light"].every((list) => Array.isArray(sheet[list])) &&
    ["table", "start", "hair", "exposure", "rain", "grid", "thunder", "words"].every(
      (part) => typeof sheet[part] === "object" && sheet[part] !== null,
    ) &&
    [sheet.origin, sheet.last_light, sheet.made_at].every((at) => Number.isFinite(Date.parse(at))) &&
    Array.isArray(sheet.rain.rates_mm_h) &&
    Array.isArray(sheet.grid.core)
  );
}

/** Of two readings the one to go by: sound before unsound, newer before older. */
export function better(a, b) {
  if (!a || !b) return a ?? b;
  if ((a.trouble === null) !== (b.trouble === null)) return a.trouble === null ? a : b;
  const made = (reading) => Date.parse(reading.sheet?.made_at ?? 0) || 0;
  return made(b) > made(a) ? b : a;
}
