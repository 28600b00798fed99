// Shows what the desk tells while no page is open, and leads to the player's page when it is touched. It keeps nothing.

self.addEventListener("install", () => self.skipWaiting());

self.addEventListener("push", (event) => {
  const told = event.data ? event.data.json() : {};
  const notice = { body: told.body, lang: told.lang, tag: told.tag, data: { url: told.url } };
  event.waitUntil(self.registration.showNotification(told.title || "", notice));
});

self.addEventListener("notificationclick", (event) => {
  event.notification.close();
  const url = event.notification.data?.url || "/";
  event.waitUntil(open(url));
});

async function open(url) {
  const pages = await self.clients.matchAll({ type: "window", includeUncontrolled: true });
  const path = url.split("?")[0];
  const shown = pages.find((page) => new URL(page.url).pathname.startsWith(path));
  return shown ? shown.focus() : self.clients.openWindow(url);
}
