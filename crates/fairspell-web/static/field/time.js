// The phone's clock beside the studio's.

import { MINUTE_MS } from "./units.js";

/** What clocks may differ without anybody minding. */
const MOST_APART_MS = 2 * MINUTE_MS;

/**
 * How far the studio's clock is ahead of the phone's (ms), from an answer that took from `sent` to
 * `received` by the phone's clock. Small differences are none.
 */
export function skewOf(serverNow, sent, received) {
  const skew = Date.parse(serverNow) - (sent + received) / 2;
  return Math.abs(skew) > MOST_APART_MS ? Math.round(skew) : 0;
}

/**
 * The same from a sheet that may be hours old: it was made in the past, so a phone that is behind
 * it is behind the studio by at least so much. A phone that is ahead cannot be told from it.
 */
export function skewOfSheet(madeAt, phoneNow) {
  const behind = Date.parse(madeAt) - phoneNow;
  return behind > MOST_APART_MS ? behind : 0;
}

/**
 * The skew to begin with: what was `kept` from the last answer of the studio, and what the sheet shows
 * beyond it. Without it a phone whose clock is ahead would see its waits as over after a reload.
 */
export function skewAtStart(kept, madeAt, phoneNow) {
  return kept + skewOfSheet(madeAt, phoneNow + kept);
}

/** As long as an evening of the demo goes on. */
const DEMO_EVENING_MS = 360 * MINUTE_MS;

/**
 * What a sheet's own evening is away from the clock (ms): nothing, but in the demo. There each fresh
 * sheet is made later, as of the same moment; the evening that has begun goes on by the shift that
 * was `kept` when it did (`{as_of, shift}`).
 */
export function demoShift({ made_at, as_of }, kept, phoneNow) {
  const began = Date.parse(as_of);
  const shift = began - Date.parse(made_at);
  if (!(Math.abs(shift) > MOST_APART_MS)) return 0;
  const since = phoneNow + (kept?.shift ?? 0) - began;
  const goesOn = kept?.as_of === as_of && since >= 0 && since < DEMO_EVENING_MS;
  return goesOn ? kept.shift : shift;
}

/** Events that were written before the skew was known, with their times put right. */
export function putRight(events, byMs) {
  return events.map((event) => ({
    ...event,
    at: new Date(Date.parse(event.at) + byMs).toISOString(),
  }));
}
