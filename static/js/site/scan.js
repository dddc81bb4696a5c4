// Counts pieces by the code on their labels, where the browser can read codes; every browser can type the label.

const EVERY_MS = 250;
const REST_MS = 2500;

// "P07" of "P07", "p7", or of the address in a label's code; null where no row has it.
export function labelOf(root, text) {
  const address = /\/pieces\/(\d+)\/?$/.exec(text);
  if (address) return root.querySelector(`[data-subject="piece:${address[1]}"]`)?.dataset.label ?? null;
  const number = /^\s*p?\s*0*(\d{1,4})\s*$/i.exec(text);
  const label = number && `P${number[1].padStart(2, "0")}`;
  return label && root.querySelector(`[data-label="${label}"]`) ? label : null;
}

export function offerScanning(root, count) {
  const begin = root.querySelector("[data-scan]");
  if (!begin || !("BarcodeDetector" in globalThis) || !navigator.mediaDevices?.getUserMedia) return;
  const finder = root.querySelector("[data-viewfinder]");
  const video = finder.querySelector("video");
  let stream = null;
  const stop = () => {
    stream?.getTracks().forEach((track) => track.stop());
    stream = null;
    finder.hidden = true;
    begin.hidden = false;
  };
  begin.hidden = false;
  begin.addEventListener("click", async () => {
    try {
      stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
    } catch {
      root.querySelector("[data-count-said]").textContent = "The camera cannot be used: type the label instead.";
      return;
    }
    begin.hidden = true;
    finder.hidden = false;
    video.srcObject = stream;
    await video.play();
    look(new BarcodeDetector({ formats: ["qr_code"] }), video, () => stream, count);
  });
  root.querySelector("[data-scan-stop]").addEventListener("click", stop);
  addEventListener("pagehide", stop);
}

// The same label is not counted again while it stays in the picture.
async function look(detector, video, stream, count) {
  const seen = new Map();
  while (stream()) {
    for (const code of await detector.detect(video).catch(() => [])) {
      const last = seen.get(code.rawValue) ?? -Infinity;
      seen.set(code.rawValue, performance.now());
      if (performance.now() - last > REST_MS) await count(code.rawValue);
    }
    await new Promise((resolve) => setTimeout(resolve, EVERY_MS));
  }
}
