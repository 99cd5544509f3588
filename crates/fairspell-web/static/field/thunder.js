// The clock that thunder starts, and where to go meanwhile.

import { MINUTE_MS } from "./units.js";

/** Minutes from the last thunder, whatever a sheet says that somebody changed. */
const THUNDER_WAIT_MIN = 30;

/** How long nobody goes out after thunder, minutes: the sheet may ask for longer, never for less. */
export function thunderWaitMin(sheet) {
  const wait = sheet.thunder?.wait_min;
  return Number.isFinite(wait) ? Math.max(THUNDER_WAIT_MIN, wait) : THUNDER_WAIT_MIN;
}

/** Minutes from spot to spot, either way; `null` where nobody has walked it. */
export function walkMinutes(sheet, from, to) {
  if (from === to) return 0;
  const spot = (id) => sheet.spots.find((it) => it.id === id);
  return spot(from)?.walks_min?.[to] ?? spot(to)?.walks_min?.[from] ?? null;
}

/** The refuge that is reached first: only what the spots call one, never a porch or a shed. */
export function nearestRefuge(sheet, spot) {
  const ways = sheet.spots.flatMap(({ id, name, refuge }) => {
    const walk = walkMinutes(sheet, spot, id);
    if (!refuge || walk === null) return [];
    return [{ name: refuge.name, at: name, minutes: walk + refuge.minutes }];
  });
  return ways.sort((a, b) => a.minutes - b.minutes)[0] ?? null;
}

/** How it stands after thunder last heard at `last`; every further rumble starts it again. */
export function thunderClock(sheet, spot, last, now) {
  const until = last + thunderWaitMin(sheet) * MINUTE_MS;
  const light = Math.floor((Date.parse(sheet.last_light) - until) / MINUTE_MS);
  return {
    last,
    until,
    isOn: now < until,
    lightLeftMin: light > 0 ? light : null,
    refuge: nearestRefuge(sheet, spot),
  };
}
