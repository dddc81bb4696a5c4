// Moves the focus to what the person has to read first: the list of mistakes above a form.
"use strict";

document.querySelector("[data-focus-first]")?.focus();
