// The debrief's play head. The orange line, the slider and the clock move at once; the card of
// the moment is asked for, one question at a time, and of what was meanwhile wanted only the
// newest. Without this script every link and the slider's button load the page anew.
"use strict";
(() => {
  const scrub = document.getElementById("scrub");
  if (!scrub) return;
  const SECOND = 1000, MINUTE = 60 * SECOND;
  const bar = scrub.form;
  const stops = bar.dataset.stops.split(" ").map(Number);
  const begins = Number(bar.dataset.begins), ends = Number(bar.dataset.ends);
  const clock = bar.querySelector(".scrub-clock");
  const calm = matchMedia("(prefers-reduced-motion: reduce)");
  let at = new URL(location.href).searchParams.has("at") ? Number(new URL(location.href).searchParams.get("at")) : Number(scrub.value);
  at = Math.min(Math.max(Number.isFinite(at) ? at : Number(scrub.value), 0), ends);

  // --- moving the head: at once, and by arithmetic alone -------------------------------

  const wardTime = (moment) => {
    const day = (begins + Math.floor(moment / SECOND) * SECOND) % (24 * 60 * MINUTE);
    return [day / (60 * MINUTE), (day / MINUTE) % 60, (day / SECOND) % 60].map((one) => String(Math.floor(one)).padStart(2, "0")).join(":");
  };

  const moveHead = (moment) => {
    for (const strip of document.querySelectorAll("#strip svg.strip")) {
      const [left, right, from, until] = ["left", "right", "from", "until"].map((n) => Number(strip.dataset[n]));
      const share = Math.min(Math.max((moment - from) / (until - from), 0), 1);
      const x = left + share * (right - left);
      const head = strip.querySelector(".here");
      head.setAttribute("x1", x);
      head.setAttribute("x2", x);
      const grip = strip.querySelector(".grip");
      grip.setAttribute("transform", `translate(${x} ${head.getAttribute("y2")})`);
    }
    scrub.value = moment;
    clock.value = wardTime(moment);
    scrub.setAttribute("aria-valuetext", wardTime(moment).slice(0, 5));
  };

  // --- asking for the card: one question at a time, the newest wins ----------------------

  let wanted = null, asking = false, focusAfter = null;

  const here = (moment, way) => {
    const now = new URL(location.href);
    now.hash = "";
    now.searchParams.set("at", moment);
    if (way === "seen") now.searchParams.set("as", "seen");
    else if (way) now.searchParams.delete("as");
    return now;
  };

  const put = (text) => {
    const piece = document.createElement("template");
    piece.innerHTML = text;
    const card = piece.content.getElementById("moment");
    const old = document.getElementById("moment");
    if (!card) return;
    const pressed = old.contains(document.activeElement) ? document.activeElement.dataset.way : null;
    const unfolded = [...old.querySelectorAll("details")].map((one) => one.open);
    old.replaceWith(card);
    [...card.querySelectorAll("details")].forEach((one, n) => { one.open = Boolean(unfolded[n]); });
    if (pressed) card.querySelector(`[data-way="${pressed}"]`)?.focus();
    for (const [rel, href] of [["prev", card.dataset.earlier], ["next", card.dataset.later]]) {
      const link = bar.querySelector(`[rel="${rel}"]`);
      if (!href && link === document.activeElement) scrub.focus();
      link.hidden = !href;
      if (href) link.href = href;
    }
  };

  const ask = async () => {
    if (asking) return;
    asking = true;
    while (wanted) {
      const { address, keep } = wanted;
      wanted = null;
      try {
        const answer = await fetch(`${location.pathname}/moment${address.search}`, { headers: { "HX-Request": "true" } });
        if (answer.ok) put(await answer.text());
      } catch { break; }
      if (!wanted && keep) history.replaceState(null, "", address);
    }
    asking = false;
    if (focusAfter) { focusAfter.focus({ preventScroll: true }); focusAfter = null; }
  };

  const look = (moment, { way, keep = true } = {}) => {
    at = Math.round(Math.min(Math.max(moment, 0), ends));
    moveHead(at);
    wanted = { address: here(at, way), keep };
    if (way) history.replaceState(null, "", wanted.address);
    return ask();
  };

  const step = (by) => look(Math.min(Math.max(at + by, Number(scrub.min)), Number(scrub.max)));
  const happening = (forwards) => {
    const next = forwards ? stops.find((one) => one > at) : stops.findLast((one) => one < at);
    if (next !== undefined) look(next);
  };

  // --- the slider and its keys -----------------------------------------------------------

  const KEYS = {
    ArrowRight: (shift) => step(shift ? 10 * SECOND : SECOND),
    ArrowLeft: (shift) => step(shift ? -10 * SECOND : -SECOND),
    PageUp: () => step(MINUTE),
    PageDown: () => step(-MINUTE),
    ArrowUp: () => happening(true),
    ArrowDown: () => happening(false),
  };
  scrub.addEventListener("keydown", (event) => {
    const move = KEYS[event.key];
    if (!move || event.altKey || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    rest();
    move(event.shiftKey);
  });
  scrub.addEventListener("input", () => { rest(); look(Number(scrub.value)); });

  // --- the strip itself: press, and drag ---------------------------------------------------

  const momentAt = (strip, x) => {
    const box = strip.getBoundingClientRect();
    const [left, right, from, until] = ["left", "right", "from", "until"].map((n) => Number(strip.dataset[n]));
    const unit = ((x - box.left) / box.width) * strip.viewBox.baseVal.width;
    const share = Math.min(Math.max((unit - left) / (right - left), 0), 1);
    return Math.round((from + share * (until - from)) / SECOND) * SECOND;
  };

  for (const strip of document.querySelectorAll("#strip svg.strip")) {
    let dragged = false;
    strip.addEventListener("pointerdown", (event) => {
      if (event.button !== 0 || event.target.closest("a")) return;
      dragged = true;
      strip.setPointerCapture(event.pointerId);
      strip.classList.add("dragged");
      rest();
      look(momentAt(strip, event.clientX));
    });
    strip.addEventListener("pointermove", (event) => { if (dragged) look(momentAt(strip, event.clientX)); });
    for (const name of ["pointerup", "pointercancel"]) strip.addEventListener(name, () => { dragged = false; strip.classList.remove("dragged"); });
  }

  // --- play: at a pace; in steps for those who want no movement ----------------------------

  const play = document.getElementById("play"), pace = document.getElementById("pace");
  const STEP_MS = 1500;
  let turning = null, last = 0;

  function rest() {
    if (turning === null) return;
    cancelAnimationFrame(turning);
    clearTimeout(turning);
    turning = null;
    play.textContent = "Play";
    play.setAttribute("aria-pressed", "false");
    history.replaceState(null, "", here(at));
  }

  const until = () => Number(scrub.max);
  const frame = (now) => {
    const gone = Math.min(now - last, 250) * Number(pace.value);
    last = now;
    look(Math.min(at + gone, until()), { keep: false });
    if (at >= until()) rest();
    else turning = requestAnimationFrame(frame);
  };
  const stride = () => {
    const next = stops.find((one) => one > at && one <= until());
    if (next === undefined) { rest(); return; }
    look(next, { keep: false });
    turning = setTimeout(stride, STEP_MS);
  };

  play.addEventListener("click", () => {
    if (turning !== null) { rest(); return; }
    if (at >= until()) look(Number(scrub.min), { keep: false });
    play.textContent = "Stop";
    play.setAttribute("aria-pressed", "true");
    last = performance.now();
    turning = calm.matches ? setTimeout(stride, 0) : requestAnimationFrame(frame);
  });
  for (const one of document.querySelectorAll(".script-only")) one.hidden = false;
  bar.querySelector(".pace").hidden = calm.matches;
  bar.addEventListener("submit", (event) => event.preventDefault());

  // --- links that lead to a moment, and those that lead to a finding -------------------------

  const light = (target) => {
    for (let fold = target.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
    for (const lit of document.querySelectorAll(".lit")) lit.classList.remove("lit");
    target.classList.add("lit");
    target.scrollIntoView({ block: "nearest" });
  };

  document.addEventListener("click", (event) => {
    if (event.metaKey || event.ctrlKey || event.shiftKey) return;
    const link = event.target.closest("a");
    if (!link) return;
    const href = typeof link.href === "string" ? link.href : link.href.baseVal;
    const address = new URL(href, location.href);
    const target = address.hash ? document.getElementById(decodeURIComponent(address.hash.slice(1))) : null;
    const isMoment = address.hash === "#moment";
    if (link.dataset.way) {
      event.preventDefault();
      look(at, { way: link.dataset.way });
    } else if (bar.contains(link)) {
      event.preventDefault();
      rest();
      look(Number(address.searchParams.get("at")));
    } else if (link.dataset.at) {
      event.preventDefault();
      rest();
      focusAfter = isMoment ? null : target;
      if (target && !isMoment) light(target);
      look(Number(link.dataset.at));
      if (isMoment && !link.closest("#strip")) document.getElementById("strip").scrollIntoView({ block: "nearest" });
    } else if (target && address.pathname === location.pathname && /^finding-/.test(target.id)) {
      event.preventDefault();
      light(target);
      target.focus({ preventScroll: true });
    }
  });

  document.addEventListener("click", (event) => {
    const closer = event.target.closest("a[data-closer]");
    if (!closer) return;
    const address = new URL(closer.href);
    const half = (Number(address.searchParams.get("until")) - Number(address.searchParams.get("from"))) / 2;
    const from = Math.round(Math.max(0, Math.min(at - half, ends - 2 * half)));
    address.searchParams.set("at", at);
    address.searchParams.set("from", from);
    address.searchParams.set("until", Math.min(ends, from + 2 * half));
    closer.href = address;
  });

  // --- which stage one is in, and printing -----------------------------------------------------

  const links = [...document.querySelectorAll(".stages a")];
  const sections = links.map((link) => document.querySelector(link.hash));
  const whereAmI = () => {
    const line = innerHeight / 3;
    const reached = sections.filter((one) => one.getBoundingClientRect().top <= line).length;
    const bottom = innerHeight + scrollY >= document.documentElement.scrollHeight - 2;
    const now = bottom ? links.length - 1 : Math.max(reached - 1, 0);
    links.forEach((link, n) => { if (n === now) link.setAttribute("aria-current", "step"); else link.removeAttribute("aria-current"); });
  };
  let waiting = false;
  addEventListener("scroll", () => {
    if (waiting) return;
    waiting = true;
    requestAnimationFrame(() => { waiting = false; whereAmI(); });
  }, { passive: true });
  whereAmI();
  moveHead(at);

  for (const button of document.querySelectorAll("[data-print]")) {
    button.hidden = false;
    button.addEventListener("click", () => window.print());
  }
})();
