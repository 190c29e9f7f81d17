// The debrief's play head: a link or the slider asks for one moment, the card is put in
// place and the orange line moves. Without this script the same links load the page anew.
"use strict";
(() => {
  const scrub = document.getElementById("scrub");
  if (!scrub) return;
  const address = location.pathname;
  let asked = 0;

  const moveHead = (at) => {
    for (const strip of document.querySelectorAll("svg.strip")) {
      const [left, right, from, until] = ["left", "right", "from", "until"].map((n) => Number(strip.dataset[n]));
      const share = Math.min(Math.max((at - from) / (until - from), 0), 1);
      const x = left + share * (right - left);
      const head = strip.querySelector(".here");
      head.setAttribute("x1", x);
      head.setAttribute("x2", x);
    }
  };

  const here = (at) => {
    const now = new URL(location.href);
    now.searchParams.set("at", at);
    return now;
  };

  const look = async (at, focusOn) => {
    const mine = ++asked;
    moveHead(at);
    scrub.value = at;
    let answer;
    try {
      answer = await fetch(`${address}/moment?${here(at).searchParams}`, { headers: { "HX-Request": "true" } });
    } catch { return; }
    if (!answer.ok || mine !== asked) return;
    const piece = document.createElement("template");
    piece.innerHTML = await answer.text();
    const card = piece.content.getElementById("moment");
    const old = document.getElementById("moment");
    const pressed = old.contains(document.activeElement) ? document.activeElement.rel : "";
    old.replaceWith(card);
    scrub.setAttribute("aria-valuetext", card.dataset.clock);
    history.replaceState(null, "", here(at));
    if (focusOn) focusOn.focus();
    else if (pressed) (card.querySelector(`[rel="${pressed}"]`) || card).focus();
  };

  document.addEventListener("click", (event) => {
    const link = event.target.closest("a[data-at]");
    if (!link || event.metaKey || event.ctrlKey || event.shiftKey) return;
    event.preventDefault();
    const href = typeof link.href === "string" ? link.href : link.href.baseVal;
    const name = new URL(href, location.href).hash.slice(1);
    const target = document.getElementById(name);
    if (target && name !== "moment") {
      target.closest("details")?.setAttribute("open", "");
      for (const lit of document.querySelectorAll(".lit")) lit.classList.remove("lit");
      target.classList.add("lit");
    }
    look(Number(link.dataset.at), name !== "moment" ? target : null);
    if (link.classList.contains("see")) document.getElementById("strip").scrollIntoView({ block: "nearest" });
  });

  document.addEventListener("click", (event) => {
    const closer = event.target.closest("a[data-closer]");
    if (!closer) return;
    const at = Number(scrub.value);
    const address = new URL(closer.href);
    const half = (Number(address.searchParams.get("until")) - Number(address.searchParams.get("from"))) / 2;
    const from = Math.max(0, at - half);
    address.searchParams.set("at", at);
    address.searchParams.set("from", from);
    address.searchParams.set("until", from + 2 * half);
    closer.href = address;
  });

  scrub.addEventListener("input", () => look(Number(scrub.value), null));

  for (const button of document.querySelectorAll("[data-print]")) {
    button.hidden = false;
    button.addEventListener("click", () => window.print());
  }
  window.addEventListener("beforeprint", () => document.querySelectorAll("details.done-well").forEach((d) => { d.dataset.was = d.open; d.open = true; }));
  window.addEventListener("afterprint", () => document.querySelectorAll("details.done-well").forEach((d) => { d.open = d.dataset.was === "true"; }));
})();
