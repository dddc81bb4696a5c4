// Asks the browser to keep the screen on, where its settings say so. The browser lets go whenever the page is hidden,
// so it is asked again whenever it is seen; only secure addresses have this.
"use strict";

(() => {
  let held = null;

  async function hold() {
    const isWanted = document.getElementById("wall")?.dataset.awake === "on";
    if (!isWanted || !("wakeLock" in navigator) || document.visibilityState !== "visible" || (held && !held.released)) {
      return;
    }
    try {
      held = await navigator.wakeLock.request("screen");
    } catch {
      held = null; // refused, as on a low battery: asked again when the page is next seen
    }
  }

  document.addEventListener("visibilitychange", hold);
  hold();
})();
