// Where the evening stands at a moment: the events folded into what was made, what runs, what falls,
// and how much water hair and looks have taken.

import { doseOf, doseSeen } from "./dose.js";
import { fromTheFuture, whatCounts } from "./log.js";
import { thunderClock, thunderWaitMin } from "./thunder.js";
import { MINUTE_MS } from "./units.js";

/** The age after which a radar picture says nothing of what falls now. */
export const PICTURE_TOO_OLD_MIN = 40;

/**
 * The evening at `now` (ms). Sets and looks go by their places in the sheet.
 *
 * Between the events water is added up. A set's seconds out are spread evenly over its planned
 * minutes, and stop when these are over: nobody counts bursts in the rain. Held up, or waiting for
 * thunder to pass, nobody stands in the open.
 *
 * Another phone's clock may be a little ahead, as the studio lets it be; thunder counts however far
 * ahead it was heard.
 */
export function eveningAt(sheet, events, now) {
  const fold = new Fold(sheet);
  const counting = whatCounts(events);
  const future = fromTheFuture(counting, now);
  for (const event of counting) {
    const at = Date.parse(event.at);
    const waits = future.includes(event) && event.kind !== "thunder";
    if (waits || !Number.isFinite(at)) continue;
    fold.forward(Math.min(at, now));
    fold.take(event, at);
  }
  fold.forward(now);
  return { ...fold.result(now), future };
}

class Fold {
  constructor(sheet) {
    this.sheet = sheet;
    this.at = -Infinity;
    this.setPlaces = new Map(sheet.sets.map((set, place) => [set.id, place]));
    this.lookPlaces = new Map(sheet.looks.map((look, place) => [look.name, place]));
    this.rainTapped = null;
    this.thunderLast = null;
    this.evening = {
      arrivedAt: null,
      made: [],
      stopped: [],
      running: null,
      skipped: new Set(),
      hairDose: sheet.start.hair_dose_g_m2 ?? 0,
      lookDoses: sheet.looks.map(() => 0),
      worn: sheet.table?.look_at_start ?? null,
      spot: sheet.start.spot,
      holding: null,
      grid: new Map(sheet.looks.map((look) => [look.name, new Set()])),
      settings: [],
      notes: [],
      truth: null,
      finished: null,
    };
  }

  /** Adds the water that fell until `at`. */
  forward(at) {
    const { running, holding } = this.evening;
    const from = this.at;
    this.at = Math.max(from, at);
    if (!running || holding !== null) return;
    // Work begins again when the clock of the last thunder has run out.
    const clock = this.thunderLast === null ? -Infinity : this.thunderUntil();
    const works = Math.max(0, at - Math.max(from, clock));
    const { minutes, exposed_s, setting } = this.form(running);
    const planned = minutes * MINUTE_MS;
    const counts = Math.max(0, Math.min(works, planned - running.workedMs));
    running.workedMs += works;
    if (planned <= 0) return;
    const rate = this.sheet.rain.rates_mm_h[this.rainNow().class ?? 0] ?? 0;
    const exposure = this.sheet.exposure[setting] ?? 1;
    const dose = doseOf(rate, (exposed_s * counts) / planned, exposure);
    this.evening.hairDose += dose;
    this.evening.lookDoses[this.sheet.sets[running.set].look] += dose;
  }

  form({ set, form }) {
    const { minutes, exposed_s, setting } = this.sheet.sets[set];
    const planned = minutes[form] ?? minutes.full;
    return { minutes: planned, exposed_s: exposed_s[form] ?? planned * 60, setting };
  }

  thunderUntil() {
    return this.thunderLast + thunderWaitMin(this.sheet) * MINUTE_MS;
  }

  /** What falls: as tapped, else as the radar picture had it. */
  rainNow() {
    if (this.rainTapped) return this.rainTapped;
    const seen = this.sheet.nowcast;
    if (!Number.isInteger(seen?.now_class)) return { class: null, since: null, by: null };
    return { class: seen.now_class, since: Date.parse(seen.issued), by: "picture" };
  }

  take(event, at) {
    const now = this.evening;
    const set = this.setPlaces.get(event.set);
    switch (event.kind) {
      case "arrived":
        now.arrivedAt ??= at;
        break;
      case "start":
        if (set !== undefined) {
          const form = event.form === "short" ? "short" : "full";
          // Two phones may begin the same set; it is begun once, and a hold of it goes on.
          if (now.running?.set === set && now.running.form === form) break;
          // Who starts the next has done with the one before, though nobody tapped it.
          this.end(true, at);
          now.running = { set, form, start: at, workedMs: 0 };
          now.skipped.delete(set);
          now.worn = this.sheet.sets[set].look;
          now.spot = this.sheet.sets[set].spot;
        }
        now.holding = null;
        now.finished = null;
        break;
      case "done":
      case "stop":
        this.end(event.kind === "done", at);
        break;
      case "skip":
        if (set !== undefined) now.skipped.add(set);
        break;
      case "rain":
        if (Number.isInteger(event.class) && event.class >= 0 && event.class <= 3) {
          // The same class once more changes nothing, not even since when.
          const since = this.rainTapped?.class === event.class ? this.rainTapped.since : at;
          this.rainTapped = { class: event.class, since, by: "tap" };
        }
        break;
      case "thunder":
        this.thunderLast = Math.max(this.thunderLast ?? at, at);
        break;
      case "hold":
        now.holding ??= at;
        break;
      case "resume":
        now.holding = null;
        break;
      case "spot":
        if (this.sheet.spots.some((spot) => spot.id === event.spot)) now.spot = event.spot;
        break;
      case "hair": {
        const levels = this.sheet.table?.hair_levels_g_m2 ?? [0];
        now.hairDose = doseSeen(now.hairDose, event.state, this.sheet.hair, levels);
        break;
      }
      case "cloth": {
        const look = this.lookPlaces.get(event.look);
        if (look === undefined) break;
        const levels = this.sheet.table?.looks?.[look]?.levels_g_m2 ?? [0];
        const limits = this.sheet.looks[look];
        now.lookDoses[look] = doseSeen(now.lookDoses[look], event.state, limits, levels);
        break;
      }
      case "cell": {
        const cells = now.grid.get(event.look);
        if (event.filled) cells?.add(event.cell);
        else cells?.delete(event.cell);
        break;
      }
      case "settings":
        now.settings.push({ at, text: event.text });
        break;
      case "note":
        now.notes.push({ at, text: event.text });
        break;
      case "truth":
        now.truth = event.rain;
        break;
      case "finish":
        this.end(true, at);
        now.holding = null;
        now.finished = at;
        break;
      default:
      // A kind that a later program writes: kept in the log, without meaning here.
    }
  }

  end(isMade, at) {
    const { running, made, stopped } = this.evening;
    if (!running) return;
    this.evening.running = null;
    const ended = { ...running, end: at };
    if (!isMade) stopped.push(ended);
    else if (!made.some((it) => it.set === ended.set)) made.push(ended);
  }

  result(now) {
    let rain = this.rainNow();
    const isOld = now - rain.since > PICTURE_TOO_OLD_MIN * MINUTE_MS;
    if (rain.by === "picture" && isOld) rain = { class: null, since: null, by: null };
    const last = this.thunderLast;
    const thunder = last === null ? null : thunderClock(this.sheet, this.evening.spot, last, now);
    return { now, ...this.evening, rain, thunder };
  }
}
