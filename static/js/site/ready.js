// Makes the day ready without signal: the program's files and the pages of the day are put into the phone's store.

import { fact, setFact } from "./store.js";
import { clock } from "./show.js";

const DAY = "site-day";

export async function registerWorker(root, site) {
  if (!("serviceWorker" in navigator)) return null;
  const registration = await navigator.serviceWorker.register(site.worker, { scope: site.scope });
  offerNewer(root, registration);
  return registration;
}

// A new version waits until the maker takes it: nothing changes under a hand that is typing.
function offerNewer(root, registration) {
  const line = root.querySelector("[data-newer]");
  const offer = () => {
    if (registration.waiting && navigator.serviceWorker.controller) line.hidden = false;
  };
  offer();
  registration.addEventListener("updatefound", () => registration.installing?.addEventListener("statechange", offer));
  let taken = false;
  line.querySelector("[data-take-newer]").addEventListener("click", () => {
    taken = true;
    registration.waiting?.postMessage("take over");
  });
  navigator.serviceWorker.addEventListener("controllerchange", () => {
    if (taken) location.reload();
  });
}

export async function makeReady(root) {
  const line = root.querySelector("[data-ready]");
  line.textContent = "Making ready …";
  try {
    await navigator.serviceWorker.ready;
    const addresses = [...new Set(root.dataset.pack.split(/\s+/).filter(Boolean))];
    const day = await caches.open(DAY);
    for (const address of addresses) {
      const answer = await fetch(address, { cache: "no-store", credentials: "same-origin" });
      if (!answer.ok || answer.redirected) throw new Error(address);
      await day.put(address, answer);
    }
    for (const request of await day.keys()) {
      if (!addresses.includes(new URL(request.url).pathname)) await day.delete(request);
    }
    await setFact("ready", { at: new Date().toISOString(), addresses });
    const lasting = await navigator.storage?.persist?.();
    await showReady(root);
    if (lasting === false) line.textContent += " This browser may clear it after some days without a visit: put the page on the home screen.";
  } catch {
    line.textContent = "Not ready: the workshop could not be reached. Try again where there is signal.";
  }
}

export async function showReady(root) {
  const line = root.querySelector("[data-ready]");
  const ready = await fact("ready");
  const here = ready?.addresses.includes(location.pathname) && (await caches.match(location.pathname));
  if (!here) return;
  const today = new Date(ready.at).toDateString() === new Date().toDateString();
  const day = today ? "" : `${new Date(ready.at).toLocaleDateString("en-GB", { weekday: "long" })} `;
  line.textContent = `Ready without signal, ${day}${clock(ready.at)}.`;
}
