// Sends what is kept, in order. Whether there is signal is asked of the workshop itself, not of the browser.

import { allActs, change, changePhotograph, deviceName, dropPhotograph, photographOf } from "./store.js";

const PROBE_MS = 3000;
const SEND_MS = 30000;
const MOST_ACTS = 20;
const PART_BYTES = 128 * 1024;
let busy = false;
let again = false;

async function ask(url, options = {}, patience = SEND_MS) {
  return fetch(url, {
    credentials: "same-origin",
    redirect: "manual",
    cache: "no-store",
    signal: AbortSignal.timeout(patience),
    ...options,
  });
}

// { person, name, token }, or { why }: "no signal" or "signed out".
export async function probe(site) {
  try {
    const answer = await ask(site.probe, {}, PROBE_MS);
    if (answer.ok) return await answer.json();
    const signedOut = answer.type === "opaqueredirect" || answer.status === 401 || answer.status === 403;
    return { why: signedOut ? "signed out" : "no signal" };
  } catch {
    return { why: "no signal" };
  }
}

// Resolves to what stopped it: "" when all is sent, else "no signal", "signed out" or "somebody else".
// `tell(keys)` is called with the keys of the acts that are being sent, and after each answer.
export async function flush(site, tell) {
  if (busy) {
    again = true;
    return "busy";
  }
  busy = true;
  try {
    if (!navigator.locks) return await sendAll(site, tell);
    // Another tab that is sending will send ours too.
    return await navigator.locks.request("site-send", { ifAvailable: true }, (lock) => (lock ? sendAll(site, tell) : "busy"));
  } finally {
    busy = false;
    if (again) {
      again = false;
      setTimeout(() => flush(site, tell), 0);
    }
  }
}

async function sendAll(site, tell) {
  let kept = await unsent();
  if (!kept.length) return "";
  const there = await probe(site);
  if (there.why) return there.why;
  const tried = new Set();
  for (;;) {
    const mine = kept.filter((act) => act.person === there.person && !tried.has(act.key));
    if (!mine.length) {
      if (kept.some((act) => act.person !== there.person)) return "somebody else";
      return kept.length ? "asked again soon" : "";
    }
    const batch = mine.slice(0, MOST_ACTS);
    batch.forEach((act) => tried.add(act.key));
    tell(batch.map((act) => act.key));
    let why = "";
    try {
      why = await sendBatch(site, there, batch);
    } catch {
      why = "no signal";
    }
    tell([]);
    if (why) return why;
    kept = await unsent();
  }
}

export async function unsent() {
  return (await allActs()).filter((act) => act.state === "kept");
}

async function sendBatch(site, there, batch) {
  const ready = [];
  for (const act of batch) {
    if (!act.photograph || (await sendPhotograph(site, there, act))) ready.push(act);
  }
  if (!ready.length) return "";
  const answer = await ask(site.acts, {
    method: "POST",
    headers: { "Content-Type": "application/json", "X-CSRFToken": there.token },
    body: JSON.stringify({
      device: await deviceName(),
      person: there.person,
      acts: ready.map(({ key, kind, commission, payload, happened_at }) => ({ key, kind, commission, payload, happened_at })),
    }),
  });
  if (answer.ok) return take(ready, (await answer.json()).results);
  if (answer.status === 400) return putAside(ready, await answer.json());
  return answer.type === "opaqueredirect" || answer.status === 403 ? "signed out" : "no signal";
}

async function take(acts, results) {
  const byKey = new Map(results.map((one) => [one.key, one]));
  for (const act of acts) {
    const result = byKey.get(act.key);
    if (!result || result.outcome === "later") continue;
    const state = result.outcome === "refused" ? "refused" : "sent";
    const { outcome, sentence, received_at } = result;
    await change({ ...act, state, outcome, sentence, received_at, sent_at: new Date().toISOString() });
    if (act.photograph) await dropPhotograph(act.photograph);
  }
  return "";
}

// The workshop cannot read one of the acts: that one is shown as not done, the others are told again.
async function putAside(acts, { key, sentence }) {
  const act = acts.find((one) => one.key === key);
  if (!act) return sentence || "no signal";
  await change({ ...act, state: "refused", outcome: "refused", sentence, sent_at: new Date().toISOString() });
  for (const other of acts) if (other !== act) again = true;
  return "";
}

// True once the workshop has the whole of it, or has said why it will not.
async function sendPhotograph(site, there, act) {
  const photograph = await photographOf(act.photograph);
  if (!photograph || photograph.whole) return true;
  const query = new URLSearchParams({
    commission: act.commission,
    purpose: photograph.purpose,
    size: photograph.data.size,
    taken_at: photograph.taken_at,
  });
  let offset = photograph.sent || 0;
  while (offset < photograph.data.size) {
    const answer = await ask(`${site.photographs}${photograph.key}/${offset}/?${query}`, {
      method: "PUT",
      headers: { "Content-Type": "application/octet-stream", "X-CSRFToken": there.token },
      body: photograph.data.slice(offset, offset + PART_BYTES),
    });
    if (answer.status === 422) break;
    if (answer.status !== 200 && answer.status !== 409) throw new Error("not taken");
    const { received } = await answer.json();
    if (answer.status === 409 && received === offset) throw new Error("no progress");
    offset = received;
    await changePhotograph({ ...photograph, sent: offset });
  }
  await changePhotograph({ ...photograph, sent: photograph.data.size, whole: true });
  return true;
}
