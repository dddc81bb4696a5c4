// A form that was sent becomes an act: kept on this phone first, whatever the signal.

import { keep, newKey } from "./store.js";
import { cameraTime, scaled } from "./photograph.js";
import { labelOf } from "./scan.js";

const NOT_PAYLOAD = new Set(["csrfmiddlewaretoken", "key", "act", "picture"]);

// Keeps the act; resolves to a sentence where it cannot be kept as it is, else "".
// `data` and `at` are of the moment of the tap.
export async function keepForm(root, { form, button, data, at, values = {} }) {
  const [kind, query] = (button?.name === "act" ? button.value : data.get("act")).split("?");
  const payload = Object.fromEntries(new URLSearchParams(query));
  for (const [name, value] of data) if (!NOT_PAYLOAD.has(name)) payload[name] = value;
  Object.assign(payload, values);
  let row = form.closest("[data-subject]");
  if (kind === "tick_piece" && "label" in payload) {
    const label = labelOf(root, payload.label);
    if (!label) return `No piece of this commission has the label ${payload.label.slice(0, 60)}; write it as P07.`;
    payload.label = label;
    row = root.querySelector(`[data-label="${label}"]`);
  }
  if (form.dataset.subjectOf) row = root.querySelector(`[data-subject="${form.dataset.subjectOf}:${payload.door}"]`);
  const act = {
    key: newKey(),
    person: Number(root.dataset.person),
    commission: Number(root.dataset.commission),
    kind,
    payload,
    happened_at: at.toISOString(),
    state: "kept",
    subject: row?.dataset.subject ?? "",
    ...wordsOf(row, form, button, payload),
  };
  const picture = data.get("picture");
  let photograph = null;
  if (picture?.size) {
    if (form.dataset.reads === "time") {
      payload.noted_at = ((await cameraTime(picture)) ?? new Date(picture.lastModified)).toISOString();
      payload.source = "photograph";
    } else {
      photograph = { key: newKey(), purpose: payload.purpose || "work", ...(await scaled(picture)) };
      act.photograph = payload.photograph = photograph.key;
    }
  }
  if (form.dataset.reads === "time" && !payload.noted_at) payload.noted_at = act.happened_at;
  await keep(act, photograph);
  return "";
}

function wordsOf(row, form, button, payload) {
  const counted = { loaded: "in the van", in_room: "in the room" }[payload.stage];
  const done = button?.dataset.done ?? counted ?? verdictOf(form) ?? form.dataset.done ?? "done";
  const gives = button?.dataset.gives ?? payload.stage ?? form.dataset.gives ?? "";
  const name = row?.querySelector("strong")?.textContent;
  const detail = payload.place ?? payload.words ?? "";
  return { done, gives, words: [name ?? form.dataset.done, name ? done : detail].filter(Boolean).join(": ") };
}

function verdictOf(form) {
  return form.querySelector("[name=verdict]:checked")?.labels[0]?.textContent.trim();
}
