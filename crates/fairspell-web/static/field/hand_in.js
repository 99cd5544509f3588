// Handing the log in, and fetching the newest sheet, whenever there is a signal.

import { makeEvent, mergeLogs } from "./log.js";
import { skewOf } from "./time.js";

/** Longer than this an answer does not come any more. */
const PATIENCE_MS = 15_000;

/**
 * Hands in what the studio does not have, and takes what others have handed in.
 *
 * Resolves to `{state}`: "handed" with the answer's `skew` and `refused`, "offline", "sign-in" when
 * the studio wants to know who this is, "gone" when it has no such session, or "refused" when it
 * understands nothing of it. Nothing is ever lost by it: what is not handed stays kept. `now` is the phone's own clock, `clock` the same
 * put right by what is known of it.
 */
export async function handIn({ keep, online, digest, fetch, now, clock }) {
  const waiting = keep.notHanded();
  const sent = now();
  const body = JSON.stringify({
    form_word: online.form_word,
    sheet_digest: digest ?? "",
    sent_at: new Date(clock()).toISOString(),
    events: waiting,
  });
  const answer = await ask(fetch, online.log, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body,
  });
  if (answer.state !== "answered") return answer;
  const { kept = [], refused = [], events = [], server_now } = answer.json;
  const moved = giveWay(keep, events, clock());
  // Of an event that both have, the studio's is the one that counts: it may have put its time right.
  keep.put(mergeLogs(events));
  keep.markHanded([...kept, ...events.map((event) => event.id)]);
  const skew = server_now ? skewOf(server_now, sent, now()) : 0;
  return { state: "handed", skew, refused: refused.filter(({ id }) => !moved.has(id)) };
}

/**
 * A phone that was put back to an older state counts again from there, and its taps bear ids that the
 * studio has for others. It goes by a new name from then on, and its own taps with it, with what undid
 * them; they are handed in with the next round. Gives the ids under which the studio has others.
 */
function giveWay(keep, events, now) {
  const own = new Map(keep.notHanded().map((event) => [event.id, event]));
  const clashes = events.filter((event) => own.has(event.id) && !saysTheSame(own.get(event.id), event));
  const moved = new Map();
  if (clashes.length === 0) return moved;
  keep.renewDevice();
  const { device } = keep;
  let n = 0;
  for (const { id } of clashes) moved.set(id, `${device}-${(n += 1)}`);
  const of = (event) => (moved.has(event.of) ? { of: moved.get(event.of) } : {});
  for (const [id, fresh] of moved) {
    const event = own.get(id);
    keep.put([{ ...event, ...of(event), id: fresh, device, n: Number(fresh.slice(device.length + 1)) }]);
  }
  // An undo whose own id was free names what was moved by its old id, and the studio's event of that
  // id was not meant: it is itself undone, and one of the right event stands beside it.
  for (const event of own.values()) {
    if (event.kind !== "undo" || !moved.has(event.of) || moved.has(event.id)) continue;
    keep.put([
      makeEvent(device, (n += 1), Date.parse(event.at), "undo", of(event)),
      makeEvent(device, (n += 1), now, "undo", { of: event.id }),
    ]);
  }
  return moved;
}

/** Whether two events of one id are one: the studio may have put the time right. */
function saysTheSame(one, other) {
  const parts = ({ at, ...rest }) => JSON.stringify(Object.entries(rest).sort());
  return parts(one) === parts(other);
}

/** The newest sheet: "fetched" with `text` and `digest`, else as above. */
export async function fetchSheet({ online, fetch }) {
  const answer = await ask(fetch, online.sheet, { headers: { accept: "application/json" } });
  if (answer.state !== "answered") return answer;
  return { state: "fetched", text: answer.text, digest: answer.digest };
}

/** Ends a request that is not answered; older browsers lack the short way to say so. */
function patience() {
  if (AbortSignal.timeout) return AbortSignal.timeout(PATIENCE_MS);
  const controller = new AbortController();
  setTimeout(() => controller.abort(), PATIENCE_MS);
  return controller.signal;
}

async function ask(fetch, address, request) {
  let response;
  try {
    response = await fetch(address, {
      ...request,
      credentials: "same-origin",
      cache: "no-store",
      redirect: "manual",
      signal: patience(),
    });
  } catch {
    return { state: "offline" };
  }
  const isElsewhere = response.type === "opaqueredirect" || [302, 303, 307].includes(response.status);
  if (isElsewhere || [401, 403].includes(response.status)) return { state: "sign-in" };
  if (response.status >= 500) return { state: "offline" };
  if ([404, 410].includes(response.status)) return { state: "gone" };
  if (!response.ok) return { state: "refused" };
  try {
    const text = await response.text();
    const digest = response.headers.get("x-field-digest");
    return { state: "answered", text, digest, json: JSON.parse(text) };
  } catch {
    // Half an answer, or a page of somebody's café: the studio has not spoken.
    return { state: "offline" };
  }
}
