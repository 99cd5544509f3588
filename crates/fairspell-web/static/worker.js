// Shows a message from the studio, and opens it when tapped; keeps field sheets for where there is
// no signal.

self.addEventListener("push", (event) => {
  const message = event.data ? event.data.json() : {};
  event.waitUntil(
    self.registration.showNotification("Fairspell", {
      body: message.text ?? "",
      tag: message.tag,
      data: { path: message.path ?? "/" },
    }),
  );
});

self.addEventListener("notificationclick", (event) => {
  event.notification.close();
  const address = new URL(event.notification.data.path, self.location.origin).href;
  event.waitUntil(self.clients.openWindow(address));
});

/** The only pages that are kept: a field sheet carries all that it needs. */
const FIELD_PAGE = /^\/sessions\/[^/]+\/field$/;
const FIELD_PAGES = "field-pages";

/** In the field nobody waits longer for a signal that comes and goes. */
const PATIENCE_MS = 3000;

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

self.addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.mode !== "navigate") return;
  const { origin, pathname } = new URL(request.url);
  if (origin !== self.location.origin) return;
  if (request.method === "GET" && FIELD_PAGE.test(pathname)) {
    event.respondWith(fieldPage(event, pathname));
  }
  if (request.method === "POST" && pathname === "/sign-out") event.respondWith(signOut(request));
});

/** Whoever signs out leaves no names and numbers on this phone. */
async function signOut(request) {
  const response = await fetch(request);
  // The studio sends those who are signed out elsewhere; whoever stays keeps the sheets.
  if (response.type !== "opaqueredirect" && !response.redirected) return response;
  await caches.delete(FIELD_PAGES);
  for (const client of await self.clients.matchAll()) client.postMessage({ signedOut: true });
  return forgettingPage(null, "/sign-in");
}

/**
 * A page that takes what the phone keeps of a session, or of all, out of its storage, which no worker
 * can reach, and goes on to `next`. The keys are those of `field/keep.js`. Taps that the studio does
 * not have stay.
 */
function forgettingPage(session, next) {
  const text = (value) => JSON.stringify(value).replaceAll("<", "\\u003c");
  const script = `(${forget})(localStorage, ${text(session)});`;
  const go = `location.replace(${text(next)});`;
  const html = `<!doctype html><meta charset="utf-8"><title>Fairspell</title>
<script>try { ${script} } finally { ${go} }</script>`;
  return new Response(html, { headers: { "content-type": "text/html; charset=utf-8" } });
}

function forget(storage, session) {
  const keys = Array.from({ length: storage.length }, (_, place) => storage.key(place));
  const isOf = (key) => session === null || key.split("/")[1] === session;
  const marks = keys.filter((key) => key.startsWith("fairspell-field-handed/") && isOf(key));
  for (const key of marks) storage.removeItem(key.replace("fairspell-field-handed/", "fairspell-field/"));
  const kept = ["fairspell-field-sheet/", "fairspell-field-sets/", "fairspell-field-shift/"];
  const others = keys.filter((key) => kept.some((it) => key.startsWith(it)) && isOf(key));
  for (const key of [...marks, ...others]) storage.removeItem(key);
}

// A page that was opened before there was a worker asks to be kept, and is told whether it is; one
// whose session the studio does not have asks to be dropped.
self.addEventListener("message", (event) => {
  const { keep, drop } = event.data ?? {};
  if (typeof drop === "string" && FIELD_PAGE.test(drop)) event.waitUntil(dropPage(drop));
  if (typeof keep !== "string" || !FIELD_PAGE.test(keep)) return;
  const answer = (isKept) => event.ports[0]?.postMessage(isKept);
  event.waitUntil(keepPage(keep).then(answer, () => answer(false)));
});

async function dropPage(pathname) {
  const pages = await caches.open(FIELD_PAGES);
  return pages.delete(pathname);
}

async function keepPage(pathname) {
  const pages = await caches.open(FIELD_PAGES);
  if (await pages.match(pathname)) return true;
  const response = await fetch(pathname, { credentials: "same-origin" });
  if (!isPage(response)) return false;
  await pages.put(pathname, response);
  return true;
}

/** Only the page itself is kept: no redirect to signing in, no error. */
function isPage(response) {
  return response.status === 200 && !response.redirected;
}

/** The studio has no such session, or no longer. */
function isGone(response) {
  return [404, 410].includes(response.status);
}

/** The studio's page where it answers in time, else the one kept from before. */
async function fieldPage(event, pathname) {
  const fresh = fetch(event.request).then(async (response) => {
    if (isPage(response)) {
      const pages = await caches.open(FIELD_PAGES);
      await pages.put(pathname, response.clone());
    }
    if (isGone(response)) await dropPage(pathname);
    return response;
  });
  event.waitUntil(fresh.catch(() => {}));
  const kept = await (await caches.open(FIELD_PAGES)).match(pathname);
  if (!kept) return fresh;
  const late = new Promise((resolve) => setTimeout(resolve, PATIENCE_MS, null));
  const answer = await Promise.race([fresh.catch(() => null), late]);
  if (answer && isGone(answer)) {
    // The phone forgets the session, and then asks again.
    return forgettingPage(decodeURIComponent(pathname.split("/")[2]), pathname);
  }
  return !answer || answer.status >= 500 ? kept : answer;
}
