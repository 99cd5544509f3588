// What the phone keeps, hands in and believes.

import assert from "node:assert/strict";
import { test } from "node:test";

import { digestOf, sha256 } from "../../static/field/digest.js";
import { fetchSheet, handIn } from "../../static/field/hand_in.js";
import { Keep } from "../../static/field/keep.js";
import { makeEvent } from "../../static/field/log.js";
import { better, readSheet } from "../../static/field/sheet.js";
import { demoShift, putRight, skewOf, skewOfSheet } from "../../static/field/time.js";
import { events, FakeStorage, minute, sampleSheet } from "./sample.mjs";

const SESSION = "2026-09-03-linh";

/** A tap as the page keeps it. */
function tap(keep, kind, at = 0) {
  const event = makeEvent(keep.device, keep.nextNumber(), minute(at), kind);
  keep.put([event]);
  return event;
}

test("two tabs keep their taps beside each other, and a reload finds all", () => {
  const storage = new FakeStorage();
  const one = new Keep(() => storage, SESSION);
  const other = new Keep(() => storage, SESSION);
  assert.equal(one.device, other.device);
  const taps = [tap(one, "arrived"), tap(other, "thunder"), tap(one, "hold"), tap(other, "resume")];
  assert.deepEqual(taps.map((event) => event.n), [1, 2, 3, 4]);
  const later = new Keep(() => storage, SESSION);
  assert.equal(later.all().length, 4);
  assert.ok(later.works);
  assert.equal(new Keep(() => storage, "another").all().length, 0);
});

test("a browser that keeps nothing is noticed at once, and taps last as long as the page", () => {
  const refusals = [
    () => {
      throw new Error("forbidden");
    },
    () => undefined,
    () => Object.assign(new FakeStorage(), { getItem: () => null }),
    () => Object.assign(new FakeStorage(), { setItem: () => { throw new Error("full"); } }),
  ];
  for (const storage of refusals) {
    const keep = new Keep(storage, SESSION);
    assert.equal(keep.works, false);
    tap(keep, "arrived");
    tap(keep, "thunder");
    assert.deepEqual(keep.all().map((event) => event.n), [1, 2]);
  }
});

test("a memory that fills up is noticed when it does", () => {
  const storage = new FakeStorage();
  const keep = new Keep(() => storage, SESSION);
  tap(keep, "arrived");
  storage.setItem = () => {
    throw new Error("full");
  };
  tap(keep, "thunder");
  assert.equal(keep.works, false);
  assert.equal(keep.all().length, 2);
});

/** A studio that takes all and knows something already. */
function studio(known = [], more = {}) {
  const log = [];
  return {
    log,
    fetch: async (address, request) => {
      const body = JSON.parse(request.body);
      log.push({ address, body });
      const kept = body.events.map((event) => event.id);
      const answer = { kept, refused: [], events: [...known, ...body.events], ...more };
      return new Response(JSON.stringify({ server_now: new Date(minute(0)).toISOString(), ...answer }));
    },
  };
}

const online = { log: "/log", sheet: "/sheet", form_word: "word" };
const clocks = { now: () => minute(0), clock: () => minute(0) };

test("what is tapped is handed in once, and what others tapped comes back", async () => {
  const storage = new FakeStorage();
  const keep = new Keep(() => storage, SESSION);
  tap(keep, "arrived");
  const theirs = events([[3, "thunder"]], "theirs");
  const { log, fetch } = studio(theirs);
  const first = await handIn({ keep, online, digest: "d", fetch, ...clocks });
  assert.deepEqual(first, { state: "handed", skew: 0, refused: [] });
  assert.equal(log[0].address, "/log");
  assert.equal(log[0].body.form_word, "word");
  assert.equal(log[0].body.sheet_digest, "d");
  assert.equal(keep.notHanded().length, 0);
  assert.equal(keep.all().length, 2);
  await handIn({ keep, online, digest: "d", fetch, ...clocks });
  assert.deepEqual(log[1].body.events, []);
  // Another tab, and a reload, know that it is handed in.
  assert.equal(new Keep(() => storage, SESSION).notHanded().length, 0);
});

test("without a signal, or signed out, or with half an answer, everything stays kept", async () => {
  const keep = new Keep(() => new FakeStorage(), SESSION);
  tap(keep, "arrived");
  const state = async (fetch) => (await handIn({ keep, online, digest: "d", fetch, ...clocks })).state;
  assert.equal(await state(async () => { throw new TypeError("no network"); }), "offline");
  assert.equal(await state(async () => ({ type: "opaqueredirect", status: 0 })), "sign-in");
  assert.equal(await state(async () => new Response("", { status: 403 })), "sign-in");
  assert.equal(await state(async () => new Response("", { status: 502 })), "offline");
  assert.equal(await state(async () => new Response("", { status: 400 })), "refused");
  assert.equal(await state(async () => new Response("<p>Welcome to our café")), "offline");
  assert.equal(keep.notHanded().length, 1);
});

test("what the studio refuses is told, and stays in the log", async () => {
  const keep = new Keep(() => new FakeStorage(), SESSION);
  const event = tap(keep, "arrived", 90);
  const refused = [{ id: event.id, why: "its time is still to come" }];
  const { fetch } = studio([], { kept: [], refused, events: [] });
  const answer = await handIn({ keep, online, digest: "d", fetch, ...clocks });
  assert.deepEqual(answer.refused, refused);
  assert.deepEqual(keep.all(), [event]);
});

test("a clock an hour off is noticed, and what was noted by it is put right", async () => {
  const server = new Date(minute(60)).toISOString();
  assert.equal(skewOf(server, minute(0), minute(0)), 3_600_000);
  assert.equal(skewOf(server, minute(120), minute(120)), -3_600_000);
  assert.equal(skewOf(server, minute(59), minute(59)), 0, "a minute is nothing");
  assert.equal(skewOf(server, minute(58), minute(62)), 0, "a slow answer is no skew");
  assert.equal(skewOfSheet(server, minute(0)), 3_600_000);
  assert.equal(skewOfSheet(server, minute(300)), 0, "an old sheet says nothing of a clock ahead");
  const keep = new Keep(() => new FakeStorage(), SESSION);
  const { fetch } = studio([], { server_now: server });
  assert.equal((await handIn({ keep, online, digest: "d", fetch, ...clocks })).skew, 3_600_000);
  const [right] = putRight(events([[0, "thunder"]]), 3_600_000);
  assert.equal(Date.parse(right.at), minute(60));
});

test("only the demo's sheet moves the clock, and a fresh one does not set it back", () => {
  const hour = 3_600_000;
  const made = Date.parse("2026-11-27T12:00:00Z");
  assert.equal(demoShift(sampleSheet(), null, made), 0);
  const sheet = (at) => sampleSheet({ made_at: new Date(at).toISOString() });
  const { as_of } = sheet(made);
  const shift = demoShift(sheet(made), null, made);
  assert.equal(made + shift, Date.parse(as_of));
  const kept = { as_of, shift };
  assert.equal(demoShift(sheet(made + hour), kept, made + hour), shift);
  // The next day's look at the demo, or its clock set anew, begins anew.
  const next = made + 24 * hour;
  assert.equal(next + demoShift(sheet(next), kept, next), Date.parse(as_of));
  assert.notEqual(demoShift(sheet(made), { as_of: "2026-09-03T05:00:00Z", shift }, made), 0);
});

test("the digest is SHA-256, with and without the browser's own", async () => {
  // The standard's example, and lengths about a block's end, against Node's own.
  const { createHash } = await import("node:crypto");
  for (const text of ["", "abc", "é".repeat(27), "x".repeat(55), "x".repeat(56), "x".repeat(64), "y".repeat(5000)]) {
    const expected = createHash("sha256").update(text).digest("hex");
    assert.equal(await digestOf(text), expected);
    assert.equal(Buffer.from(sha256(new TextEncoder().encode(text))).toString("hex"), expected);
  }
});

test("a changed or damaged sheet is never advised from", async () => {
  const text = JSON.stringify(sampleSheet());
  const digest = await digestOf(text);
  const sound = await readSheet(text, digest);
  assert.equal(sound.trouble, null);
  assert.notEqual(sound.table, null);
  const trouble = async (text, digest) => {
    const reading = await readSheet(text, digest);
    assert.equal(reading.table, null);
    return reading.trouble;
  };
  assert.equal(await trouble(text.replace("Quoc", "Mallory"), digest), "changed");
  assert.equal(await trouble(text, null), "changed");
  assert.equal(await trouble(text.slice(0, 900), digest), "damaged");
  assert.equal(await trouble("null", digest), "version");
  assert.equal(await trouble('{"version":1}', digest), "damaged");
  const later = JSON.stringify(sampleSheet({ version: 2 }));
  assert.equal(await trouble(later, await digestOf(later)), "version");
  // Sound by its digest, and yet its table is not: our own mistake is caught as well.
  const broken = sampleSheet();
  broken.table.actions = broken.table.actions.slice(0, 400);
  const brokenText = JSON.stringify(broken);
  assert.equal(await trouble(brokenText, await digestOf(brokenText)), "damaged");
});

test("of two sheets the sound one counts, then the newer", () => {
  const at = (made_at, trouble = null) => ({ sheet: { made_at }, trouble });
  const [old, fresh] = [at("2026-09-03T04:50:00Z"), at("2026-09-03T05:50:00Z")];
  assert.equal(better(old, fresh), fresh);
  assert.equal(better(fresh, old), fresh);
  assert.equal(better(at("2026-09-03T05:50:00Z", "changed"), old), old);
  assert.equal(better(old, null), old);
});

test("a fresh sheet comes with its digest", async () => {
  const fetch = async () => new Response("{}", { headers: { "x-field-digest": "d" } });
  assert.deepEqual(await fetchSheet({ online, fetch }), { state: "fetched", text: "{}", digest: "d" });
});
