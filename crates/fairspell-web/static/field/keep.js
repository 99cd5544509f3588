// What the phone keeps: every event under a key of its own, so that two tabs never write over each
// other, the newest sheet, the sets of all sheets so far, and which events the studio has.

import { rememberSets } from "./sheet.js";
import { MINUTE_MS } from "./units.js";

const EVENTS = "fairspell-field";
const HANDED = "fairspell-field-handed";
const SHEET = "fairspell-field-sheet";
const SETS = "fairspell-field-sets";
const SHIFT = "fairspell-field-shift";
const DEVICE = "fairspell-field-device";
const SKEW = "fairspell-field-skew";

/** What is kept of a session beside its events. The worker's page for signing out has the same list. */
const OF_SESSION = [SHEET, SETS, SHIFT];

/** So long after an evening its sheet and what was handed in of its log stay on the phone. */
const PAST_MS = 3 * 24 * 60 * MINUTE_MS;

/** A name that no other phone has. */
export function newDevice(random = Math.random) {
  const letters = "abcdefghjkmnpqrstuvwxyz23456789";
  return Array.from({ length: 8 }, () => letters[Math.floor(random() * letters.length)]).join("");
}

/** The memory of a session. Where the browser keeps nothing, it lasts as long as the page. */
export class Keep {
  /** `storage` is a function, because merely naming `localStorage` can throw. */
  constructor(storage, session) {
    this.session = session;
    this.events = new Map();
    this.handed = new Set();
    /** What could not be written yet, by key: it is tried again with every tap. */
    this.unwritten = new Map();
    this.memory = null;
    this.storage = attempt(storage) ?? null;
    this.remembers = this.probe();
    this.device = this.read(DEVICE);
    if (!this.device) this.renewDevice();
    this.readAgain();
  }

  /** Whether every tap so far is kept. */
  get works() {
    return this.remembers && this.unwritten.size === 0;
  }

  /** Whether the storage keeps what is put in: some take everything and forget it. */
  probe() {
    const key = `${EVENTS}-try`;
    return (
      attempt(() => {
        this.storage.setItem(key, this.session);
        const keeps = this.storage.getItem(key) === this.session;
        this.storage.removeItem(key);
        return keeps;
      }) ?? false
    );
  }

  read(key) {
    return attempt(() => this.storage.getItem(key)) ?? null;
  }

  /** Writes, if need be in the place of other evenings' sheets; false where it cannot. */
  write(key, text) {
    const put = () => attempt(() => (this.storage.setItem(key, text), true)) ?? false;
    if (put()) return true;
    for (const other of this.keys()) {
      const isSheet = other.startsWith(`${SHEET}/`) && other !== `${SHEET}/${this.session}`;
      if (isSheet) attempt(() => this.storage.removeItem(other));
    }
    return put();
  }

  /** The same for what must not be lost: it is tried again, and a tap is worth more than a sheet. */
  writeTap(key, text) {
    if (this.write(key, text)) return this.unwritten.delete(key);
    attempt(() => this.storage.removeItem(`${SHEET}/${this.session}`));
    if (this.write(key, text)) return this.unwritten.delete(key);
    this.unwritten.set(key, text);
    return false;
  }

  keys() {
    return (
      attempt(() => Array.from({ length: this.storage.length }, (_, at) => this.storage.key(at))) ?? []
    ).filter((key) => key !== null);
  }

  /** Takes in what another tab has written. */
  readAgain() {
    if (!this.unwritten.has(DEVICE)) this.device = this.read(DEVICE) ?? this.device;
    const [events, handed] = [`${EVENTS}/${this.session}/`, `${HANDED}/${this.session}/`];
    for (const key of this.keys()) {
      if (key.startsWith(handed)) this.handed.add(key.slice(handed.length));
      if (!key.startsWith(events) || this.unwritten.has(key)) continue;
      const event = readJson(this.read(key));
      if (event?.id) this.events.set(event.id, event);
    }
  }

  all() {
    return [...this.events.values()];
  }

  /** The next number of this phone, counting what other tabs have written meanwhile. */
  nextNumber() {
    this.readAgain();
    const own = this.all().filter((event) => event.device === this.device);
    return 1 + own.reduce((most, event) => Math.max(most, event.n), 0);
  }

  put(events) {
    if (!this.remembers) this.remembers = this.probe();
    for (const [key, text] of [...this.unwritten]) this.writeTap(key, text);
    for (const event of events) {
      this.events.set(event.id, event);
      this.writeTap(`${EVENTS}/${this.session}/${event.id}`, JSON.stringify(event));
    }
  }

  /** The studio has these. */
  markHanded(ids) {
    for (const id of ids) {
      if (this.handed.has(id)) continue;
      this.handed.add(id);
      this.write(`${HANDED}/${this.session}/${id}`, "1");
    }
  }

  notHanded() {
    return this.all().filter((event) => !this.handed.has(event.id));
  }

  /** From now on this phone goes by another name, whose numbers begin anew. */
  renewDevice() {
    this.device = newDevice();
    this.writeTap(DEVICE, this.device);
  }

  /** The newest sheet: its text and digest, so that it can be checked as the page's own. */
  keepSheet(sheet) {
    return this.write(`${SHEET}/${this.session}`, JSON.stringify(sheet));
  }

  keptSheet() {
    return this.kept(SHEET);
  }

  /** Notes the sets of a sound sheet; a later one may lack some that were made. */
  keepSets(sheet) {
    this.memory = rememberSets(this.keptSets(), sheet);
    this.write(`${SETS}/${this.session}`, JSON.stringify(this.memory));
  }

  keptSets() {
    this.memory ??= this.kept(SETS);
    return this.memory;
  }

  /** How the demo's evening stands to the clock. */
  keepShift(shift) {
    this.write(`${SHIFT}/${this.session}`, JSON.stringify(shift));
  }

  keptShift() {
    return this.kept(SHIFT);
  }

  /** How far the studio's clock is ahead of this phone's (ms), as it was learnt last. */
  keepSkew(skew) {
    this.write(SKEW, String(skew));
  }

  keptSkew() {
    const skew = Number(this.read(SKEW) ?? 0);
    return Number.isFinite(skew) ? skew : 0;
  }

  kept(what) {
    return readJson(this.read(`${what}/${this.session}`));
  }

  /**
   * Takes a session's names, numbers and notes off the phone: all that the studio has. What was not
   * handed in stays, and so does what an open page shows.
   */
  forget(session = this.session) {
    const keys = this.keys();
    const [events, handed] = [`${EVENTS}/${session}/`, `${HANDED}/${session}/`];
    for (const key of keys.filter((it) => it.startsWith(handed))) {
      this.remove(`${events}${key.slice(handed.length)}`);
    }
    // The marks last: an event whose mark is gone would be handed in again.
    for (const key of keys.filter((it) => it.startsWith(handed))) this.remove(key);
    for (const what of OF_SESSION) this.remove(`${what}/${session}`);
  }

  remove(key) {
    attempt(() => this.storage.removeItem(key));
  }

  /** Forgets the evenings that are well past; never this one. */
  forgetPast(now) {
    const ends = new Map();
    for (const key of this.keys()) {
      const [what, session] = key.split("/");
      if (!session || session === this.session) continue;
      if (![EVENTS, ...OF_SESSION].includes(what)) continue;
      const it = readJson(this.read(key));
      const at = Date.parse(what === SHEET ? readJson(it?.text)?.last_light : it?.at);
      ends.set(session, Math.max(ends.get(session) ?? -Infinity, Number.isFinite(at) ? at : -Infinity));
    }
    for (const [session, end] of ends) if (end < now - PAST_MS) this.forget(session);
  }
}

/** What an action gives; undefined where the browser does not let it. */
function attempt(action) {
  try {
    return action();
  } catch {
    return undefined;
  }
}

function readJson(text) {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}
