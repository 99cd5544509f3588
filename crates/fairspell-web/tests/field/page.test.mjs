// The page as she taps it: reloads, wet fingers, thunder, sheets that are none.

import assert from "node:assert/strict";
import { test } from "node:test";

import { openPage, settle } from "./page.mjs";
import { FakeStorage, minute, sampleSheet } from "./sample.mjs";

const SATIN = "sage satin / cannery_arcade / cover";
const LINEN_OPEN = "white linen / heron_walk / open";
const online = { log: "/log", sheet: "/sheet", form_word: "word" };
const kinds = (page) => page.log().map((event) => event.kind);

test("a phone an hour ahead keeps its thunder wait over a reload without signal", async () => {
  const storage = new FakeStorage();
  const hour = 3_600_000;
  const fetch = async (address, request) => {
    const events = JSON.parse(request.body ?? "{}").events ?? [];
    const server_now = new Date(Date.now() - hour).toISOString();
    if (address === "/sheet") return new Response("", { status: 500 });
    return new Response(JSON.stringify({ kept: events.map((it) => it.id), events, server_now }));
  };
  const first = await openPage({ sheet: sampleSheet(), now: minute(70), storage, online, fetch });
  for (let turn = 0; turn < 9; turn += 1) await settle();
  first.tap(first.button("thunder"));
  assert.ok(first.part("card").includes("Stop. Thunder."));
  const until = first.part("card").match(/Stay until (\d\d:\d\d)/)[1];
  assert.equal(until, "15:55");
  const again = await openPage({ sheet: sampleSheet(), now: minute(75), storage });
  assert.ok(again.part("card").includes("Stay until 15:55"), again.part("card"));
  assert.ok(again.part("alerts").includes("60 min ahead"));
});

test("a quick tap elsewhere counts; only the button that took another's place does not", async () => {
  const page = await openPage({ sheet: sampleSheet(), now: minute(0) });
  page.tap(page.button("arrived"));
  page.tap(page.button("rain", { rain: 3 }), 5000);
  page.tap(page.button("thunder"), 200);
  page.tap(page.button("hold"), 200);
  assert.deepEqual(kinds(page), ["arrived", "rain", "thunder", "hold"]);
  // Go on stands where Hold stood.
  page.tap(page.button("resume"), 200);
  assert.deepEqual(kinds(page), ["arrived", "rain", "thunder", "hold"]);
  page.tap(page.button("resume"), 700);
  assert.equal(kinds(page).at(-1), "resume");
  // "Thunder again" stands where Start stood, and is never swallowed.
  const again = page.buttons().find((it) => it.textContent === "Thunder again");
  page.tap(again, 100);
  page.tap(again, 100);
  assert.deepEqual(kinds(page).slice(-2), ["thunder", "thunder"]);
});

test("Done that came under a finger is not tapped by it", async () => {
  const page = await openPage({ sheet: sampleSheet(), now: minute(0) });
  page.tap(page.button("arrived"));
  page.tap(page.button("rain", { rain: 0 }));
  page.tap(page.button("start"));
  page.tap(page.button("done"), 150);
  assert.deepEqual(kinds(page), ["arrived", "rain", "start"]);
});

test("while thunder is on the evening can be finished, and nothing can be started", async () => {
  const page = await openPage({ sheet: sampleSheet(), now: minute(0) });
  page.tap(page.button("thunder"));
  assert.ok(page.button("finish"));
  assert.equal(page.button("start"), undefined);
  assert.equal(page.button("start", {}, "others"), undefined);
  assert.equal(page.button("skip", {}, "others"), undefined);
  page.tap(page.button("finish"));
  assert.equal(page.buttons().filter((it) => it.dataset.do === "truth").length, 3);
  assert.ok(page.button("thunder"), "and thunder can still be tapped");
});

test("thunder is taken back by a second tap that says so", async () => {
  const page = await openPage({ sheet: sampleSheet(), now: minute(0) });
  page.tap(page.button("thunder"));
  page.tap(page.button("ask_undo"));
  assert.deepEqual(kinds(page), ["thunder"]);
  assert.ok(page.button("undo").textContent.includes("take it back"));
  page.tap(page.button("undo"), 100);
  assert.deepEqual(kinds(page), ["thunder"], "not by the same wet finger");
  page.tap(page.button("undo"));
  assert.deepEqual(kinds(page), ["thunder", "undo"]);
  assert.ok(!page.part("card").includes("Stop. Thunder."));
  // Asked, and then left alone: the button is the old one again.
  page.tap(page.button("thunder"));
  page.tap(page.button("ask_undo"));
  page.clock.now += 11_000;
  page.tick();
  assert.equal(page.button("undo"), undefined);
});

test("a sheet with anything in it takes taps, advises nothing and names its sets", async () => {
  for (const changes of [
    { looks: [null] },
    { sets: [null, 7, { id: SATIN, title: "Sage satin" }] },
    { spots: [null], thunder: { wait_min: 0 } },
    { light: [null], contacts: [null], utc_offset_min: "x" },
    { nowcast: { steps: 7 }, start: {}, hair: [], words: { thunder: "No" } },
  ]) {
    const storage = new FakeStorage();
    const sheet = sampleSheet(changes);
    const page = await openPage({ sheet, digest: "another", now: minute(0), storage });
    assert.ok(page.isListening(), JSON.stringify(changes));
    assert.ok(page.part("alerts").includes("changed or damaged"));
    page.tap(page.button("thunder"));
    assert.ok(page.part("card").includes("30 minutes from the last rumble"), page.part("card"));
    page.tap(page.button("rain", { rain: 2 }));
    page.clock.now = minute(31);
    page.tick();
    if (!changes.sets || changes.sets[2]) {
      page.tap(page.button("start", { set: SATIN }, "others"));
      page.tap(page.button("done"));
      assert.deepEqual(kinds(page), ["thunder", "rain", "start", "done"]);
    }
  }
});

test("a sheet as the studio wrote it that yet cannot be gone by takes taps as well", async () => {
  const sheet = sampleSheet();
  sheet.sets[0].look = 99;
  const page = await openPage({ sheet, now: minute(0) });
  page.tap(page.button("thunder"));
  assert.deepEqual(kinds(page), ["thunder"]);
  const other = sampleSheet({ prompts: 7, hair: {}, sets: sampleSheet().sets.map((set) => ({ ...set, minutes: null })) });
  const second = await openPage({ sheet: other, now: minute(0) });
  second.tap(second.button("thunder"));
  assert.deepEqual(kinds(second), ["thunder"]);
});

/** The sample without its windy spot, with a table that this sheet's own studio would have written. */
function withoutSet(id) {
  const made_at = new Date(minute(-1)).toISOString();
  const sheet = sampleSheet({ made_at, as_of: made_at });
  sheet.sets = sheet.sets.filter((set) => set.id !== id);
  sheet.table.sets = sheet.table.sets.filter((_, place) => sampleSheet().sets[place].id !== id);
  return sheet;
}

test("a set that a fresh sheet lacks stays made or running, and can be ended", async () => {
  const storage = new FakeStorage();
  const first = await openPage({ sheet: sampleSheet(), now: minute(0), storage });
  first.tap(first.button("rain", { rain: 2 }));
  first.tap(first.button("start", { set: LINEN_OPEN, form: "short" }, "others"));
  const later = await openPage({ sheet: withoutSet(LINEN_OPEN), now: minute(4), storage });
  assert.ok(later.part("card").includes("White linen at Heron Walk"), later.part("card"));
  assert.ok(later.part("lines").includes("4 of 10 min"), later.part("lines"));
  later.tap(later.button("done"));
  assert.ok(later.part("others").includes("White linen at Heron Walk: made"));
  assert.ok(later.part("lines").includes("White linen: wet"), later.part("lines"));
  assert.ok(later.part("card").includes("The plan does not reach here"), later.part("card"));
  assert.equal(later.button("start", { set: LINEN_OPEN }, "others"), undefined);
});

test("what falls by the picture goes into the log with a start that nobody tapped rain before", async () => {
  const page = await openPage({ sheet: sampleSheet(), now: minute(0) });
  page.tap(page.button("start", { set: LINEN_OPEN, form: "full" }, "others"));
  const [rain, start] = page.log();
  assert.deepEqual([rain.kind, rain.class, rain.by, rain.issued], ["rain", 0, "picture", "2026-09-03T04:48:00Z"]);
  assert.equal(start.kind, "start");
  assert.ok(page.part("log").includes("by the picture: Dry"));
  // Undo takes back what she tapped.
  page.tap(page.button("undo"));
  assert.equal(page.log().at(-1).of, start.id);
  assert.ok(page.button("undo").disabled);
  const other = await openPage({ sheet: sampleSheet(), now: minute(0) });
  other.tap(other.button("rain", { rain: 1 }));
  other.tap(other.button("start", { set: LINEN_OPEN, form: "full" }, "others"));
  assert.deepEqual(kinds(other), ["rain", "start"]);
});

test("where nothing is known of the rain the page says so and asks", async () => {
  const page = await openPage({ sheet: sampleSheet({ nowcast: null }), now: minute(0) });
  page.tap(page.button("start", { set: LINEN_OPEN, form: "full" }, "others"));
  page.clock.now = minute(3);
  page.tick();
  assert.ok(page.part("lines").includes("how wet is not known"), page.part("lines"));
  assert.ok(page.part("lines").includes("Tap below what falls"));
});

test("an unknown walk is told as such", async () => {
  const sheet = sampleSheet();
  for (const spot of sheet.spots) spot.walks_min = {};
  sheet.start.spot = "heron_walk";
  const page = await openPage({ sheet, now: minute(0) });
  page.tap(page.button("rain", { rain: 0 }));
  assert.ok(page.part("card").includes("a walk, how long is not known"), page.part("card"));
});

test("the plan's end is not the light's, and a morning speaks of the agreed end", async () => {
  const end = (sheet) => minute(sheet.table.slots * sheet.table.slot_min + 1);
  const over = async (changes) => {
    const sheet = sampleSheet({ nowcast: null, ...changes });
    const page = await openPage({ sheet, now: end(sheet) });
    page.tap(page.button("rain", { rain: 0 }));
    return page.part("card");
  };
  const early = new Date(minute(5)).toISOString();
  const late = new Date(minute(600)).toISOString();
  assert.ok((await over({ last_light: early })).includes("The light is gone"));
  assert.ok((await over({ last_light: late })).includes("The plan ends here"));
  assert.ok((await over({ last_light: early, ends_by: "agreed" })).includes("The agreed time is over"));
  const dawn = await openPage({ sheet: sampleSheet({ ends_by: "agreed" }), now: minute(150) });
  dawn.tap(dawn.button("thunder"));
  assert.ok(dawn.part("head").includes("17:52 as agreed"), dawn.part("head"));
  assert.ok(dawn.part("card").includes("the agreed time is over"), dawn.part("card"));
  assert.ok(!/light/.test(dawn.part("card") + dawn.part("head")));
});

test("the way back to the session stands where there is a studio", async () => {
  const links = (page) => page.root.all().filter((it) => it.attributes.href === "/sessions/2026-09-03-linh");
  assert.equal(links(await openPage({ sheet: sampleSheet(), now: minute(0), online })).length, 1);
  assert.equal(links(await openPage({ sheet: sampleSheet(), now: minute(0) })).length, 0);
});

test("a session that the studio does not have leaves the phone, but for what it has not", async () => {
  const fetch = async (address) => new Response("{}", { status: address === "/log" ? 404 : 500 });
  const page = await openPage({ sheet: sampleSheet(), now: minute(0), online, fetch });
  page.tap(page.button("arrived"));
  for (let turn = 0; turn < 9; turn += 1) await settle();
  assert.ok(page.part("alerts").includes("does not have this session"), page.part("alerts"));
  assert.deepEqual(kinds(page), ["arrived"]);
  assert.equal(page.storage.getItem("fairspell-field-sheet/2026-09-03-linh"), null);
});

test("a session that was moved is not begun by the card, and taps are kept", async () => {
  const stop = "This session was moved to another date.";
  const page = await openPage({ sheet: sampleSheet({ stop }), now: minute(0) });
  assert.ok(page.part("card").includes(stop), page.part("card"));
  assert.equal(page.buttons().filter((it) => it.dataset?.do === "start" && it.className?.includes("main")).length, 0);
  page.tap(page.button("arrived"));
  page.tap(page.button("thunder"));
  assert.deepEqual(kinds(page), ["arrived", "thunder"]);
});

test("whoever is elsewhere finds every spot's refuge", async () => {
  const page = await openPage({ sheet: sampleSheet(), now: minute(0) });
  page.tap(page.button("thunder"));
  for (const { name, refuge } of sampleSheet().spots.filter((spot) => spot.refuge)) {
    assert.ok(page.part("card").includes(`At ${name}: ${refuge.name}`), page.part("card"));
  }
});

test("the chances of rain say where, how much, by whom and how old", async () => {
  const page = await openPage({ sheet: sampleSheet(), now: minute(0) });
  const { source } = sampleSheet().nowcast;
  for (const part of ["Rain to come at Cannery Arcade", "0.1 mm/h", source, "min old"]) {
    assert.ok(page.part("sky").includes(part), page.part("sky"));
  }
});
