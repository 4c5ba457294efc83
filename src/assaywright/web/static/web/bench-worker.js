// Opens the bench pages when the server does not answer: from what this browser saw of them last.

const STORE = "assaywright-bench-1", PATIENCE_MS = 4_000;
const isBench = (url) => url.pathname === "/bench" || url.pathname.startsWith("/bench/");
const isShell = (url) => url.pathname.startsWith("/static/");

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
self.addEventListener("message", (event) => {
  if (event.data === "signed out") event.waitUntil(caches.delete(STORE));
});

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== self.location.origin) return;
  if (isShell(url)) event.respondWith(fromServer(event.request));
  else if (isBench(url) && event.request.mode === "navigate") event.respondWith(fromServer(event.request));
});

async function fromServer(request) {
  const store = await caches.open(STORE);
  try {
    const answer = await fetch(request, { signal: AbortSignal.timeout(PATIENCE_MS) });
    if (answer.ok && !answer.redirected) await store.put(request, answer.clone());
    if (answer.status < 500) return answer;
    return (await store.match(request)) ?? answer;
  } catch (problem) {
    const kept = await store.match(request, { ignoreVary: true });
    if (kept) return kept;
    throw problem;
  }
}
