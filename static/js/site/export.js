// What is unsent, as one file that any program can read: the way out when a phone will not find signal.

import { unsent } from "./send.js";
import { photographOf } from "./store.js";

export async function exportUnsent() {
  const acts = [];
  for (const act of await unsent()) {
    const photograph = act.photograph && (await photographOf(act.photograph));
    acts.push({ ...act, photograph_jpeg_base64: photograph ? await base64(photograph.data) : undefined });
  }
  const text = JSON.stringify({ what: "site acts kept on a phone and not sent", written_at: new Date().toISOString(), acts }, null, 1);
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([text], { type: "application/json" }));
  link.download = `unsent-${new Date().toISOString().slice(0, 10)}.json`;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
}

async function base64(blob) {
  const url = await new Promise((resolve, reject) => {
    const reader = new FileReader();
    reader.onload = () => resolve(reader.result);
    reader.onerror = () => reject(reader.error);
    reader.readAsDataURL(blob);
  });
  return url.slice(url.indexOf(",") + 1);
}
