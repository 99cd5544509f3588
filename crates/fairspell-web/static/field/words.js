// Words come with the sheet; here they are only filled in.

import { MINUTE_MS } from "./units.js";

/** A template with every {name} replaced by its value. */
export function fill(template, values) {
  return template.replace(/\{(\w+)\}/g, (whole, name) => String(values[name] ?? whole));
}

/**
 * What says a thing: `say(key, values)`. A word that is missing shows as its key, which is ugly but
 * leaves every button where it is.
 */
export function speaker(words) {
  return (key, values = {}) => fill(words?.[key] ?? key, values);
}

/** Of two words that for where the light ends a session, or that for where it ends as agreed. */
export function byEnd({ ends_by }, light, agreed) {
  return ends_by === "agreed" ? agreed : light;
}

/** The first letter large, where a line begins with a name. */
export function capital(text) {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** A moment (ms) as the clock on the studio's wall shows it. */
export function wallClock(ms, offsetMin) {
  const wall = new Date(ms + offsetMin * MINUTE_MS);
  const two = (number) => String(number).padStart(2, "0");
  return `${two(wall.getUTCHours())}:${two(wall.getUTCMinutes())}`;
}

/**
 * A spell of seconds as one says it: to the second while it is short, else rounded down to five, else
 * in minutes. Always down, because it is what can still be used.
 */
export function spell(say, seconds) {
  if (seconds < 20) return say("seconds", { n: Math.floor(seconds) });
  if (seconds < 180) return say("seconds", { n: 5 * Math.floor(seconds / 5) });
  if (seconds < 3600) return say("minutes", { n: Math.floor(seconds / 60) });
  return say("more_than_an_hour");
}

/** A chance between two bounds (0 to 1), in tenths, widened outward to whole ones. */
export function chanceWords(say, low, high) {
  const from = Math.floor(low * 10 + 1e-9);
  const to = Math.ceil(high * 10 - 1e-9);
  if (from <= 0 && to >= 10) return say("chance_any");
  if (from <= 0) return say("chance_up_to", { to });
  if (to >= 10) return say("chance_from", { from });
  return from === to ? say("chance_one", { from }) : say("chance_between", { from, to });
}
