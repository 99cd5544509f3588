// What was known of the rain to come, and how much of it is still worth something.

import { pictureTooOldMin } from "./state.js";
import { MINUTE_MS } from "./units.js";

/**
 * How far a chance may be off, to either side: a little when fresh, more with every minute, because
 * a shower that was not there may have come. Our choice, to be put right by what was seen.
 */
const OFF_WHEN_FRESH = 0.05;
const OFF_A_MINUTE = 0.0075;

/**
 * The chance of getting wet within 15, 30 and 60 minutes, each between two bounds.
 *
 * The steps tell the chance at moments, not over a time. It is at least that of the wettest moment;
 * it would be that of "not dry at all of them" if showers had no memory. They have: the upper bound
 * lies midway. A time that the steps don't reach is `null`: not known, which is never dry.
 */
export function skyAhead(nowcast, now) {
  if (!nowcast) return null;
  const issued = Date.parse(nowcast.issued);
  const ageMin = Math.max(0, Math.floor((now - issued) / MINUTE_MS));
  const isTooOld = ageMin > pictureTooOldMin(nowcast);
  const within = (minutes) => {
    const until = now + minutes * MINUTE_MS;
    const steps = nowcast.steps.map((step) => ({ at: Date.parse(step.at), shares: step.shares }));
    const reach = steps.length > 0 ? steps[steps.length - 1].at : -Infinity;
    const ahead = steps.filter((step) => step.at > now && step.at <= until);
    const isKnown = ahead.every(({ shares }) => shares?.every?.((it) => Number.isFinite(it)));
    if (isTooOld || reach < until || ahead.length === 0 || !isKnown) return null;
    const wet = ahead.map(({ shares }) => 1 - shares[0]);
    const least = Math.max(...wet);
    const forgetful = 1 - wet.reduce((dry, p) => dry * (1 - p), 1);
    const off = OFF_WHEN_FRESH + OFF_A_MINUTE * ageMin;
    const high = Math.min(1, (least + forgetful) / 2 + off);
    return { low: Math.max(0, least - off), high };
  };
  const windows = [15, 30, 60].map((minutes) => ({ minutes, chance: within(minutes) }));
  return { issued, ageMin, isTooOld, source: nowcast.source, windows };
}
