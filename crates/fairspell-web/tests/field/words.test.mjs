// Every word that the page shows comes from the sheet, and no word is there for nothing.

import assert from "node:assert/strict";
import { readdirSync, readFileSync } from "node:fs";
import { test } from "node:test";

import { fill } from "../../static/field/words.js";
import { words } from "./sample.mjs";

const folder = new URL("../../static/field/", import.meta.url);
const modules = readdirSync(folder).filter((name) => name.endsWith(".js"));
const source = modules.map((name) => readFileSync(new URL(name, folder), "utf8")).join("\n");

/** The keys of the script: literal ones, and the beginnings of those that end in a value. */
const literals = new Set([...source.matchAll(/"([a-z0-9_]+)"/g)].map((match) => match[1]));
const beginnings = [...source.matchAll(/`([a-z]+_(?:[a-z]+_)*)\$\{/g)].map((match) => match[1]);

test("every word that the script names is there", () => {
  for (const [, key] of source.matchAll(/say\(\s*"([a-z0-9_]+)"/g)) {
    assert.ok(key in words, key);
  }
  for (const beginning of beginnings) {
    assert.ok(Object.keys(words).some((key) => key.startsWith(beginning)), beginning);
  }
});

test("no word is there for nothing", () => {
  // Shown by the document itself, where no script runs.
  const shown = new Set(["without_script"]);
  for (const key of Object.keys(words)) {
    const isUsed = literals.has(key) || beginnings.some((it) => key.startsWith(it)) || shown.has(key);
    assert.ok(isUsed, key);
  }
});

test("no sentence stands in the script", () => {
  for (const [, text] of source.matchAll(/"((?:[^"\\\n]|\\.)*)"/g)) {
    assert.ok(!/^[A-Z].* .* .*[.!?]$/.test(text), text);
  }
});

test("a template is filled in, and what has no value stays to be seen", () => {
  assert.equal(fill("{a} of {b}, {a}", { a: 0, b: 12 }), "0 of 12, 0");
  assert.equal(fill("{a}", {}), "{a}");
});
