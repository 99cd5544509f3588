// Begins: reads the sheet, keeps what is tapped, hands it in, and paints again when something changed.

import { adviceAt, budgetAt } from "./advice.js";
import { barTap, isStray } from "./card.js";
import { fetchSheet, handIn } from "./hand_in.js";
import { Keep } from "./keep.js";
import { inOrder, logAsText, makeEvent, undoneIds } from "./log.js";
import { bareSheet, better, readSheet, withGoneSets } from "./sheet.js";
import { skyAhead } from "./sky.js";
import { eveningAt, pictureToKeep } from "./state.js";
import { demoShift, putRight, skewAtStart } from "./time.js";
import { MINUTE_MS, SECOND_MS } from "./units.js";
import { buildPage, paintPage } from "./view.js";
import { speaker, wallClock } from "./words.js";

/** How often the clock on the page moves on, the log is handed in, and a fresh sheet is fetched. */
const PAINT_MS = 15 * SECOND_MS;
const HAND_IN_MS = 30 * SECOND_MS;
const FETCH_MS = 3 * MINUTE_MS;

/** How long the first tap of two is waited for. */
const ASKED_MS = 10 * SECOND_MS;

class FieldPage {
  constructor(root, own, online, words) {
    this.root = root;
    this.own = own;
    this.online = online;
    this.ownWords = words;
    this.skew = 0;
    this.shift = 0;
    this.signIn = false;
    this.isOffline = false;
    this.isNotTaken = false;
    this.isGone = false;
    this.refused = [];
    this.handedAt = null;
    this.wakeLock = null;
    this.opensOffline = false;
    // The page's own sheet is not sound, and the one kept from before stands in for it.
    this.isKeptOne = false;
    this.lastBarTap = null;
    // The thunder that one tap on the way to taking it back was about.
    this.undoAsked = null;
    this.busy = { log: false, sheet: false };
  }

  /** Reads the page's sheet and the one kept from before, and shows the better. */
  async begin() {
    const fresh = await readSheet(this.own.text, this.own.digest);
    const isSound = fresh.trouble === null;
    this.keep = new Keep(() => localStorage, isSound ? fresh.sheet.session : this.root.dataset.session);
    const kept = this.keep.keptSheet();
    const before = kept ? await readSheet(kept.text, kept.digest) : null;
    this.reading = before?.trouble === null ? better(fresh, before) : fresh;
    if (this.reading === fresh && isSound) this.keep.keepSheet(this.own);
    this.isKeptOne = !isSound && this.reading !== fresh;
    this.settle();
    this.skew = skewAtStart(this.keep.keptSkew(), this.sheet.made_at, Date.now());
    this.keep.forgetPast(Date.now() + this.skew);
    this.setShift();
    this.build();
  }

  /** Takes the sheet as it was read: a sound one is remembered, of another only names are left. */
  settle() {
    const { sheet, trouble } = this.reading;
    if (trouble === null) {
      try {
        this.keep.keepSets(sheet);
        this.sheet = sheet;
        return;
      } catch {
        // As the studio wrote it, and yet with a part that is none.
        this.reading = { ...this.reading, table: null, trouble: "damaged" };
      }
    }
    const { session, title } = this.root.dataset;
    const known = { session, title, words: this.ownWords, memory: this.keep.keptSets() };
    this.sheet = bareSheet(sheet, known, Date.now());
  }

  /** What was read cannot be gone by after all. */
  distrust() {
    this.reading = { ...this.reading, table: null, trouble: "damaged" };
    this.settle();
    this.words = this.ownWords;
    this.say = speaker(this.words);
  }

  /** The time of the evening: the phone's clock put right. */
  clock() {
    return Date.now() + this.skew + this.shift;
  }

  setShift() {
    const { as_of } = this.sheet;
    this.shift = demoShift(this.sheet, this.keep.keptShift(), Date.now() + this.skew);
    if (this.shift !== 0) this.keep.keepShift({ as_of, shift: this.shift });
  }

  build() {
    // Of a sheet that somebody changed not even the words are to be trusted.
    this.words = this.reading.trouble === null ? this.sheet.words : this.ownWords;
    this.say = speaker(this.words);
    this.parts = buildPage(this.root, this.say);
    this.paint();
  }

  model() {
    const now = this.clock();
    const log = this.keep.all();
    const { sheet, evening } = this.stands(now);
    const { reading, say } = this;
    const knows = reading.trouble === null;
    const undone = undoneIds(log);
    const isTap = ({ device, kind, by }) =>
      device === this.keep.device && kind !== "undo" && by !== "picture";
    const own = inOrder(log).filter(isTap);
    const line = say("send_head", { title: sheet.title, at: wallClock(now, sheet.utc_offset_min ?? 0) });
    return {
      now,
      log,
      evening,
      sheet,
      reading,
      say,
      advice: knows && !sheet.stop ? adviceAt(sheet, reading.table, evening) : null,
      budget: budgetAt(sheet, evening),
      sky: skyAhead(sheet.nowcast, now),
      lastOwn: own.findLast((event) => !undone.has(event.id)) ?? null,
      undoAsked: this.undoAsked?.until > now ? this.undoAsked.of : null,
      logText: logAsText(line, this.keep.session, reading.digest, now, inOrder(log)),
      phone: {
        keeps: this.keep.works,
        online: this.online !== null,
        page: location.pathname,
        signIn: this.signIn,
        isOffline: this.isOffline,
        isNotTaken: this.isNotTaken,
        isGone: this.isGone,
        refused: this.refused,
        // What was noted out of a picture goes along; she counts what she tapped.
        waiting: this.keep.notHanded().filter((event) => event.by !== "picture").length,
        handedAt: this.handedAt,
        skewMin: Math.round(this.skew / MINUTE_MS),
        shiftMs: this.shift,
        isKeptOne: this.isKeptOne,
        opensOffline: this.opensOffline,
        staysAwake: this.wakeLock !== null,
      },
    };
  }

  stands(now) {
    const log = this.keep.all();
    const sheet = withGoneSets(this.sheet, this.keep.keptSets(), log);
    return { sheet, evening: eveningAt(sheet, log, now) };
  }

  paint() {
    try {
      this.last = this.model();
      paintPage(this.parts, this.last);
    } catch {
      this.distrust();
      this.last = this.model();
      paintPage(this.parts, this.last);
    }
  }

  /** As time goes on: what falls by the picture is kept while a set runs and nobody taps it. */
  tick() {
    if (this.last.evening.running) this.keepPicture();
    this.paint();
  }

  keepPicture() {
    let parts = null;
    try {
      const { sheet, evening } = this.stands(this.clock());
      parts = pictureToKeep(sheet, evening);
    } catch {
      // The tap that it goes with is kept in any case.
    }
    if (parts) this.keepEvent("rain", parts);
  }

  /** Keeps a new event, shows what follows from it, and hands it in if there is a signal. */
  note(kind, what = {}) {
    this.undoAsked = null;
    this.keepEvent(kind, what);
    this.paint();
    this.handIn();
  }

  keepEvent(kind, what) {
    const n = this.keep.nextNumber();
    this.keep.put([makeEvent(this.keep.device, n, this.clock(), kind, what)]);
  }

  /** What a button does. */
  tap({ do: what, set, form, rain, spot, look, state, cell, filled, truth, text, of }) {
    const by = {
      start: () => {
        this.keepPicture();
        this.note("start", { set, form });
      },
      skip: () => this.note("skip", { set }),
      rain: () => this.note("rain", { class: Number(rain) }),
      spot: () => this.note("spot", { spot }),
      hair: () => this.note("hair", { state }),
      cloth: () => this.note("cloth", { look, state }),
      cell: () => this.note("cell", { look, cell, filled: filled === "true" }),
      settings: () => this.note("settings", { text }),
      truth: () => this.note("truth", { rain: truth }),
      undo: () => {
        const id = of ?? this.last.lastOwn?.id;
        if (id) this.note("undo", { of: id });
      },
      ask_undo: () => {
        this.undoAsked = { of, until: this.clock() + ASKED_MS };
        this.paint();
      },
      copy: () => this.copy(),
      share: () => this.share(),
    };
    (by[what] ?? (() => this.note(what)))();
  }

  async copy() {
    const text = document.getElementById("field-log-text");
    let isCopied = false;
    try {
      await navigator.clipboard.writeText(text.value);
      isCopied = true;
    } catch {
      // Not allowed here: the text is marked, so that it can be copied by hand.
      text.focus();
      text.select();
    }
    document.getElementById("field-sent").textContent = this.say(isCopied ? "copied" : "copy_by_hand");
  }

  async share() {
    try {
      await navigator.share({ text: document.getElementById("field-log-text").value });
    } catch (error) {
      if (error.name !== "AbortError") await this.copy();
    }
  }

  async handIn() {
    if (!this.online || this.busy.log) return;
    this.busy.log = true;
    const answer = await handIn({
      keep: this.keep,
      online: this.online,
      digest: this.reading.digest,
      fetch: (...request) => fetch(...request),
      // The studio's clock is asked in the time of the evening, which the demo shifts.
      now: () => this.clock() - this.skew,
      clock: () => this.clock(),
    });
    this.busy.log = false;
    this.heard(answer);
    if (answer.state === "gone") this.leave();
    if (answer.state === "handed") {
      this.isGone = false;
      this.handedAt = this.clock();
      this.refused = answer.refused;
      this.setSkew(answer.skew);
    }
    this.paint();
    // What was tapped meanwhile does not wait for the next round.
    const isMore = this.keep.notHanded().length > this.refused.length;
    if (answer.state === "handed" && isMore) setTimeout(() => this.handIn(), SECOND_MS);
  }

  /** A skew that was just learnt puts right what was noted before, as far as nobody has it yet. */
  setSkew(skew) {
    const by = skew - this.skew;
    if (Math.abs(by) < MINUTE_MS) return;
    this.skew = skew;
    this.keep.keepSkew(skew);
    const own = this.keep.notHanded().filter((event) => event.device === this.keep.device);
    this.keep.put(putRight(own, by));
  }

  async refresh() {
    if (!this.online || this.busy.sheet) return;
    this.busy.sheet = true;
    const answer = await fetchSheet({ online: this.online, fetch: (...request) => fetch(...request) });
    this.busy.sheet = false;
    this.heard(answer);
    if (answer.state === "fetched") {
      const fresh = await readSheet(answer.text, answer.digest);
      // A sheet that was harmed on its way changes nothing; the next one will come.
      if (fresh.trouble === null) {
        this.keep.keepSheet({ text: answer.text, digest: answer.digest });
        const isSound = this.reading.trouble === null;
        this.reading = fresh;
        this.isKeptOne = false;
        this.settle();
        this.setShift();
        if (!isSound) return this.build();
        return this.tick();
      }
    }
    this.paint();
  }

  heard({ state }) {
    this.isOffline = state === "offline";
    this.isNotTaken = state === "refused";
    this.signIn = state === "sign-in";
  }

  /** The studio has no such session: what it had of it leaves this phone. */
  leave() {
    this.isGone = true;
    this.keep.forget();
    navigator.serviceWorker?.controller?.postMessage({ drop: location.pathname });
  }

  /** Asks that the screen stays on; a phone takes it back whenever the page is left. */
  async stayAwake() {
    if (document.hidden) return;
    try {
      this.wakeLock = await navigator.wakeLock.request("screen");
      this.wakeLock.addEventListener("release", () => {
        this.wakeLock = null;
        this.paint();
      });
    } catch {
      this.wakeLock = null;
    }
    this.paint();
  }

  listen() {
    document.addEventListener("click", (event) => {
      const button = event.target.closest("button[data-do]");
      if (!button || button.disabled) return;
      if (button.closest("nav")) {
        const tap = barTap(event.timeStamp, button);
        if (isStray(tap, this.lastBarTap)) return;
        this.lastBarTap = tap;
      }
      this.tap(button.dataset);
    });
    document.addEventListener("submit", (event) => {
      event.preventDefault();
      const { text } = event.target.elements;
      if (text.value.trim()) this.note(event.target.dataset.keep, { text: text.value.trim() });
      text.value = "";
    });
    const lookAgain = () => {
      this.handIn();
      this.refresh();
    };
    addEventListener("online", lookAgain);
    addEventListener("storage", () => {
      this.keep.readAgain();
      this.paint();
    });
    document.addEventListener("visibilitychange", () => {
      if (document.hidden) return;
      this.stayAwake();
      lookAgain();
    });
    // Signed out in another tab.
    navigator.serviceWorker?.addEventListener?.("message", ({ data }) => {
      if (data?.signedOut !== true) return;
      this.keep.forget();
      this.signIn = true;
      this.paint();
    });
    setInterval(() => this.tick(), PAINT_MS);
    setInterval(() => this.handIn(), HAND_IN_MS);
    setInterval(() => this.refresh(), FETCH_MS);
    this.stayAwake();
    this.handIn();
    // The page may have come from the phone's own memory.
    const isOld = Date.now() + this.skew - Date.parse(this.sheet.made_at) > FETCH_MS;
    if (isOld || this.reading.trouble !== null) this.refresh();
    this.opensAgain().then((opens) => {
      this.opensOffline = opens;
      this.paint();
    });
  }

  /** Has the page kept, so that it opens again without a signal, and says whether it does. */
  async opensAgain() {
    // A file is there as long as the phone has it.
    if (!this.online) return true;
    try {
      await navigator.serviceWorker.register("/worker.js");
      const { active } = await navigator.serviceWorker.ready;
      const { port1, port2 } = new MessageChannel();
      const answer = new Promise((resolve) => {
        port1.onmessage = (event) => resolve(event.data === true);
      });
      active.postMessage({ keep: location.pathname }, [port2]);
      return await answer;
    } catch {
      // No worker from a plain address: the page works as long as it is open.
      return false;
    }
  }
}

/** Reads what the document carries, and begins. */
async function beginField() {
  const root = document.getElementById("field");
  const text = document.getElementById("field-sheet").textContent;
  const meta = (name) => document.querySelector(`meta[name="${name}"]`)?.content ?? null;
  const online = meta("field-online");
  const words = JSON.parse(document.getElementById("field-words").textContent);
  const own = { text, digest: meta("field-digest") };
  const page = new FieldPage(root, own, online ? JSON.parse(online) : null, words);
  try {
    await page.begin();
  } finally {
    // Whatever is wrong with a sheet, taps are taken.
    page.listen();
  }
}

beginField();
