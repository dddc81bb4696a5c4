// Keeps the wall true: asks the server every minute for what stands on it, and says in words since when it has had no
// answer. Presses go the same way, so that the screen never goes white between two pages.
"use strict";

(() => {
  const EVERY_MS = 60000;
  const AGAIN_MS = 15000;
  const WAITS_MS = 5000;
  const LEFT_ALONE_MS = 120000;
  let isBusy = false;
  let touchedAt = Date.now();
  let timer;

  const wallNow = () => document.getElementById("wall");

  function part(address) {
    const url = new URL(address, location.href);
    url.searchParams.set("part", "1");
    return url;
  }

  function put(text) {
    const fresh = new DOMParser().parseFromString(text, "text/html").getElementById("wall");
    if (!fresh) {
      location.reload(); // signed out, or taken off the list of screens: nothing of it may stay here
      return;
    }
    const focused = document.activeElement?.id;
    const hadFocus = wallNow().contains(document.activeElement);
    wallNow().replaceWith(document.adoptNode(fresh));
    dispatchEvent(new Event("wall:new"));
    if (hadFocus) {
      const again = (focused && document.getElementById(focused)) || document.getElementById("panel-title");
      again?.focus({ preventScroll: true });
    }
    leaveUndo();
  }

  function lost() {
    const clock = wallNow().querySelector("[data-clock]");
    clock.textContent = `No connection since ${clock.dataset.clock} – showing what I knew`;
    clock.classList.add("late");
    clock.setAttribute("role", "status");
  }

  async function ask(address, options = {}) {
    isBusy = true;
    try {
      const answer = await fetch(address, { ...options, signal: AbortSignal.timeout(WAITS_MS) });
      if (!answer.ok) {
        throw new Error(String(answer.status));
      }
      put(await answer.text());
      return answer;
    } catch {
      lost();
      return null;
    } finally {
      isBusy = false;
      wallNow().classList.remove("is-busy");
    }
  }

  function leaveUndo() {
    const box = document.getElementById("undo-box");
    if (box) {
      setTimeout(() => {
        if (!box.isConnected) {
          return;
        }
        const url = new URL(location.href);
        url.searchParams.delete("undo");
        history.replaceState(null, "", url);
        const hadFocus = box.contains(document.activeElement);
        box.remove();
        if (hadFocus) {
          document.getElementById("panel-title")?.focus({ preventScroll: true });
        }
        dispatchEvent(new Event("wall:new"));
      }, 1000 * Number(box.dataset.goesAfterS));
    }
  }

  async function minute() {
    clearTimeout(timer);
    let answer = true;
    if (!isBusy && wallNow().dataset.refreshes === "on") {
      if (location.search && Date.now() - touchedAt > LEFT_ALONE_MS) {
        history.replaceState(null, "", location.pathname);
        dispatchEvent(new Event("wall:left"));
      }
      answer = await ask(part(location.href));
    }
    timer = setTimeout(minute, answer ? EVERY_MS : AGAIN_MS);
  }

  function press(one) {
    if (isBusy) {
      return false;
    }
    touchedAt = Date.now();
    wallNow().classList.add("is-busy");
    one.closest("tr")?.classList.add("pressed");
    one.classList.add("pressed");
    return true;
  }

  // After the next frame: the press is seen first, and what it does comes after.
  const afterFrame = (work) => requestAnimationFrame(() => setTimeout(work));

  addEventListener("click", (event) => {
    const link = event.target.closest("#wall a[data-swap]");
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey) {
      return;
    }
    event.preventDefault();
    if (press(link)) {
      afterFrame(async () => {
        if (await ask(part(link.href))) {
          history.replaceState(null, "", link.href);
          document.getElementById("panel-title")?.focus({ preventScroll: true });
        }
      });
    }
  });

  addEventListener("submit", (event) => {
    const form = event.target.closest("#wall form");
    if (!form) {
      return;
    }
    event.preventDefault();
    if (press(form.querySelector("button"))) {
      afterFrame(async () => {
        const answer = await ask(form.action, { method: "POST", body: new FormData(form) });
        if (answer) {
          history.replaceState(null, "", answer.url);
          document.getElementById("panel-title")?.focus({ preventScroll: true });
        }
      });
    }
  });

  addEventListener("keydown", () => {
    touchedAt = Date.now();
  });
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible") {
      minute();
    }
  });
  leaveUndo();
  timer = setTimeout(minute, EVERY_MS);
})();
