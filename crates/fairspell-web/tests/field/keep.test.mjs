// What the phone keeps, hands in and believes.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import vm from "node:vm";

import { digestOf, sha256 } from "../../static/field/digest.js";
import { fetchSheet, handIn } from "../../static/field/hand_in.js";
import { Keep } from "../../static/field/keep.js";
import { inOrder, makeEvent, undoneIds } from "../../static/field/log.js";
import { bareSheet, better, readSheet, withGoneSets } from "../../static/field/sheet.js";
import { demoShift, putRight, skewAtStart, skewOf, skewOfSheet } from "../../static/field/time.js";
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

/** A storage that takes so many letters in all. */
class SmallStorage extends FakeStorage {
  constructor(most) {
    super();
    this.most = most;
  }
  setItem(key, value) {
    const size = [...this.map].reduce((sum, [k, v]) => sum + (k === key ? 0 : k.length + v.length), 0);
    if (size + key.length + value.length > this.most) throw new Error("full");
    super.setItem(key, value);
  }
}

test("a sheet that is too big costs no taps, and older sheets make room", () => {
  const storage = new SmallStorage(2000);
  const before = new Keep(() => storage, "2026-09-01-may");
  assert.ok(before.keepSheet({ text: "x".repeat(1200), digest: "d" }));
  const keep = new Keep(() => storage, SESSION);
  assert.equal(keep.keepSheet({ text: "x".repeat(9000), digest: "d" }), false);
  assert.ok(keep.works);
  tap(keep, "arrived");
  assert.ok(keep.works);
  assert.equal(new Keep(() => storage, SESSION).all().length, 1);
  assert.ok(before.keepSheet({ text: "x".repeat(1200), digest: "d" }));
  assert.ok(keep.keepSheet({ text: "y".repeat(1200), digest: "d" }), "in the place of the other");
  assert.equal(before.keptSheet(), null);
});

test("a tap that could not be written is tried again with the next", () => {
  const storage = new FakeStorage();
  const keep = new Keep(() => storage, SESSION);
  const sound = storage.setItem.bind(storage);
  storage.setItem = () => { throw new Error("full"); };
  tap(keep, "thunder");
  assert.equal(keep.works, false);
  storage.setItem = sound;
  tap(keep, "hold");
  assert.ok(keep.works);
  assert.deepEqual(new Keep(() => storage, SESSION).all().map((it) => it.kind).sort(), ["hold", "thunder"]);
});

test("what is known of the clock outlasts the page, for every session of the phone", () => {
  const storage = new FakeStorage();
  assert.equal(new Keep(() => storage, SESSION).keptSkew(), 0);
  new Keep(() => storage, SESSION).keepSkew(-3_600_000);
  const kept = new Keep(() => storage, "another").keptSkew();
  assert.equal(kept, -3_600_000);
  const made = new Date(minute(-25)).toISOString();
  assert.equal(skewAtStart(kept, made, minute(60)), kept);
  // The clock was set right since: the sheet was not made in the time to come.
  assert.equal(skewAtStart(kept, new Date(minute(0)).toISOString(), minute(0)), 0);
});

test("evenings that are well past leave the phone, but for what was not handed in", () => {
  const storage = new FakeStorage();
  const day = 24 * 60;
  for (const [session, last] of [["old", -4 * day], ["recent", -2 * day], [SESSION, -9 * day]]) {
    const keep = new Keep(() => storage, session);
    const last_light = new Date(minute(last)).toISOString();
    keep.keepSheet({ text: JSON.stringify({ last_light }), digest: "d" });
    const event = tap(keep, "arrived", last);
    keep.markHanded([event.id]);
    tap(keep, "note", last);
  }
  const keep = new Keep(() => storage, SESSION);
  keep.forgetPast(minute(0));
  const left = (session) => new Keep(() => storage, session);
  assert.deepEqual(left("old").all().map((event) => event.kind), ["note"]);
  assert.equal(left("old").keptSheet(), null);
  assert.equal(left("recent").all().length, 2);
  assert.notEqual(left(SESSION).keptSheet(), null);
  assert.equal(left(SESSION).notHanded().length, 1);
});

/** The worker in a room of its own: `answer` is the studio's, `pages` what its cache has. */
function openWorker(answer, pages) {
  const listeners = {};
  const told = [];
  const cache = {
    match: async (path) => pages.get(path),
    put: async (path, page) => void pages.set(path, page),
    delete: async (path) => pages.delete(path),
  };
  const self = {
    addEventListener: (kind, listener) => (listeners[kind] = listener),
    location: { origin: "https://studio" },
    skipWaiting: () => {},
    clients: { matchAll: async () => [{ postMessage: (message) => told.push(message) }] },
  };
  const caches = { open: async () => cache, delete: async () => pages.clear() };
  const room = { self, caches, fetch: async () => answer, Response, URL, setTimeout: (f, ms, ...of) => setTimeout(f, ms, ...of).unref() };
  vm.runInNewContext(readFileSync(new URL("../../static/worker.js", import.meta.url), "utf8"), room);
  return {
    told,
    go: (method, path) =>
      new Promise((resolve) => {
        const request = { method, mode: "navigate", url: `https://studio${path}` };
        listeners.fetch({ request, respondWith: resolve, waitUntil: () => {} });
      }),
  };
}

/** What a page of the worker does when it is opened. */
function run(html, storage) {
  const gone = [];
  const script = html.match(/<script>(.*)<\/script>/s)[1];
  vm.runInNewContext(script, { localStorage: storage, location: { replace: (to) => gone.push(to) } });
  return gone;
}

/** Two sessions with a handed and a waiting tap each, and all else that the phone keeps. */
function twoSessions() {
  const storage = new FakeStorage();
  for (const session of [SESSION, "another"]) {
    const keep = new Keep(() => storage, session);
    keep.keepSheet({ text: "{}", digest: "d" });
    keep.keepSets(sampleSheet());
    keep.keepShift({ as_of: "", shift: 1 });
    keep.markHanded([tap(keep, "note").id]);
    tap(keep, "thunder");
  }
  return storage;
}

const ofSessions = (storage) => [...storage.map.keys()].filter((key) => key.includes("/")).sort();

test("signing out leaves no sheet and nothing that is handed in on the phone", async () => {
  const pages = new Map([[`/sessions/${SESSION}/field`, "page"]]);
  const worker = openWorker({ type: "opaqueredirect", status: 0 }, pages);
  const page = await worker.go("POST", "/sign-out");
  assert.equal(pages.size, 0);
  assert.deepEqual(JSON.parse(JSON.stringify(worker.told)), [{ signedOut: true }]);
  const storage = twoSessions();
  const expected = twoSessions();
  for (const session of [SESSION, "another"]) new Keep(() => expected, session).forget();
  assert.deepEqual(run(await page.text(), storage), ["/sign-in"]);
  assert.equal(ofSessions(storage).length, 2);
  for (const session of [SESSION, "another"]) {
    assert.deepEqual(new Keep(() => storage, session).notHanded().map((it) => it.kind), ["thunder"]);
  }
  assert.deepEqual(ofSessions(storage).map((key) => key.split("/")[1]), ofSessions(expected).map((key) => key.split("/")[1]));
  const stays = openWorker(new Response("no", { status: 403 }), new Map([["a", "b"]]));
  assert.equal((await stays.go("POST", "/sign-out")).status, 403);
});

test("a page of a session that is gone is dropped, with what was kept of it", async () => {
  for (const status of [404, 410]) {
    const path = `/sessions/${SESSION}/field`;
    const pages = new Map([[path, new Response("kept")], ["/sessions/another/field", new Response("kept")]]);
    const worker = openWorker(new Response("gone", { status }), pages);
    const page = await worker.go("GET", path);
    assert.deepEqual([...pages.keys()], ["/sessions/another/field"]);
    const storage = twoSessions();
    assert.deepEqual(run(await page.text(), storage), [path]);
    assert.deepEqual(new Keep(() => storage, SESSION).all().map((it) => it.kind), ["thunder"]);
    assert.equal(new Keep(() => storage, "another").all().length, 2);
    // Asked again, the studio's own page shows.
    assert.equal(await (await worker.go("GET", path)).text(), "gone");
  }
});

test("a phone that was put back to an older state keeps its own taps beside the studio's", async () => {
  const storage = new FakeStorage();
  const keep = new Keep(() => storage, SESSION);
  const { device } = keep;
  const own = (n, kind, what, at) => keep.put([makeEvent(device, n, minute(at), kind, what)]);
  own(1, "rain", { class: 2 }, 0);
  own(2, "thunder", {}, 1);
  own(3, "undo", { of: `${device}-1` }, 2);
  own(4, "hold", {}, 3);
  // The studio has others under 1 and 2, and the 4 with its time put right.
  const theirs = [
    makeEvent(device, 1, minute(-9), "start", { set: "a", form: "full" }),
    makeEvent(device, 2, minute(-8), "done"),
    makeEvent(device, 3, minute(2), "undo", { of: `${device}-1` }),
    makeEvent(device, 4, minute(63), "hold"),
  ];
  const refused = [1, 2].map((n) => ({ id: `${device}-${n}`, why: "another event has this id already" }));
  const { fetch } = studio([], { kept: [`${device}-3`, `${device}-4`], refused, events: theirs });
  const answer = await handIn({ keep, online, digest: "d", fetch, ...clocks });
  assert.deepEqual(answer.refused, [], "nothing is left to be told");
  assert.notEqual(keep.device, device);
  assert.equal(new Keep(() => storage, SESSION).device, keep.device);
  const log = new Keep(() => storage, SESSION).all();
  for (const event of theirs) assert.deepEqual(log.find((it) => it.id === event.id), event);
  const moved = inOrder(log).filter((event) => event.device === keep.device);
  assert.deepEqual(moved.map(({ kind }) => kind).sort(), ["rain", "thunder", "undo", "undo"]);
  assert.equal(moved.find((event) => event.kind === "rain").at, new Date(minute(0)).toISOString());
  // The undo meant the phone's own rain, not the studio's start.
  const undone = undoneIds(log);
  assert.ok(undone.has(moved.find((event) => event.kind === "rain").id));
  assert.ok(!undone.has(`${device}-1`));
  assert.deepEqual(keep.notHanded().map(({ id }) => id).sort(), moved.map(({ id }) => id).sort());
  assert.equal(new Set(moved.map(({ id }) => id)).size, 4);
});

test("a sheet without a digest, and a browser without a short way to wait, hand in all the same", async () => {
  const keep = new Keep(() => new FakeStorage(), SESSION);
  tap(keep, "arrived");
  const { log, fetch } = studio();
  const { timeout } = AbortSignal;
  AbortSignal.timeout = undefined;
  const { setTimeout: later } = globalThis;
  globalThis.setTimeout = () => 0;
  try {
    assert.equal((await handIn({ keep, online, digest: null, fetch, ...clocks })).state, "handed");
  } finally {
    AbortSignal.timeout = timeout;
    globalThis.setTimeout = later;
  }
  assert.equal(log[0].body.sheet_digest, "");
});

test("a session that the studio does not have is gone", async () => {
  const keep = new Keep(() => new FakeStorage(), SESSION);
  const state = async (status) =>
    (await handIn({ keep, online, digest: "d", fetch: async () => new Response("", { status }), ...clocks })).state;
  assert.equal(await state(404), "gone");
  assert.equal(await state(410), "gone");
});

test("sets that a sheet lacks are remembered, or told from their ids", () => {
  const sheet = sampleSheet();
  const keep = new Keep(() => new FakeStorage(), SESSION);
  keep.keepSets(sheet);
  const later = sampleSheet({ sets: sheet.sets.slice(0, 3), looks: sheet.looks.slice(0, 2) });
  keep.keepSets(later);
  const started = (set) => events([[0, "start", { set, form: "full" }]]);
  const gone = sheet.sets[5];
  const full = withGoneSets(later, keep.keptSets(), started(gone.id));
  assert.equal(full.sets.length, 4);
  const { look, minutes, exposed_s, spot, setting, isGone } = full.sets[3];
  assert.deepEqual({ look, minutes, exposed_s, spot, setting, isGone }, { look: 2, minutes: gone.minutes, exposed_s: gone.exposed_s, spot: gone.spot, setting: gone.setting, isGone: true });
  assert.equal(full.looks[2].name, "denim");
  assert.equal(withGoneSets(later, keep.keptSets(), started(sheet.sets[0].id)), later);
  const unknown = withGoneSets(later, null, started("black / white / pier / umbrella")).sets[3];
  assert.deepEqual([unknown.spot, unknown.setting, unknown.minutes.full], ["pier", "umbrella", null]);
  const bare = bareSheet({ sets: [null, { id: "x", title: 7 }], title: {} }, { session: SESSION, title: "Linh", words: {}, memory: null }, minute(0));
  assert.deepEqual([bare.title, bare.sets.map((set) => set.title)], ["Linh", ["x"]]);
});
