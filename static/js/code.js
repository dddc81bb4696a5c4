// Takes a shown code off the screen when its time is up, or when the page is left. Without scripts the page goes on by
// itself (the Refresh header).
"use strict";

const box = document.querySelector("[data-vanishes]");
const left = document.querySelector("[data-left]");
const goneAt = Date.now() + 1000 * Number(box.dataset.seconds);

function takeAway() {
  box.replaceChildren("Gone.");
}

const clock = setInterval(() => {
  const seconds = Math.ceil((goneAt - Date.now()) / 1000);
  left.textContent = String(Math.max(0, seconds));
  if (seconds <= 0) {
    clearInterval(clock);
    takeAway();
    location.replace(box.dataset.leavesTo);
  }
}, 250);
addEventListener("pagehide", takeAway);
