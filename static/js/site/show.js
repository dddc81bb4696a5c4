// What is kept on this phone and how far it has come, in words; and the rows of the page as they now stand.

const DAY_MS = 24 * 3600 * 1000;

export function clock(iso) {
  return new Date(iso).toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
}

export function stateWords(act, sending) {
  if (sending.has(act.key)) return "Sending";
  if (act.state === "kept") return "Kept on this phone";
  if (act.state === "refused") return `▲ Not done, ${clock(act.sent_at)}: ${act.sentence}`;
  const remark = act.outcome === "done" ? "" : ` ${act.sentence}`;
  return `Sent ${clock(act.sent_at)}.${remark}`;
}

// All of it anew from what is kept: nothing is remembered between two drawings.
export function show(root, acts, { sending, why, person, made }) {
  drawList(root, acts, sending);
  drawSum(root, acts, sending, why);
  drawOld(root, acts);
  const here = acts.filter((act) => act.commission === Number(root.dataset.commission) && act.person === person);
  const newer = here.filter((act) => act.state === "kept" || Date.parse(act.received_at ?? act.sent_at) > made);
  for (const act of newer) drawRow(root, act, sending);
  drawBar(root);
  drawPieces(root);
}

function drawList(root, acts, sending) {
  const list = root.querySelector("[data-told]");
  list.replaceChildren(
    ...[...acts].reverse().slice(0, 60).map((act) => {
      const line = document.createElement("li");
      const words = document.createElement("strong");
      words.textContent = `${clock(act.happened_at)} ${act.words}: `;
      const state = document.createElement("span");
      state.textContent = stateWords(act, sending);
      state.className = act.state === "refused" ? "late" : "";
      state.dataset.state = sending.has(act.key) ? "sending" : act.state;
      line.append(words, state);
      return line;
    }),
  );
}

function drawSum(root, acts, sending, why) {
  const kept = acts.filter((act) => act.state === "kept").length;
  const sent = acts.filter((act) => act.state === "sent").at(-1);
  const refused = acts.filter((act) => act.state === "refused").length;
  const words = [];
  if (sending.size) words.push(`Sending ${sending.size}.`);
  else if (kept) words.push(`${kept} kept on this phone${why ? `: ${why}` : ""}.`);
  else if (sent) words.push(`Sent ${clock(sent.sent_at)}.`);
  else words.push("Nothing waits on this phone.");
  if (refused) words.push(`▲ ${refused} not done.`);
  const sum = root.querySelector("[data-sum]");
  if (sum.textContent !== words.join(" ")) sum.textContent = words.join(" ");
  root.querySelector("[data-send]").hidden = !kept;
  root.querySelector("[data-export]").hidden = !kept;
}

function drawOld(root, acts) {
  const old = acts.find((act) => act.state === "kept" && Date.now() - Date.parse(act.happened_at) > DAY_MS);
  const line = root.querySelector("[data-old]");
  line.hidden = !old;
  if (old) line.textContent = "▲ Something on this phone has waited for more than a day. Find signal and press Send now, or export it.";
}

function drawRow(root, act, sending) {
  for (const row of root.querySelectorAll(`[data-subject="${CSS.escape(act.subject)}"]`)) {
    const mark = row.querySelector("[data-mark]");
    if (act.state !== "refused" && act.outcome !== "overtaken") {
      row.dataset.state = act.gives;
      const now = row.querySelector("[data-now]");
      if (now) now.textContent = `${act.done}, ${clock(act.happened_at)}`;
      for (const button of row.querySelectorAll("button[data-when]")) {
        button.hidden = !button.dataset.when.split(" ").includes(act.gives);
      }
    }
    if (mark) mark.textContent = stateWords(act, sending);
  }
}

function drawBar(root) {
  const rows = [...root.querySelectorAll("[data-bar-steps] > li")];
  const next = rows.find((row) => row.dataset.state !== "finished");
  for (const row of rows) row.hidden = row !== next;
}

function drawPieces(root) {
  const rows = [...root.querySelectorAll("[data-pieces] > [data-subject]")];
  const sum = root.querySelector("[data-piece-sum]");
  if (!sum) return;
  const inRoom = rows.filter((row) => row.dataset.state === "in_room").length;
  const inVan = rows.filter((row) => row.dataset.state === "loaded").length;
  sum.textContent = `${inRoom} of ${rows.length} in the room, ${inVan} in the van.`;
}
