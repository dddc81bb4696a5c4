// Keys of the wall pages: what bears a key (data-keys) is pressed by it. Only here, and only while the screen's
// settings allow it (WCAG 2.1.4). An open panel has the numbers for itself.
"use strict";

(() => {
  document.documentElement.classList.add("has-keys");

  function bearer(wall, key) {
    const found = [...wall.querySelectorAll("[data-keys]")].filter(
      (one) => one.dataset.keys.split(" ").includes(key) && one.getClientRects().length > 0,
    );
    const panel = wall.querySelector("[data-panel]");
    const inPanel = found.find((one) => panel?.contains(one));
    return inPanel ?? (panel && /^\d$/.test(key) ? undefined : found[0]);
  }

  addEventListener("keydown", (event) => {
    const wall = document.getElementById("wall");
    const isTaken = event.defaultPrevented || event.repeat || event.ctrlKey || event.altKey || event.metaKey;
    if (isTaken || wall?.dataset.shortcuts !== "on" || event.target.closest("input, select, textarea")) {
      return;
    }
    const one = bearer(wall, event.key === "Escape" ? "0" : event.key.toLowerCase());
    if (one) {
      event.preventDefault();
      one.click();
    }
  });
})();
