// What the phone keeps: every event under a key of its own, so that two tabs never write over each
// other, the newest sheet, and which events the studio has.

const EVENTS = "fairspell-field";
const HANDED = "fairspell-field-handed";
const SHEET = "fairspell-field-sheet";
const SHIFT = "fairspell-field-shift";
const DEVICE = "fairspell-field-device";

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
    this.works = true;
    this.device = null;
    this.attempt(() => {
      this.storage = storage();
      this.storage.setItem(`${EVENTS}-try`, session);
      if (this.storage.getItem(`${EVENTS}-try`) !== session) throw new Error("it forgets");
      this.storage.removeItem(`${EVENTS}-try`);
      this.device = this.storage.getItem(DEVICE);
    });
    if (!this.device) {
      this.device = newDevice();
      this.attempt(() => this.storage.setItem(DEVICE, this.device));
    }
    this.readAgain();
  }

  /** Runs what may fail; from the first failure on the page says that nothing is kept. */
  attempt(action) {
    try {
      if (this.works) action();
    } catch {
      this.works = false;
    }
  }

  /** Takes in what another tab has written. */
  readAgain() {
    this.attempt(() => {
      const [events, handed] = [`${EVENTS}/${this.session}/`, `${HANDED}/${this.session}/`];
      for (let place = 0; place < this.storage.length; place += 1) {
        const key = this.storage.key(place);
        if (key?.startsWith(handed)) this.handed.add(key.slice(handed.length));
        if (!key?.startsWith(events)) continue;
        const event = readJson(this.storage.getItem(key));
        if (event?.id) this.events.set(event.id, event);
      }
    });
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
    for (const event of events) {
      this.events.set(event.id, event);
      const key = `${EVENTS}/${this.session}/${event.id}`;
      this.attempt(() => this.storage.setItem(key, JSON.stringify(event)));
    }
  }

  /** The studio has these. */
  markHanded(ids) {
    for (const id of ids) {
      if (this.handed.has(id)) continue;
      this.handed.add(id);
      this.attempt(() => this.storage.setItem(`${HANDED}/${this.session}/${id}`, "1"));
    }
  }

  notHanded() {
    return this.all().filter((event) => !this.handed.has(event.id));
  }

  /** The newest sheet: its text and digest, so that it can be checked as the page's own. */
  keepSheet(sheet) {
    this.attempt(() => this.storage.setItem(`${SHEET}/${this.session}`, JSON.stringify(sheet)));
  }

  keptSheet() {
    return this.kept(SHEET);
  }

  /** How the demo's evening stands to the clock. */
  keepShift(shift) {
    this.attempt(() => this.storage.setItem(`${SHIFT}/${this.session}`, JSON.stringify(shift)));
  }

  keptShift() {
    return this.kept(SHIFT);
  }

  kept(what) {
    let value = null;
    this.attempt(() => {
      value = readJson(this.storage.getItem(`${what}/${this.session}`));
    });
    return value;
  }
}

function readJson(text) {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}
