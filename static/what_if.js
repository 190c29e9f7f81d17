// The list of acts shortens while one types. Without this script the same field is sent and
// the server finds. The place that was asked for gets the focus, so that the answer is read.
"use strict";
(() => {
  const form = document.querySelector("[data-find-form]");
  const list = document.querySelector("[data-find-list]");
  const count = document.querySelector("[data-find-count]");
  if (form && list && count) {
    const field = form.querySelector("input");
    const acts = [...list.children];
    field.addEventListener("input", () => {
      const wanted = field.value.trim().toLowerCase();
      let shown = 0;
      for (const one of acts) {
        one.hidden = !one.dataset.find.toLowerCase().includes(wanted);
        shown += one.hidden ? 0 : 1;
      }
      count.textContent = wanted ? `${shown} of ${acts.length} acts` : `${acts.length} acts`;
    });
  }
  const place = document.getElementById("answer");
  if (place && location.hash === "#answer") place.focus({ preventScroll: true });
})();
