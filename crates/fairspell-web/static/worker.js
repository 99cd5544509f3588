// Shows a message from the studio, and opens it when tapped.

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
