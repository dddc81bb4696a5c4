// The site day on a phone. Each act is kept here first, then sent; without this file the forms of the page do it.

import { keepForm } from "./acts.js";
import { exportUnsent } from "./export.js";
import { makeReady, registerWorker, showReady } from "./ready.js";
import { offerScanning } from "./scan.js";
import { flush } from "./send.js";
import { show } from "./show.js";
import { allActs, forgetOld } from "./store.js";

const EVERY_MS = 30000;
const WHY = {
  "no signal": "no signal",
  "signed out": "sign in again to send",
  "somebody else": "they belong to somebody else, who has to sign in to send them",
};
const root = document.querySelector("[data-site]");
const site = root.dataset;
const now = { sending: new Set(), why: "", person: Number(site.person), made: Date.parse(site.made) };

async function draw() {
  show(root, await allActs(), now);
}

async function send() {
  const why = await flush(site, async (keys) => {
    now.sending = new Set(keys);
    await draw();
  });
  if (why === "busy") return;
  now.sending = new Set();
  now.why = WHY[why] ?? why;
  await draw();
}

async function act(tap) {
  const { form, values } = tap;
  const said = form.querySelector("[data-count-said]") ?? root.querySelector("[data-sum]");
  let mistake;
  try {
    mistake = await keepForm(root, tap);
  } catch (fault) {
    mistake = `Not kept: ${fault.message}`;
  }
  if (mistake) {
    said.textContent = mistake;
    return;
  }
  await draw();
  if ("count" in form.dataset) {
    said.textContent = `${(values?.label ?? tap.data.get("label")).trim().slice(-20)}: kept on this phone.`;
    form.elements.label.value = "";
  } else if (!form.closest("[data-subject]")) {
    form.reset();
    form.closest("details")?.removeAttribute("open");
  }
  send();
}

// One at a time, in the order of the taps.
let line = Promise.resolve();
function tapped(form, button, values) {
  const tap = { form, button, values, data: new FormData(form), at: new Date() };
  line = line.then(() => act(tap));
  return line;
}

root.addEventListener("submit", (event) => {
  if (!event.target.elements.key) return;
  event.preventDefault();
  tapped(event.target, event.submitter);
});

root.querySelector("[data-send]").addEventListener("click", send);
root.querySelector("[data-export]").addEventListener("click", exportUnsent);
root.querySelector("[data-make-ready]").addEventListener("click", () => makeReady(root));
for (const one of root.querySelectorAll("[data-keeping]")) one.hidden = false;
for (const one of root.querySelectorAll("[data-needs-scripts]")) one.hidden = false;
for (const one of root.querySelectorAll("[data-without-scripts]")) one.hidden = true;
addEventListener("online", send);
document.addEventListener("visibilitychange", () => {
  if (document.visibilityState === "visible") send();
});
setInterval(send, EVERY_MS);

addEventListener("beforeinstallprompt", (event) => {
  event.preventDefault();
  const button = root.querySelector("[data-install]");
  button.hidden = false;
  button.addEventListener("click", () => event.prompt(), { once: true });
});

const count = root.querySelector("[data-count]");
if (count) {
  offerScanning(root, (text) => tapped(count, null, { label: text }));
}

await forgetOld(Date.now());
await draw();
root.dataset.awake = "";
send();
await registerWorker(root, site).catch(() => {});
await showReady(root);
