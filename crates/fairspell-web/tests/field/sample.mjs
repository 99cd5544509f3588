// A sheet to try the phone's part on: invented, around the first of the tables that the solver's own
// tests wrote, with the words that the studio sends.

import { readFileSync } from "node:fs";

const file = (path) => JSON.parse(readFileSync(new URL(path, import.meta.url), "utf8"));

export const tableCases = file("../../../fairspell-sheet/tests/fixtures/table-cases.json");
export const words = file("../../../fairspell-words/src/field.json");

/** A fresh copy, with some parts changed. */
export function sampleSheet(changes = {}) {
  const { table } = tableCases.find((one) => one.name === "showery evening");
  return structuredClone({ ...file("./sample-sheet.json"), table, words, ...changes });
}

/** Minutes from the evening's origin, in ms. */
export function minute(minutes) {
  return Date.parse("2026-09-03T05:15:00Z") + minutes * 60_000;
}

/** Events of one phone at minutes from the origin: `[[0, "rain", {class: 2}], ...]`. */
export function events(list, device = "phone") {
  return list.map(([at, kind, what = {}], place) => ({
    id: `${device}-${place + 1}`,
    device,
    n: place + 1,
    at: new Date(minute(at)).toISOString(),
    kind,
    ...what,
  }));
}

/** A storage as a browser has it. */
export class FakeStorage {
  constructor() {
    this.map = new Map();
  }
  get length() {
    return this.map.size;
  }
  key(place) {
    return [...this.map.keys()][place] ?? null;
  }
  getItem(key) {
    return this.map.get(key) ?? null;
  }
  setItem(key, value) {
    this.map.set(key, String(value));
  }
  removeItem(key) {
    this.map.delete(key);
  }
}
