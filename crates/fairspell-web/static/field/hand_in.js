// Handing the log in, and fetching the newest sheet, whenever there is a signal.

import { mergeLogs } from "./log.js";
import { skewOf } from "./time.js";

/** Longer than this an answer does not come any more. */
const PATIENCE_MS = 15_000;

/**
 * Hands in what the studio does not have, and takes what others have handed in.
 *
 * Resolves to `{state}`: "handed" with the answer's `skew` and `refused`, "offline", "sign-in" when
 * the studio wants to know who this is, or "refused" when it understands nothing of it. Nothing is
 * ever lost by it: what is not handed stays kept. `now` is the phone's own clock, `clock` the same
 * put right by what is known of it.
 */
export async function handIn({ keep, online, digest, fetch, now, clock }) {
  const waiting = keep.notHanded();
  const sent = now();
  const body = JSON.stringify({
    form_word: online.form_word,
    sheet_digest: digest,
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
  // Of an event that both have, the studio's is the one that counts: it may have put its time right.
  keep.put(mergeLogs(events));
  keep.markHanded([...kept, ...events.map((event) => event.id)]);
  const skew = server_now ? skewOf(server_now, sent, now()) : 0;
  return { state: "handed", skew, refused };
}

/** The newest sheet: "fetched" with `text` and `digest`, else as above. */
export async function fetchSheet({ online, fetch }) {
  const answer = await ask(fetch, online.sheet, { headers: { accept: "application/json" } });
  if (answer.state !== "answered") return answer;
  return { state: "fetched", text: answer.text, digest: answer.digest };
}

async function ask(fetch, address, request) {
  let response;
  try {
    response = await fetch(address, {
      ...request,
      credentials: "same-origin",
      cache: "no-store",
      redirect: "manual",
      signal: AbortSignal.timeout(PATIENCE_MS),
    });
  } catch {
    return { state: "offline" };
  }
  const isElsewhere = response.type === "opaqueredirect" || [302, 303, 307].includes(response.status);
  if (isElsewhere || [401, 403].includes(response.status)) return { state: "sign-in" };
  if (response.status >= 500) return { state: "offline" };
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
