// Answers where there is no signal: pages that were seen, and what they are drawn with. KEPT is written before this by the server.

const SHELL = "sillbook-shell";
const PAGES = "sillbook-pages";
const MOST_PAGES = 150;
const PATIENCE_MS = 6000; // one bar of signal in a cellar is worse than none

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(SHELL).then((shell) => shell.addAll(KEPT)).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    const shell = await caches.open(SHELL);
    const wanted = new Set(KEPT.map((path) => new URL(path, location.origin).href));
    for (const request of await shell.keys()) if (!wanted.has(request.url)) await shell.delete(request);
    await self.clients.claim();
  })());
});

async function trim(pages) {
  const keys = await pages.keys();
  for (const request of keys.slice(0, Math.max(0, keys.length - MOST_PAGES))) await pages.delete(request);
}

async function page(event) {
  const pages = await caches.open(PAGES);
  const slow = new Promise((resolve) => setTimeout(resolve, PATIENCE_MS));
  const asked = fetch(event.request).then(async (answer) => {
    if (answer.status === 200 && !answer.redirected && answer.headers.get("Content-Type")?.startsWith("text/html")) {
      await pages.put(event.request, answer.clone());
      await trim(pages);
    }
    return answer;
  });
  asked.catch(() => {});
  try {
    const answer = await Promise.race([asked, slow]);
    if (answer) return answer;
    return (await pages.match(event.request)) ?? (await asked);
  } catch {
    return (await pages.match(event.request, { ignoreSearch: false }))
      ?? (await pages.match(event.request, { ignoreSearch: true }))
      ?? (await (await caches.open(SHELL)).match("/outbox"));
  }
}

async function picture(request) {
  const pages = await caches.open(PAGES);
  const before = await pages.match(request);
  if (before) return before;
  const answer = await fetch(request);
  if (answer.ok) await pages.put(request, answer.clone());
  return answer;
}

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== location.origin) return;
  if (url.pathname.startsWith("/r/")) return; // what a link shows ends with it
  if (event.request.mode === "navigate") { event.respondWith(page(event)); return; }
  if (url.pathname.startsWith("/static/")) {
    event.respondWith(caches.match(event.request).then((kept) => kept ?? fetch(event.request)));
    return;
  }
  if (/^\/photos\/\d+\/thumb/.test(url.pathname)) event.respondWith(picture(event.request));
});
