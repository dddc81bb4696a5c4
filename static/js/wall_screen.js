// Moves the line at once where a press of a button would otherwise ask the server. Arrow keys work in the number field.
"use strict";

(() => {
  const field = document.querySelector("[name=line_px]");
  const line = document.querySelector("[data-line]");
  const rule = document.querySelector("[data-rule]");

  function draw() {
    const long = Number(field.value);
    if (Number.isFinite(long) && long >= Number(field.min) && long <= Number(field.max)) {
      line.setAttribute("width", String(long));
    }
  }

  field.addEventListener("input", draw);
  for (const button of document.querySelectorAll("[data-move]")) {
    button.addEventListener("click", (event) => {
      event.preventDefault();
      const moved = Number(field.value) + Number(button.dataset.move);
      field.value = String(Math.min(Math.max(moved, Number(field.min)), Number(field.max)));
      draw();
    });
  }
  for (const choice of document.querySelectorAll("[name=rule_mm]")) {
    choice.addEventListener("change", () => {
      field.value = String(Math.round((Number(field.value) * Number(choice.value)) / Number(rule.textContent)));
      rule.textContent = choice.value;
      draw();
    });
  }
})();
