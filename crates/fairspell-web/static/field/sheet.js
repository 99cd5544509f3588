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

/**
 * What stands in for a sheet that is not sound: enough for taps, with the names of its sets as far as
 * they can be read, and nothing else of it. `known` is what the document and the phone know.
 */
export function bareSheet(sheet, { session, title, words, memory }, now) {
  const at = new Date(now).toISOString();
  const offset = sheet?.utc_offset_min;
  const isText = (text) => typeof text === "string" && text !== "";
  const named = Array.isArray(sheet?.sets) ? sheet.sets.filter((set) => isText(set?.id)) : [];
  const sets = named.map(({ id, title }) => ({ id, title: isText(title) ? title : id }));
  const bare = {
    version: 1,
    session,
    title: isText(sheet?.title) ? sheet.title : title,
    utc_offset_min: Number.isFinite(offset) ? offset : -new Date(now).getTimezoneOffset(),
    made_at: at,
    as_of: at,
    origin: at,
    last_light: at,
    table: { slot_min: 5, slots: 0, sets: [], looks: [] },
    start: { spot: null, hair_dose_g_m2: 0 },
    sets: [],
    looks: [],
    spots: [],
    hair: { damp_at_g_m2: 15, wet_at_g_m2: 30 },
    exposure: {},
    rain: { rates_mm_h: [0, 0, 0, 0] },
    light: [],
    nowcast: null,
    grid: { core: [] },
    prompts: [],
    thunder: {},
    words,
  };
  return withSets(bare, memory, sets);
}

/** What is remembered of the sheets so far, with a sound one's sets and looks added: by id and name. */
export function rememberSets(before, sheet) {
  const sets = sheet.sets.map(({ id, title, look, spot, setting, minutes, exposed_s, setup_min }) => ({
    id, title, look: sheet.looks[look].name, spot, setting, setup_min,
    minutes: { full: minutes.full, short: minutes.short ?? null },
    exposed_s: { full: exposed_s.full, short: exposed_s.short ?? null },
  }));
  const looks = sheet.looks.map(({ name, change_min, damp_at_g_m2, wet_at_g_m2 }) => ({
    name, change_min, damp_at_g_m2, wet_at_g_m2,
  }));
  const without = (list, key, fresh) =>
    (list ?? []).filter((old) => !fresh.some((it) => it[key] === old[key]));
  return {
    sets: [...without(before?.sets, "id", sets), ...sets],
    looks: [...without(before?.looks, "name", looks), ...looks],
  };
}

/**
 * The sheet with the sets that were begun by the log and that it lacks (a spot became too windy): they
 * stand behind its own, with `isGone`, as the phone remembers them, else as their ids tell. So what
 * was made stays made, and what runs can be ended.
 */
export function withGoneSets(sheet, memory, events) {
  const has = new Set(sheet.sets.map((set) => set.id));
  const begun = events.filter(({ kind, set }) => kind === "start" && typeof set === "string");
  const gone = [...new Set(begun.map((event) => event.set))].filter((id) => !has.has(id));
  return withSets(sheet, memory, gone.map((id) => ({ id, title: id, isGone: true })));
}

function withSets(sheet, memory, added) {
  if (added.length === 0) return sheet;
  const looks = [...sheet.looks];
  const lookPlace = (name) => {
    const place = looks.findIndex((look) => look.name === name);
    if (place >= 0) return place;
    const unknown = { name, change_min: 0, damp_at_g_m2: null, wet_at_g_m2: null };
    return looks.push(memory?.looks?.find((look) => look.name === name) ?? unknown) - 1;
  };
  const sets = added.map((it) => {
    const known = memory?.sets?.find((set) => set?.id === it.id) ?? setOfId(it.id);
    return { facing: null, settings: null, why: [], worth: 0, ...it, ...known, look: lookPlace(known.look) };
  });
  return { ...sheet, sets: [...sheet.sets, ...sets], looks };
}

/** What a set's id tells of it: look, spot and setting. How long it takes nobody knows. */
function setOfId(id) {
  const parts = id.split(" / ");
  const [spot, setting] = parts.length > 2 ? parts.splice(-2) : [null, "open"];
  const unknown = { full: null, short: null };
  const known = ["open", "umbrella", "cover"].includes(setting) ? setting : "open";
  return { look: parts.join(" / "), spot, setting: known, minutes: unknown, exposed_s: unknown, setup_min: 0 };
}

/** Of two readings the one to go by: sound before unsound, newer before older. */
export function better(a, b) {
  if (!a || !b) return a ?? b;
  if ((a.trouble === null) !== (b.trouble === null)) return a.trouble === null ? a : b;
  const made = (reading) => Date.parse(reading.sheet?.made_at ?? 0) || 0;
  return made(b) > made(a) ? b : a;
}
