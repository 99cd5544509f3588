// The log of the evening: events that are only ever added, from one phone or several.

import { MINUTE_MS } from "./units.js";

/** A new event. `n` counts the device's events, so that its id is unique. */
export function makeEvent(device, n, at, kind, what = {}) {
  return { id: `${device}-${n}`, device, n, at: new Date(at).toISOString(), kind, ...what };
}

/** By time, then device, then number: the same order on every phone and on the server. */
export function inOrder(events) {
  const text = (a, b) => (a < b ? -1 : a > b ? 1 : 0);
  return [...events].sort(
    (a, b) => Date.parse(a.at) - Date.parse(b.at) || text(a.device, b.device) || a.n - b.n,
  );
}

/** The union by id. Of two with the same id that of the first list stays. */
export function mergeLogs(...lists) {
  const byId = new Map();
  for (const event of lists.flat()) if (!byId.has(event.id)) byId.set(event.id, event);
  return inOrder(byId.values());
}

/** The ids of what was undone; an undo that was itself undone undoes nothing. */
export function undoneIds(events) {
  const undos = new Map();
  for (const { kind, of, id } of events) {
    if (kind === "undo") undos.set(of, [...(undos.get(of) ?? []), id]);
  }
  // Two undos of each other, which no button makes, count as none.
  const isUndone = (id, within = new Set()) =>
    !within.has(id) &&
    (undos.get(id) ?? []).some((undo) => !isUndone(undo, new Set(within).add(id)));
  return new Set(events.map((event) => event.id).filter((id) => isUndone(id)));
}

/** What counts, in order: neither undone nor itself an undo. */
export function whatCounts(events) {
  const undone = undoneIds(events);
  return inOrder(events).filter((event) => event.kind !== "undo" && !undone.has(event.id));
}

/** Further ahead than clocks differ: a time that cannot be right. */
const AHEAD_MS = 5 * MINUTE_MS;

/**
 * Events with a time further ahead than clocks differ. They count when it has come; thunder counts as
 * soon as it is known.
 */
export function fromTheFuture(events, now) {
  return events.filter((event) => Date.parse(event.at) > now + AHEAD_MS);
}

/** The log as a text to be sent: a line for a person, and one for the studio. */
export function logAsText(line, session, digest, now, events) {
  const log = {
    fairspell_field_log: 1,
    session,
    sheet_digest: digest,
    written_at: new Date(now).toISOString(),
    events,
  };
  return `${line}\n${JSON.stringify(log)}`;
}
