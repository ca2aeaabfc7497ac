// Keeps each page as it was last seen, so that a reload shows it while the bench cannot be reached. Browsers let a page
// have such a keeper on this computer itself only, not over plain http from another one.
const shelf = "handlot-pages-1";
const from_the_start = ["/", "/waits", "/lot", "/page/bench.css", "/page/icon.svg", "/page/bench.js", "/page/forms.js", "/page/keys.js", "/page/live.js",
  "/page/refresh.js", "/page/refusals.js", "/page/shelf.js", "/page/sound.js", "/page/waits.js"];
const kept = /^\/($|(lot|waits|kit|plan|record)$|step\/|unit\/\d+$|page\/|picture\/|sign\/)/;

const is_page = (answer) => answer.headers.get("Content-Type")?.startsWith("text/html");

/// A kept page says when it was taken: its waits go on from there.
async function keep(path, answer) {
  const store = await caches.open(shelf);
  if (!is_page(answer)) return store.put(path, answer);
  const text = (await answer.text()).replace('<main id="main"', `<main id="main" data-kept="${Date.now()}"`);
  return store.put(path, new Response(text, { headers: answer.headers }));
}

async function answer_to(event, path) {
  const { request } = event;
  try {
    const answer = await fetch(request);
    if (answer.status === 401 || answer.type === "opaqueredirect") await caches.delete(shelf);  // this screen may look no more
    else if (answer.ok && !answer.redirected) event.waitUntil(keep(path, answer.clone()));
    return answer;
  } catch (fault) {
    const asks_for_news = request.mode !== "navigate" && request.headers.get("Accept")?.includes("text/html");
    const old = asks_for_news ? null : await (await caches.open(shelf)).match(path);
    if (old) return old;
    if (request.mode === "navigate" && path !== "/") return Response.redirect("/");
    throw fault;
  }
}

async function begin() {
  for (const path of from_the_start) {
    const answer = await fetch(path, { headers: { Accept: "*/*" } });
    if (answer.ok && !answer.redirected) await keep(path, answer);
  }
  await self.skipWaiting();
}

self.addEventListener("install", (event) => event.waitUntil(begin()));
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== location.origin || url.search || !kept.test(url.pathname)) return;
  event.respondWith(answer_to(event, url.pathname));
});
