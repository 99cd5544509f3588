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
  // Whoever signs out leaves no names and numbers on this phone.
  if (request.method === "POST" && pathname === "/sign-out") {
    event.waitUntil(caches.delete(FIELD_PAGES));
  }
});

// A page that was opened before there was a worker asks to be kept, and is told whether it is.
self.addEventListener("message", (event) => {
  const { keep } = event.data ?? {};
  if (typeof keep !== "string" || !FIELD_PAGE.test(keep)) return;
  const answer = (isKept) => event.ports[0]?.postMessage(isKept);
  event.waitUntil(keepPage(keep).then(answer, () => answer(false)));
});

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

/** The studio's page where it answers in time, else the one kept from before. */
async function fieldPage(event, pathname) {
  const fresh = fetch(event.request).then(async (response) => {
    if (isPage(response)) {
      const pages = await caches.open(FIELD_PAGES);
      await pages.put(pathname, response.clone());
    }
    return response;
  });
  event.waitUntil(fresh.catch(() => {}));
  const kept = await (await caches.open(FIELD_PAGES)).match(pathname);
  if (!kept) return fresh;
  const late = new Promise((resolve) => setTimeout(resolve, PATIENCE_MS, null));
  const answer = await Promise.race([fresh.catch(() => null), late]);
  return !answer || answer.status >= 500 ? kept : answer;
}
