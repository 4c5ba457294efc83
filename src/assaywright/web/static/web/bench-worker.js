// Opens the bench pages when the server does not answer: from what this browser saw of them last.

const STORE = "assaywright-bench-1", PATIENCE_MS = 4_000;
const isBench = (url) => url.pathname === "/bench" || url.pathname.startsWith("/bench/");
const isShell = (url) => url.pathname.startsWith("/static/");

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
self.addEventListener("message", (event) => {
  if (event.data === "signed out") event.waitUntil(caches.delete(STORE));
  if (event.data.keep) event.waitUntil(keepAll(event.data.keep).then(() => event.ports[0].postMessage("kept")));
});

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== self.location.origin) return;
  if (isShell(url)) event.respondWith(fromServer(event.request));
  else if (isBench(url) && event.request.mode === "navigate") event.respondWith(fromServer(event.request));
});

// The page that asked came before this script, so that its parts are fetched once more.
async function keepAll(addresses) {
  const store = await caches.open(STORE);
  await Promise.all(addresses.map(async (address) => {
    if (isShell(new URL(address)) && await store.match(address)) return;
    const answer = await fetch(address);
    if (answer.ok && !answer.redirected) await store.put(address, answer);
  }));
}

async function fromServer(request) {
  const store = await caches.open(STORE);
  try {
    const answer = await fetch(request, { signal: AbortSignal.timeout(PATIENCE_MS) });
    if (answer.ok && !answer.redirected) await store.put(request, answer.clone());
    if (answer.status < 500) return answer;
    return (await store.match(request, { ignoreVary: true })) ?? answer;
  } catch (problem) {
    const kept = await store.match(request, { ignoreVary: true });
    if (kept) return kept;
    throw problem;
  }
}
