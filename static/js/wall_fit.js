// Shows as many whole rows as the screen holds and says how many do not; nothing is cut off. Without scripts all rows
// are there and the page scrolls. The number keys go to the first nine rows shown.
"use strict";

(() => {
  const KEYS = 9;
  const isWide = matchMedia("(min-width: 60rem)");
  let first = 0;

  function show(rows, room) {
    let shown = 0;
    rows.forEach((row, place) => {
      row.hidden = place < first;
    });
    const top = rows[first].getBoundingClientRect().top;
    for (let place = first; place < rows.length; place += 1) {
      const isIn = rows[place].getBoundingClientRect().bottom - top <= room || place === first;
      if (!isIn) {
        for (const row of rows.slice(place)) {
          row.hidden = true;
        }
        break;
      }
      shown += 1;
    }
    return shown;
  }

  function number(rows, shown) {
    rows.forEach((row, place) => {
      const key = place >= first && place < first + Math.min(shown, KEYS) ? String(place - first + 1) : "";
      const link = row.querySelector("[data-keys]");
      link.dataset.keys = key;
      link.querySelector("kbd").textContent = key;
    });
  }

  function say(wall, before, after) {
    const later = wall.querySelector("#later");
    const count = after + Number(later.dataset.later);
    later.textContent = [count ? `and ${count} later` : "", before ? `${before} before` : ""].filter(Boolean).join(", ");
    later.hidden = !later.textContent;
    const next = wall.querySelector(".next-rows");
    if (next) {
      next.hidden = before + after === 0;
    }
  }

  function fit() {
    const wall = document.getElementById("wall");
    const rows = [...wall.querySelectorAll("[data-row]")];
    if (rows.length === 0) {
      return;
    }
    if (first >= rows.length) {
      first = 0;
    }
    if (!isWide.matches) {
      first = 0;
      for (const row of rows) {
        row.hidden = false;
      }
      number(rows, rows.length);
      say(wall, 0, 0);
      return;
    }
    // The bar may grow by one line once it says how many are later: it is asked for that first.
    say(wall, first, 1);
    const bar = wall.querySelector(".wall-bar");
    for (const row of rows) {
      row.hidden = false;
    }
    const table = wall.querySelector("tbody").getBoundingClientRect().top + scrollY;
    const room = innerHeight - bar.offsetHeight - table - 4;
    let shown = show(rows, room);
    // Not even one row: the foot then lies below it instead of over it, and the page scrolls.
    wall.classList.toggle("is-cramped", rows[first].offsetHeight > room);
    const picked = rows.findIndex((row) => row.classList.contains("picked"));
    if (picked >= 0 && (picked < first || picked >= first + shown)) {
      first = picked;
      shown = show(rows, room);
    }
    number(rows, shown);
    say(wall, first, rows.length - first - shown);
  }

  function next() {
    const rows = [...document.querySelectorAll("#wall [data-row]")];
    const shown = rows.filter((row) => !row.hidden).length;
    first += Math.min(shown, KEYS);
    if (first >= rows.length) {
      first = 0;
    }
    fit();
  }

  addEventListener("click", (event) => {
    if (event.target.closest("[data-next-rows]")) {
      next();
    }
  });
  addEventListener("resize", fit);
  addEventListener("wall:new", fit);
  addEventListener("wall:left", () => {
    first = 0;
  });
  fit();
  document.fonts?.ready.then(fit);
})();
