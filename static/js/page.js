// Moves the focus to what the person has to read first: the list of mistakes above a form.
"use strict";

document.querySelector("[data-focus-first]")?.focus();

// Whoever signs out leaves no page of a client's home on the phone; acts that were not sent stay until they are.
document.querySelector("form[action$='/logout/']")?.addEventListener("submit", () => {
  globalThis.caches?.delete("site-day");
});
