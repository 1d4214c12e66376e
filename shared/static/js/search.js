// The search for a fault: minutes since the last reading stand in their field until somebody writes others, and
// an answer that was still being worked out takes the place of the first one.
"use strict";

(() => {
  const MOST_MINUTES = 240; // Longer ago than this is another day's work, not one test.
  const SECONDS_BETWEEN = 15;

  for (const form of document.querySelectorAll("form[data-took]")) {
    const field = form.elements.minutes;
    const since = Date.parse(form.dataset.took);
    if (!field || Number.isNaN(since) || field.value) continue;
    let touched = false;
    field.addEventListener("input", () => (touched = true));
    field.addEventListener("put-back", () => (touched = field.value !== ""));
    const tell = () => {
      if (touched) return;
      const minutes = Math.round((Date.now() - since) / 60000);
      field.value = minutes >= 1 && minutes <= MOST_MINUTES ? String(minutes) : "";
    };
    tell();
    setInterval(tell, SECONDS_BETWEEN * 1000);
    form.addEventListener("submit", tell);
  }

  const card = document.querySelector("[data-refines]");
  if (card) {
    fetch(card.dataset.refines, { credentials: "same-origin" })
      .then((answer) => (answer.ok ? answer.text() : Promise.reject(answer.status)))
      .then((text) => {
        const made = new DOMParser().parseFromString(text, "text/html").querySelector(".next");
        // Whoever has begun to press or to type is not interrupted.
        if (made && !card.contains(document.activeElement)) card.replaceWith(made);
      })
      .catch(() => {});
  }
})();
