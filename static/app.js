// What the pages need beyond htmx: counters that move between happenings, the alarm's
// sound, drawers, keys, and this page's settings. Nothing clinical is decided here: rates,
// volumes and moments come from the server as data attributes, and it is always right.
"use strict";

(() => {
  const root = document.documentElement;
  const bed = document.getElementById("bedside");
  const find = (selector, where = document) => where.querySelector(selector);
  const all = (selector, where = document) => [...where.querySelectorAll(selector)];
  const still = matchMedia("(prefers-reduced-motion: reduce)");
  root.classList.add("js");

  // --- settings of this page, kept in this browser -----------------------------------

  const setting = {
    read(name) { try { return localStorage.getItem("trainer." + name) || ""; } catch { return ""; } },
    keep(name, value) { try { localStorage.setItem("trainer." + name, value); } catch { /* private window */ } },
  };
  root.dataset.text = setting.read("text");

  // --- sound: bursts of 10 (5 and 5), 3, or 2 pulses, as IEC 60601-1-8 has them ---------
  // Pitches are our own. Each pulse is a fundamental with five harmonics.

  const BURSTS = {
    high: { pitches: [466, 466, 622, 466, 554], pulse: 0.15, gap: 0.1, twice: true, every: 7 },
    medium: { pitches: [440, 523, 440], pulse: 0.2, gap: 0.2, every: 9 },
    low: { pitches: [392, 330], pulse: 0.2, gap: 0.22, every: 22 },
  };
  const sound = { context: null, wave: null, wanted: setting.read("sound") !== "off", next: 0, priority: "" };

  async function startSound() {
    if (!sound.context) {
      const Context = window.AudioContext || window.webkitAudioContext;
      if (!Context) throw new Error("this browser makes no sound");
      sound.context = new Context();
      const parts = new Float32Array([0, 1, 0.6, 0.5, 0.4, 0.35, 0.3]);
      sound.wave = sound.context.createPeriodicWave(new Float32Array(parts.length), parts);
    }
    await sound.context.resume();
  }

  function pulse(at, pitch, long) {
    const tone = sound.context.createOscillator();
    const level = sound.context.createGain();
    tone.setPeriodicWave(sound.wave);
    tone.frequency.value = pitch;
    level.gain.setValueAtTime(0, at);
    level.gain.linearRampToValueAtTime(0.22, at + long * 0.2);
    level.gain.setValueAtTime(0.22, at + long * 0.8);
    level.gain.linearRampToValueAtTime(0, at + long);
    tone.connect(level).connect(sound.context.destination);
    tone.start(at);
    tone.stop(at + long);
  }

  function burst(kind) {
    const { pitches, pulse: long, gap, twice } = BURSTS[kind];
    let at = sound.context.currentTime + 0.05;
    for (let round = 0; round < (twice ? 2 : 1); round += 1) {
      pitches.forEach((pitch, place) => {
        pulse(at, pitch, long);
        at += long + (twice && place === 2 ? 2 * gap + long : gap);
      });
      at += 0.6;
    }
  }

  // The prebrief lets the learner hear it first.
  for (const button of all("[data-try-sound]")) {
    button.addEventListener("click", () => startSound().then(() => burst(button.dataset.trySound)));
  }

  if (!bed) return;

  // --- the ward clock ------------------------------------------------------------------

  const clock = { at: 0, factor: 0, start: 0, since: performance.now(), seen: "0" };

  function readClock() {
    const shown = document.getElementById("clock");
    clock.at = Number(shown.dataset.at);
    clock.factor = Number(shown.dataset.factor);
    clock.start = Number(shown.dataset.start);
    clock.seen = shown.dataset.seen;
    clock.since = performance.now();
  }

  const wardNow = () => clock.at + (performance.now() - clock.since) * clock.factor;
  const two = (number) => String(number).padStart(2, "0");

  function clockText(ms) {
    const s = Math.floor((clock.start + ms) / 1000) % 86400;
    return `${two(Math.floor(s / 3600))}:${two(Math.floor(s / 60) % 60)}:${two(s % 60)}`;
  }

  // Written as on the rest of the page: no trailing zero, thin spaces from 10 000.
  function mlText(ul) {
    const tenths = Math.max(0, Math.floor(ul / 100 + 0.5));
    const whole = String(Math.floor(tenths / 10));
    const grouped = whole.length > 4 ? whole.replace(/\B(?=(\d{3})+$)/g, "\u2009") : whole;
    return tenths % 10 ? `${grouped}.${tenths % 10}` : grouped;
  }

  function durationText(ms) {
    const s = Math.max(0, Math.ceil(ms / 1000));
    const parts = [[Math.floor(s / 3600), "h"], [Math.floor(s / 60) % 60, "min"], [s % 60, "s"]];
    return parts.filter(([n]) => n).map(([n, unit]) => `${n} ${unit}`).join(" ") || "0 s";
  }

  function put(element, text) {
    if (element && element.textContent !== text) element.textContent = text;
  }

  // --- counters, containers, drops and plugs -------------------------------------------

  const passed = (data, now) => Math.max(0, now - Number(data.anchor)) / 3600000;   // hours

  function moveCounters(now) {
    for (const line of all(".running")) {
      if (!line.dataset.counting) continue;
      const whole = Number(line.dataset.toGive);
      const rate = Number(line.dataset.pump);
      const given = Math.min(whole, Number(line.dataset.given) + rate * passed(line.dataset, now));
      put(find('[data-show="given"]', line), mlText(given));
      put(find('[data-show="left"]', line), rate ? durationText(((whole - given) / rate) * 3600000) : "–");
    }
  }

  // Where a line is: what has passed its pump, what has left its end, and its pressure. The
  // server gives points; between them, and after the last, the way is straight.
  const courses = new WeakMap();

  function courseOf(path) {
    const known = courses.get(path);
    if (known && known.text === path.dataset.course) return known.points;
    const points = path.dataset.course.split(";").map((point) => point.split(":").map(Number));
    courses.set(path, { text: path.dataset.course, points });
    return points;
  }

  function whereIs(path, now) {
    const points = courseOf(path);
    const ms = Math.max(0, now - Number(path.dataset.anchor));
    const next = points.findIndex((point) => point[0] > ms);
    const right = next < 1 ? points.length - 1 : next;
    const [a, b] = [points[right - 1], points[right]];
    const on = (what) => a[what] + ((ms - a[0]) / (b[0] - a[0])) * (b[what] - a[what]);
    return { hours: ms / 3600000, passed: on(1), out: on(2), mmhg: on(3) };
  }

  // What an inlet has given since. With a stuck valve fluid runs up into the primary.
  function gave(path, role, at) {
    const { source } = path.dataset;
    if (source === role) return at.passed;
    return source === "both" || source === "back" ? Number(path.dataset[role]) * at.hours : 0;
  }

  function moveContainers(path, at) {
    for (const station of all(".station[data-left]", path)) {
      const full = Number(station.dataset.full);
      const left = Math.max(0, Number(station.dataset.left) - gave(path, station.dataset.role, at));
      put(find(".amount", station), `${mlText(left)} mL left`);
      const height = full ? Math.min(58, (58 * left) / full) : 0;
      const level = find(".level", station);
      level.setAttribute("y", (29 - height).toFixed(1));
      level.setAttribute("height", height.toFixed(1));
      find(".rod", station)?.setAttribute("height", (75 - height).toFixed(1));
    }
  }

  function movePressure(path, now, at) {
    const change = whereIs(path, now + 30000).mmhg - at.mmhg;
    const trend = Math.abs(change) < 0.1 ? "steady" : change > 0 ? "rising" : "falling";
    for (const text of all(".pressure", path)) put(text, `${Math.floor(at.mmhg + 0.5)} mmHg ${trend}`);
  }

  function spanText(ms) {
    const step = ms >= 300000 ? 60000 : 1000;
    return durationText(Math.floor(ms / step) * step);
  }

  function moveBattery(path, now) {
    if (!path.dataset.battery) return;
    const left = Math.max(0, Number(path.dataset.battery) - (now - Number(path.dataset.anchor)));
    for (const text of all(".battery", path)) put(text, left ? `battery ${spanText(left)}` : "no power");
    put(find(`#running-${path.dataset.line} [data-show="battery"]`), spanText(left));
  }

  // Drops fall at the true rate; above three a second they run together into a thread, so
  // that nothing on the page flashes faster than that. With reduced motion none falls.
  function moveDrops(path) {
    for (const station of all(".kind-chamber", path)) {
      const perMs = (Number(station.dataset.drops) / 3600000) * clock.factor;   // per ms of wall time
      hearDrops(path.dataset.line, station, perMs);
      const drop = find(".drop", station);
      const falls = station.classList.contains("turns") && perMs > 0 && !still.matches;
      const thread = falls && perMs > 0.003;
      station.classList.toggle("thread", thread);
      if (!falls) { drop.style.opacity = 0; continue; }
      const share = (performance.now() * perMs) % 1;
      drop.style.opacity = thread || share < 0.6 ? 1 : 0;
      drop.setAttribute("cy", thread ? 0 : (-14 + 18 * Math.min(1, share / 0.6) ** 2).toFixed(1));
    }
  }

  // --- what lies in the tubing, moving on -----------------------------------------------

  const parsePlugs = (text) => (text ? text.split(",") : []).map((one) => {
    const [tone, ul, share] = one.split(":");
    return { tone, ul: Number(ul), share: Number(share) };
  });

  // Plugs in a row, counted upstream from where the row begins.
  function rowOf(begin, ...texts) {
    const row = [];
    let end = begin;
    for (const plug of texts.flatMap(parsePlugs)) {
      row.push({ ...plug, from: end, to: end + plug.ul });
      end += plug.ul;
    }
    return { row, end };
  }

  const endless = (text, end) => parsePlugs(text).map((plug) => ({ ...plug, from: end, to: Infinity }));

  function movePlugs(path, at) {
    const map = all(".map", path).find((one) => one.getClientRects().length);
    const tube = (name) => map && find(`.plugs[data-tube="${name}"]`, map);
    const below = tube("below");
    if (!below || !below.dataset.plugs || !path.dataset.source) return;
    const above = tube("above");
    const { source } = path.dataset;
    const feeder = tube(source === "back" ? "secondary" : source);   // none where two flows mix
    const first = rowOf(0, below.dataset.plugs);
    const second = rowOf(first.end, above?.dataset.plugs);
    const third = rowOf(second.end, feeder?.dataset.plugs);
    const feeds = (feeder || above || below).dataset.feeds;
    const whole = [...first.row, ...second.row, ...third.row, ...endless(feeds, third.end)];
    drawPlugs(below, whole, at.out);
    if (above) drawPlugs(above, whole, first.end + at.passed);
    for (const role of ["primary", "secondary"]) moveInlet(path, tube(role), role, at);
  }

  function moveInlet(path, tube, role, at) {
    if (!tube) return;
    const own = rowOf(0, tube.dataset.plugs);
    const back = path.dataset.source === "back" && role === "primary";
    const other = back ? find('.plugs[data-tube="secondary"]', tube.parentElement) : null;
    const rising = other ? parsePlugs(other.dataset.plugs || other.dataset.feeds).slice(0, 1) : [];
    const behind = rising.map((plug) => ({ ...plug, from: -Infinity, to: 0 }));
    drawPlugs(tube, [...behind, ...own.row, ...endless(tube.dataset.feeds, own.end)], gave(path, role, at));
  }

  // The part of a row that lies in a tube whose downstream end is at `begin`.
  function drawPlugs(tube, row, begin) {
    const size = Number(tube.dataset.size);
    const seen = row
      .map((plug) => ({ ...plug, from: Math.max(plug.from - begin, 0), to: Math.min(plug.to - begin, size) }))
      .filter((plug) => plug.to > plug.from);
    tube.seen = seen;
    while (tube.children.length > seen.length) tube.lastChild.remove();
    while (tube.children.length < seen.length) {
      const fresh = document.createElementNS("http://www.w3.org/2000/svg", "path");
      fresh.setAttribute("d", tube.dataset.d);
      fresh.setAttribute("pathLength", "1000");
      tube.append(fresh);
    }
    seen.forEach((plug, place) => {
      const long = ((plug.to - plug.from) / size) * 1000;
      const start = ((size - plug.to) / size) * 1000;
      const drawn = tube.children[place];
      drawn.setAttribute("class", `plug tone-${plug.tone}`);
      drawn.setAttribute("stroke-dasharray", `${long.toFixed(1)} 2000`);
      drawn.setAttribute("stroke-dashoffset", (-start).toFixed(1));
    });
  }

  // How much of each drug lies in the tubing, added up from what is drawn.
  function addLying(path) {
    for (const text of all("[data-lying]", path)) {
      const { lying } = text.dataset;
      if (all(`[data-lying="${lying}"]`, path).length > 1) continue;
      let ul = 0;
      const map = all(".map", path).find((one) => one.getClientRects().length);
      for (const plug of all(".plugs", map || path).flatMap((tube) => tube.seen || [])) {
        if (plug.tone.replace("-mixed", "") === lying) ul += ((plug.to - plug.from) * plug.share) / 1000;
      }
      put(text, `${mlText(ul)} mL`);
    }
  }

  function movePaths(now) {
    for (const path of all(".path")) {
      const at = whereIs(path, now);
      moveContainers(path, at);
      movePressure(path, now, at);
      moveBattery(path, now);
      if (still.matches) continue;
      movePlugs(path, at);
      if (find(".plugs", path)?.seen || path.dataset.source) addLying(path);
    }
  }

  function showPause(now) {
    const alarms = document.getElementById("alarms");
    const until = Number(alarms.dataset.pausedUntil || 0);
    const left = until - now;
    put(find("[data-pause-left]", alarms), left > 0 ? `Sound is paused, ${durationText(left)} left on the ward clock.` : "");
    return left > 0;
  }

  let lastMove = 0;
  function frame(wall) {
    for (const path of all(".path")) moveDrops(path);
    if (wall - lastMove > (still.matches ? 1000 : 200)) {
      lastMove = wall;
      const now = wardNow();
      if (clock.factor) put(find("#clock .clock-time"), clockText(now));
      moveCounters(now);
      movePaths(now);
      showPause(now);
    }
    requestAnimationFrame(frame);
  }

  // --- sound at the bedside: the most urgent alarm, until it is paused or over ------------

  const isSounding = () => Boolean(sound.wanted && sound.context && sound.context.state === "running");

  function tickSound() {
    const alarms = document.getElementById("alarms");
    const kind = alarms.dataset.sound;
    const paused = showPause(wardNow());
    const isNew = kind !== sound.priority;
    sound.priority = kind;
    root.dataset.sounding = kind && isSounding() && !paused ? kind : "";
    if (!kind || paused || !isSounding()) { sound.next = 0; return; }
    if (isNew || performance.now() >= sound.next) {
      burst(kind);
      sound.next = performance.now() + BURSTS[kind].every * 1000;
    }
  }

  function showSound() {
    const button = find('[data-tool="sound"]');
    put(button, isSounding() ? "Sound is on" : sound.wanted ? "Turn sound on" : "Sound is off");
    button.setAttribute("aria-pressed", String(isSounding()));
  }

  function turnSound() {
    const on = isSounding();
    sound.wanted = !on;
    setting.keep("sound", on ? "off" : "on");
    if (on) showSound(); else startSound().then(showSound);
  }

  // A browser lets a page sound only after the learner has pressed something on it.
  for (const press of ["pointerdown", "keydown"]) {
    addEventListener(press, (event) => {
      if (sound.wanted && !isSounding() && !event.target.closest('[data-tool="sound"]')) startSound().then(showSound);
    });
  }

  // --- drops by ear: a soft tick for each, on the lines that are listened to ---------------

  const heard = new Map();

  function hearDrops(line, station, perMs) {
    if (!heard.has(line) || !sound.context || !station.getClientRects().length) return;
    const key = `${line} ${station.dataset.role}`;
    const count = Math.floor(performance.now() * perMs + 0.4);   // it sounds as the drop lands
    const before = heard.get(key);
    heard.set(key, count);
    const isNew = before !== undefined && count !== before && perMs > 0 && perMs < 0.01;
    if (!isNew || !station.classList.contains("turns")) return;
    const at = sound.context.currentTime;
    const tone = sound.context.createOscillator();
    const level = sound.context.createGain();
    tone.frequency.setValueAtTime(1100, at);
    tone.frequency.exponentialRampToValueAtTime(500, at + 0.04);
    level.gain.setValueAtTime(0.08, at);
    level.gain.exponentialRampToValueAtTime(0.001, at + 0.05);
    tone.connect(level).connect(sound.context.destination);
    tone.start(at);
    tone.stop(at + 0.06);
    root.dataset.drops = String(Number(root.dataset.drops || 0) + 1);
  }

  function turnHearing(line) {
    const on = !heard.delete(line);
    if (on) startSound().then(() => heard.set(line, true));
    for (const button of all(`[data-hear="${line}"]`)) {
      button.setAttribute("aria-pressed", String(on));
      put(button, on ? "Drops are heard" : "Hear the drops");
    }
  }

  for (const button of all("[data-hear]")) button.addEventListener("click", () => turnHearing(button.dataset.hear));

  // --- the roller clamp: a slider beside its field; letting go of it turns the clamp -------

  const CLAMP_WAIT = 400;
  const turning = new WeakMap();
  const fieldOf = (slider) => document.getElementById(slider.dataset.sets);

  for (const slider of all(".slider")) {
    slider.addEventListener("input", () => { fieldOf(slider).value = slider.value; });
    fieldOf(slider).addEventListener("input", () => { slider.value = fieldOf(slider).value; });
    slider.addEventListener("change", () => {
      clearTimeout(turning.get(slider));
      turning.set(slider, setTimeout(() => slider.form.requestSubmit(), CLAMP_WAIT));
    });
  }

  // Sliders stand where the clamp stands, unless they are being moved.
  function showClamps() {
    for (const slider of all(".slider")) {
      const { opening } = find(`#line-${slider.form.elements.line.value}`).dataset;
      const field = fieldOf(slider);
      if (!opening || [slider, field].includes(document.activeElement)) continue;
      slider.value = opening;
      field.value = opening;
    }
  }

  // A reason stands for one entry only.
  function clearReasons() {
    for (const limit of all(".limit:not(.limit-asks)")) {
      const field = limit.closest("form")?.elements.reason;
      if (field) field.value = "";
    }
  }

  // --- drawers: what can be done at a part of the line ----------------------------------

  function openDrawer(id, focus) {
    const drawer = document.getElementById(id);
    if (!drawer) return;
    const wasOpen = drawer.classList.contains("open");
    for (const other of all(".drawer.open")) other.classList.remove("open");
    drawer.classList.toggle("open", focus || !wasOpen);
    markDrawers();
    if (!drawer.classList.contains("open")) return;
    drawer.scrollIntoView({ block: "nearest", behavior: still.matches ? "auto" : "smooth" });
    if (focus) drawer.focus({ preventScroll: true });
  }

  function markDrawers() {
    for (const link of all(".station[data-drawer]")) {
      const drawer = document.getElementById(link.dataset.drawer);
      link.setAttribute("aria-expanded", String(Boolean(drawer && drawer.classList.contains("open"))));
    }
  }

  document.addEventListener("click", (event) => {
    const link = event.target.closest("[data-drawer]");
    if (!link) return;
    event.preventDefault();
    openDrawer(link.dataset.drawer, true);
  });

  // --- the give sentence's third value ---------------------------------------------------

  function showThird(note) {
    const form = document.getElementById(note.id.replace("third-", "give-"));
    for (const name of ["volume", "hours", "minutes", "rate"]) {
      const field = form.elements[name];
      const value = field.value.trim() ? "" : note.dataset[name] || "";
      field.placeholder = value;
      field.classList.toggle("third", value !== "");
    }
  }

  // --- forms: one token for one press, and how far this page is ---------------------------

  const tokens = new WeakMap();
  const newToken = () => [...crypto.getRandomValues(new Uint32Array(4))].map((n) => n.toString(16)).join("");

  document.addEventListener("htmx:config:request", (event) => {
    const { ctx } = event.detail;
    const form = ctx.sourceElement;
    if (ctx.request.method === "POST" && ctx.request.body && ctx.request.body.set) {
      if (!tokens.has(form)) tokens.set(form, newToken());
      ctx.request.body.set("token", tokens.get(form));
      ctx.request.body.set("seen", clock.seen);
    }
  });

  document.addEventListener("htmx:after:request", (event) => {
    const { ctx } = event.detail;
    if (ctx.request.method === "POST" && ctx.response) tokens.delete(ctx.sourceElement);
    if (ctx.response && ctx.response.status < 400) find("#fault").replaceChildren();
    ctx.sourceElement.dataset.mine = ctx.response && ctx.response.status < 400 ? "sent" : "";
  });

  // What came last stands at the foot of the slip; there it must be in sight.
  let lastSlip = "";
  function showNewest() {
    const slip = find("#slip");
    if (!slip || slip.textContent === lastSlip) return;
    lastSlip = slip.textContent;
    slip.scrollTop = slip.scrollHeight;
  }

  document.addEventListener("htmx:after:swap", (event) => {
    const { ctx } = event.detail;
    readClock();
    markDrawers();
    measureTop();
    for (const note of all(".third-note")) showThird(note);
    showClamps();
    clearReasons();
    showNewest();
    lastMove = 0;
    tickSound();
    const form = ctx.sourceElement;
    const refused = find("#slip .told-refused");
    if (form.matches && form.matches(".call, [data-clear]") && form.dataset.mine === "sent" && !refused) form.reset();
    form.removeAttribute("data-mine");
    if (form.matches?.(".give") && refused) find(".limit:not(.none)", form)?.scrollIntoView({ block: "center" });
    if (find("#clock").dataset.ended) find(".ended .button")?.focus();
  });

  // --- when the server does not answer ----------------------------------------------------

  let streaming = false;
  let misses = 0;

  function showFault(text, mend) {
    const fault = find("#fault");
    const what = document.createElement("p");
    const then = document.createElement("p");
    what.className = "fault-what";
    what.textContent = text;
    then.textContent = mend;
    fault.replaceChildren(what, then);
  }

  const silence = () => showFault(
    "The trainer does not answer.",
    "Nothing that was shown as done is lost. The page tries again by itself; your last press may not have been taken up.",
  );

  document.addEventListener("htmx:error", (event) => {
    if (event.detail.ctx.request.method === "POST") silence();
  });
  document.addEventListener("htmx:sse:after:connection", () => {
    streaming = true;
    if (misses) find("#fault").replaceChildren();
    misses = 0;
  });
  document.addEventListener("htmx:sse:error", () => {
    streaming = false;
    misses += 1;
    if (misses > 1) silence();
  });

  // The slow way, for as long as the stream is down.
  async function poll() {
    if (streaming || document.hidden) return;
    try {
      const answer = await fetch(`${bed.dataset.panels}?after=${clock.seen}`, { headers: { "HX-Request": "true" } });
      if (answer.status !== 200) return;
      await htmx.swap({ text: await answer.text(), sourceElement: bed, target: bed, swap: "none", request: { method: "GET" } });
    } catch { /* the stream says so */ }
  }
  setInterval(poll, 10000);

  // --- tools and keys ---------------------------------------------------------------------

  function enlarge() {
    const on = root.classList.toggle("enlarged");
    const button = find('[data-tool="enlarge"]');
    put(button, on ? "Back to the bedside" : "Enlarge values");
    button.setAttribute("aria-pressed", String(on));
    scrollTo(0, 0);
  }

  function largeText() {
    const on = root.dataset.text !== "large";
    root.dataset.text = on ? "large" : "";
    setting.keep("text", root.dataset.text);
    find('[data-tool="text"]').setAttribute("aria-pressed", String(on));
    measureTop();
  }

  const keysPanel = find("#keys");
  const TOOLS = { enlarge, sound: turnSound, text: largeText, keys: () => keysPanel.showModal() };
  for (const button of all("[data-tool]")) button.addEventListener("click", () => TOOLS[button.dataset.tool]());
  find('[data-tool="text"]').setAttribute("aria-pressed", String(root.dataset.text === "large"));

  function goTo(selector) {
    const part = find(selector);
    if (!part) return;
    const target = part.matches("input, select, button, a") ? part : find("a, button, input, select", part) || part;
    part.closest(".card, .line")?.scrollIntoView({ block: "nearest" });
    target.focus();
  }

  const KEYS = {
    "?": () => keysPanel.showModal(),
    v: enlarge,
    o: () => goTo("#orders"),
    w: () => goTo("#work input.worked"),
    t: () => goTo("#trolley"),
    l: () => goTo(".path"),
    g: () => goTo('.give [name="volume"], .hand-part .slider'),
    p: () => goTo("#patient"),
    c: () => goTo('[aria-labelledby="flowsheet-title"] select'),
    r: () => goTo("#record"),
    s: turnSound,
    n: () => find(".leap")?.click(),
  };

  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.isComposing) return;
    if (event.target.closest("input, textarea, select, [contenteditable], dialog[open]")) return;
    if (event.key === "Escape") {
      if (root.classList.contains("enlarged")) enlarge();
      const open = find(".drawer.open");
      if (open) {
        open.classList.remove("open");
        markDrawers();
        all(`.station[data-drawer="${open.id}"]`).find((link) => link.getClientRects().length)?.focus();
      }
      return;
    }
    const act = KEYS[event.key.toLowerCase()];
    if (!act) return;
    event.preventDefault();
    act();
  });

  // How high the bars on top are, so that nothing scrolls away under them.
  function measureTop() {
    const narrow = getComputedStyle(find(".top")).display === "contents";
    const bar = find(narrow ? ".wrist" : ".top");
    const stays = getComputedStyle(bar).position === "sticky";
    root.style.setProperty("--top", `${stays ? bar.offsetHeight : 0}px`);
    root.style.setProperty("--alarms", `${find(narrow ? ".alarm-live" : "#alarms").offsetHeight}px`);
  }
  new ResizeObserver(measureTop).observe(document.body);

  // --- begin --------------------------------------------------------------------------------

  readClock();
  markDrawers();
  showSound();
  setInterval(tickSound, 250);
  requestAnimationFrame(frame);
})();
