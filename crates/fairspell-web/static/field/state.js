// Where the evening stands at a moment: the events folded into what was made, what runs, what falls,
// and how much water hair and looks have taken.

import { doseOfShare, doseSeen, plannedOf, withDose } from "./dose.js";
import { fromTheFuture, whatCounts } from "./log.js";
import { thunderClock, thunderWaitMin } from "./thunder.js";
import { MINUTE_MS } from "./units.js";

/** The age after which a radar picture says nothing of what falls now, where the sheet names none. */
const PICTURE_TOO_OLD_MIN = 40;

/** A picture that goes on for less than this is renewed in the log, so that no time is left open. */
const RENEW_MS = 10 * MINUTE_MS;

/** The age, in minutes, after which a nowcast is too old to go by. */
export function pictureTooOldMin(nowcast) {
  const limit = nowcast?.too_old_min;
  return Number.isFinite(limit) && limit >= 0 ? limit : PICTURE_TOO_OLD_MIN;
}

/** What falls by the sheet's picture, since when and until when it can be gone by; else null. */
function pictureOf(nowcast) {
  if (!Number.isInteger(nowcast?.now_class)) return null;
  const since = Date.parse(nowcast.issued);
  return { class: nowcast.now_class, since, until: since + pictureTooOldMin(nowcast) * MINUTE_MS };
}

/**
 * The parts of a `rain` event that keeps what falls by the picture, while nobody has tapped it: what a
 * set takes is reckoned from the log, so that a later picture does not change the past. Null where
 * there is nothing to keep.
 */
export function pictureToKeep(sheet, { now, rain, pictured }) {
  const seen = pictureOf(sheet.nowcast);
  if (rain.by !== "picture" || !seen || now > seen.until || pictured?.since >= seen.since) return null;
  const goesOn = pictured?.class === seen.class && pictured.until > now + RENEW_MS;
  if (goesOn) return null;
  const { issued } = sheet.nowcast;
  return { class: seen.class, by: "picture", issued, too_old_min: pictureTooOldMin(sheet.nowcast) };
}

/**
 * The evening at `now` (ms). Sets and looks go by their places in the sheet.
 *
 * Between the events water is added up, at the rate that the log has: as tapped, else as a picture had
 * it. Where it has none, and what is worn is out in it, the dose is not known until somebody looks. A set's seconds out are spread evenly over its planned
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
    this.pictured = null;
    this.thunderLast = null;
    this.evening = {
      arrivedAt: null,
      made: [],
      stopped: [],
      running: null,
      skipped: new Set(),
      hairDose: sheet.start.hair_dose_g_m2 ?? 0,
      lookDoses: sheet.looks.map(() => 0),
      isHairKnown: true,
      areLooksKnown: sheet.looks.map(() => true),
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
    const begin = Math.max(from, clock);
    const works = Math.max(0, at - begin);
    const set = this.sheet.sets[running.set];
    const { minutes, exposed_s } = plannedOf(set, running.form);
    const planned = minutes === null ? Infinity : minutes * MINUTE_MS;
    const counts = Math.max(0, Math.min(works, planned - running.workedMs));
    running.workedMs += works;
    const isOut = exposed_s !== 0 && (this.sheet.exposure[set.setting] ?? 1) > 0;
    if (counts === 0 || !isOut) return;
    const rain = this.rainTapped ?? this.pictured;
    const until = this.rainTapped ? Infinity : (this.pictured?.until ?? -Infinity);
    const known = Math.max(0, Math.min(counts, until - begin));
    const rate = this.sheet.rain.rates_mm_h[rain?.class] ?? 0;
    // A set of which nobody knows how long it takes is known to stay dry, or not at all.
    if (known < counts || (planned === Infinity && rate > 0)) {
      this.evening.isHairKnown = false;
      this.evening.areLooksKnown[set.look] = false;
    }
    if (planned === Infinity) return;
    const dose = doseOfShare(this.sheet, running, rate, known / planned);
    Object.assign(this.evening, withDose(this.sheet, this.evening, running, dose));
  }

  thunderUntil() {
    return this.thunderLast + thunderWaitMin(this.sheet) * MINUTE_MS;
  }

  /** What falls: as tapped, else as the newest picture has it that is not too old. */
  rainAt(now) {
    if (this.rainTapped) return this.rainTapped;
    const pictures = [this.pictured, pictureOf(this.sheet.nowcast)].filter((it) => now <= it?.until);
    const [newest] = pictures.sort((a, b) => b.since - a.since);
    if (!newest) return { class: null, since: null, by: null };
    return { class: newest.class, since: newest.since, by: "picture" };
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
        // Nobody wants a second round of what was given up.
        if (this.setPlaces.has(`${event.set} again`)) now.skipped.add(this.setPlaces.get(`${event.set} again`));
        break;
      case "rain":
        if (!(Number.isInteger(event.class) && event.class >= 0 && event.class <= 3)) break;
        if (event.by === "picture") {
          const since = Math.min(at, Date.parse(event.issued) || at);
          const limit = pictureTooOldMin(event);
          this.pictured = { class: event.class, since, until: since + limit * MINUTE_MS };
        } else {
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
        now.isHairKnown = true;
        break;
      }
      case "cloth": {
        const look = this.lookPlaces.get(event.look);
        if (look === undefined) break;
        const levels = this.sheet.table?.looks?.[look]?.levels_g_m2 ?? [0];
        const limits = this.sheet.looks[look];
        now.lookDoses[look] = doseSeen(now.lookDoses[look], event.state, limits, levels);
        now.areLooksKnown[look] = true;
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
    const { pictured } = this;
    const rain = this.rainAt(now);
    const last = this.thunderLast;
    const thunder = last === null ? null : thunderClock(this.sheet, this.evening.spot, last, now);
    return { now, ...this.evening, rain, pictured, thunder };
  }
}
