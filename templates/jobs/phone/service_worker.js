{% autoescape off %}// Keeps the pages of the site day for a phone without signal. It keeps nothing by itself but the program's own files:
// the day's pages are put into DAY by the button "Make ready without signal" (static/js/site/ready.js).
"use strict";

const VERSION = "{{ version }}";
const SHELL = "site-shell-" + VERSION;
const DAY = "site-day";
const FILES = {{ files }};
const PAGE = /^\/site\/(?:\d+\/)?$/;
const PATIENCE_MS = 3000;
const LONGEST_MS = 48 * 3600 * 1000;

addEventListener("install", (event) => {
  event.waitUntil(caches.open(SHELL).then((cache) => cache.addAll(FILES)));
});

// Pages of the day name the files they were made with: those go once the pages have been fetched anew, not before.
addEventListener("activate", (event) => {
  event.waitUntil(fetchDayAnew().then(dropOldShells, () => {}));
});

async function fetchDayAnew() {
  const day = await caches.open(DAY);
  for (const { url } of await day.keys()) {
    const answer = await fetch(url, { cache: "no-store", credentials: "same-origin" });
    if (!answer.ok || answer.redirected) throw new Error(url);
    await day.put(new URL(url).pathname, answer);
  }
}

async function dropOldShells() {
  for (const name of await caches.keys()) {
    if (name.startsWith("site-shell-") && name !== SHELL) await caches.delete(name);
  }
}

addEventListener("message", (event) => {
  if (event.data === "take over") skipWaiting();
});

addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== location.origin) return;
  if (event.request.mode === "navigate") {
    if (PAGE.test(url.pathname)) event.respondWith(page(event.request, url.pathname));
  } else if (url.pathname.startsWith("/static/")) {
    event.respondWith(file(event.request, url.pathname));
  } else if (/^\/drawings\/\d+\//.test(url.pathname)) {
    event.respondWith(fetch(event.request).catch(() => kept(url.pathname)));
  }
});

async function file(request, path) {
  const found = (await (await caches.open(SHELL)).match(path)) || (await caches.match(path));
  return found || fetch(request);
}

// The workshop's own answer where it comes within three seconds, else what is kept.
async function page(request, path) {
  const patience = new AbortController();
  const timer = setTimeout(() => patience.abort(), PATIENCE_MS);
  try {
    const answer = await fetch(request, { signal: patience.signal });
    clearTimeout(timer); // an answer that has begun may take as long as it needs
    if (answer.ok && !answer.redirected) await renew(path, answer.clone());
    return answer;
  } catch {
    return kept(path);
  }
}

// A page that was made ready is kept in its newest state; one that was not is not kept.
async function renew(path, answer) {
  const day = await caches.open(DAY);
  if (await day.match(path)) await day.put(path, answer);
}

async function kept(path) {
  const found = await (await caches.open(DAY)).match(path);
  const made = found && Date.parse(found.headers.get("Date"));
  if (found && !(Date.now() - made > LONGEST_MS)) return found;
  return new Response(
    "<!DOCTYPE html><html lang=en-GB><meta charset=utf-8><meta name=viewport content='width=device-width'><title>No signal</title>" +
      "<h1>No signal</h1><p>This page was not made ready on this phone. <a href=/site/>Today on site</a></p>",
    { status: 503, headers: { "Content-Type": "text/html; charset=utf-8", "Content-Security-Policy": "default-src 'none'" } },
  );
}
{% endautoescape %}
