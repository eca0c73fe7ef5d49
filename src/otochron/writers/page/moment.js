// The current moment: one place that the transcript, the drawing, the steps and the player share.
const units = $$("#speech .u");
let latest = 0; // lines may overlap: a start is never before that of an earlier unit
const starts = units.map((unit) => { latest = Math.max(latest, Number(unit.dataset.t)); return latest; });
const paragraphs = $$("#speech .p");
const stepButtons = $$("#step-list .stp");
const stepBars = new Map($$("#drawing rect.step").map((bar) => [Number(bar.dataset.s), bar]));
const doneSteps = D.steps.map((step, n) => ({ n, start: step[STEP.start], end: step[STEP.end], done: step[STEP.status] === "done" }))
  .filter((step) => step.done).sort((a, b) => a.start - b.start);
const doneStarts = doneSteps.map((step) => step.start);
let player = null;
let lastTouch = 0; // when the reader last scrolled by hand: playing does not pull the page away
let known = starts.length > 0;

const stepAt = (ms) => {
  const step = doneSteps[lastUpTo(doneStarts, ms)];
  return step && ms < step.end ? step.n : -1;
};
const unitAt = (ms) => Math.max(0, lastUpTo(starts, ms));
// Lists give whole seconds: the first statement that starts within that second, else the one that runs then.
const unitWithin = (ms) => {
  const next = lastUpTo(starts, ms - 1) + 1;
  return next < starts.length && starts[next] < ms + 1000 ? next : unitAt(ms);
};
const showHere = () => {
  $("#clock").value = clock(now.ms);
  const name = now.step >= 0 ? pick(D.steps[now.step][STEP.title]) : doneSteps.length ? say("between") : "";
  $("#here").textContent = name;
  const slider = $("#drawing");
  slider.setAttribute("aria-valuenow", String(Math.floor(now.ms / 1000)));
  slider.setAttribute("aria-valuetext", name ? `${clock(now.ms)}, ${name}` : clock(now.ms));
};
const setMoment = (ms, unit = unitAt(ms)) => {
  now.ms = Math.max(0, Math.min(D.length, ms));
  if (known && unit !== now.unit) {
    const focused = document.activeElement === units[now.unit];
    units[now.unit]?.classList.remove("now");
    units[now.unit]?.removeAttribute("aria-current");
    units[now.unit]?.removeAttribute("tabindex");
    now.unit = unit;
    units[unit].classList.add("now");
    units[unit].setAttribute("aria-current", "true");
    units[unit].tabIndex = 0;
    if (focused) units[unit].focus({ preventScroll: true });
  }
  const step = stepAt(now.ms);
  if (step !== now.step) {
    stepBars.get(now.step)?.classList.remove("now");
    stepBars.get(step)?.classList.add("now");
    stepButtons.forEach((b) => b.classList.toggle("now", Number(b.dataset.s) === step));
    now.step = step;
  }
  const line = $(".d-now");
  line.setAttribute("y1", `${(100 * now.ms) / D.length}%`);
  line.setAttribute("y2", `${(100 * now.ms) / D.length}%`);
  showHere();
};
const bring = (element, block = "center") => {
  element.scrollIntoView({ block });
  // Paragraphs that were not laid out yet change the height: once more when they are.
  requestAnimationFrame(() => element.scrollIntoView({ block }));
};
// Go to a moment: everything follows. `to` is the element to show, if not the unit itself.
const go = (ms, { unit, to, scroll = true, focus = false } = {}) => {
  const place = unit ?? (ms % 1000 ? unitAt(ms) : unitWithin(ms));
  setMoment(ms, known ? place : 0);
  if (player && Number.isFinite(player.duration)) player.currentTime = now.ms / 1000;
  $("#speech .r.at")?.classList.remove("at");
  if (to?.matches(".r")) to.classList.add("at");
  if (scroll && known) {
    showText();
    bring(to ?? units[place]);
  }
  if (focus && known) units[place].focus({ preventScroll: true });
};
const showText = () => { if (!wide.matches) setView("text"); };

const nextOf = (list, direction) => {
  const sorted = [...new Set(list)].sort((a, b) => a - b);
  return direction > 0 ? sorted.find((ms) => ms > now.ms + 1) : sorted.reverse().find((ms) => ms < now.ms - 1);
};
const enterStep = (n) => {
  const heading = $(`#step-${n}`);
  const unit = heading ? units.indexOf($(".u", heading.parentElement)) : -1;
  go(D.steps[n][STEP.start], unit >= 0 ? { to: heading, unit } : {});
};
const goStep = (direction) => {
  const ms = nextOf(doneStarts, direction);
  if (ms !== undefined) enterStep(doneSteps[doneStarts.indexOf(ms)].n);
};
const goAmong = (selector, direction) => {
  const ms = nextOf($$(selector).map((e) => Number(e.dataset.t ?? e.closest(".u").dataset.t)), direction);
  if (ms !== undefined) go(ms, { focus: true });
};
const goUnit = (direction) => {
  const place = Math.min(units.length - 1, Math.max(0, now.unit + direction));
  go(starts[place], { unit: place, focus: true });
};
const goParagraph = (direction) => {
  const here = paragraphs.indexOf(units[now.unit].closest(".p"));
  const next = paragraphs.filter((p) => !p.classList.contains("off"));
  const place = direction > 0 ? next.find((p) => paragraphs.indexOf(p) > here) : next.reverse().find((p) => paragraphs.indexOf(p) < here);
  const unit = place && units.indexOf($(".u", place));
  if (place) go(starts[unit], { unit, focus: true });
};

const play = () => { if (player) { if (player.paused) player.play().catch(() => {}); else player.pause(); } };
const follow = () => {
  if (player.seeking) return;
  const before = now.unit;
  setMoment(player.currentTime * 1000 + 1);
  if (player.paused || now.unit === before || Date.now() - lastTouch < 4000) return;
  const box = units[now.unit]?.getBoundingClientRect();
  const frame = $("#text").getBoundingClientRect();
  const top = Math.max(frame.top, 0) + 40, bottom = Math.min(frame.bottom, innerHeight) - 80;
  if (box && (box.top < top || box.bottom > bottom)) units[now.unit].scrollIntoView({ block: "center" });
};
const showWrong = (wrong) => {
  $("#media-wrong").hidden = !wrong;
  player.hidden = wrong;
  $("#play").hidden = wrong;
  $("#larger").hidden = wrong || player.tagName !== "VIDEO";
  tell("layout");
};
const usePlayer = (element) => {
  player = element;
  $("#play").hidden = false;
  $("#larger").hidden = player.tagName !== "VIDEO";
  player.addEventListener("timeupdate", follow);
  player.addEventListener("seeked", () => setMoment(player.currentTime * 1000 + 1)); // a seek may end a hair early
  for (const event of ["play", "pause"]) player.addEventListener(event, () => { $("#play").textContent = player.paused ? "▶" : "❚❚"; });
  player.addEventListener("error", () => showWrong(true));
  player.addEventListener("loadedmetadata", () => {
    showWrong(false);
    tell("layout");
    if (now.ms > 0) player.currentTime = now.ms / 1000;
  });
};
const setLarger = (larger) => {
  document.body.dataset.larger = String(larger);
  $("#larger").setAttribute("aria-pressed", String(larger));
};
const startMoment = () => {
  const text = $("#text");
  for (const event of ["wheel", "touchmove"]) addEventListener(event, () => { lastTouch = Date.now(); }, { passive: true });
  document.addEventListener("click", (event) => {
    const jump = event.target.closest("[data-t]");
    if (!jump || getSelection().toString()) return;
    const ms = Number(jump.dataset.t);
    if (jump.matches(".u")) {
      go(ms, { unit: units.indexOf(jump), scroll: false });
    } else if (jump.matches(".tm")) {
      go(ms, { unit: units.indexOf($(".u", jump.parentElement)), scroll: false });
    } else if (jump.matches(".stp")) {
      enterStep(Number(jump.dataset.s));
    } else {
      const to = jump.dataset.to && $(`#speech [data-r="${jump.dataset.to}"]`);
      go(ms, to ? { to, unit: units.indexOf(to.closest(".u")) } : {});
    }
  });
  $("#prev-step").addEventListener("click", () => goStep(-1));
  $("#next-step").addEventListener("click", () => goStep(1));
  $("#play").addEventListener("click", play);
  $("#larger").addEventListener("click", () => setLarger(document.body.dataset.larger !== "true"));
  const given = $("#player");
  if (given) {
    usePlayer(given);
    if (given.error || given.networkState === HTMLMediaElement.NETWORK_NO_SOURCE) showWrong(true);
  }
  $("#media-file").addEventListener("change", (event) => {
    const file = event.target.files[0];
    if (!file) return;
    player?.pause();
    player?.remove();
    const element = make(file.type.startsWith("audio") ? "audio" : "video", { id: "player", controls: true, src: URL.createObjectURL(file) });
    $("#media").prepend(element);
    usePlayer(element);
  });
  text.addEventListener("keydown", keyed);
  $("#drawing").addEventListener("keydown", keyed);
  on("language", showHere);
  const asked = /^#t=(\d+)/.exec(location.hash);
  setMoment(asked ? Number(asked[1]) * 1000 : starts[0] ?? 0);
  if (asked) go(now.ms);
};
const KEYS = {
  ArrowDown: () => goParagraph(1), ArrowUp: () => goParagraph(-1), ArrowRight: () => goUnit(1), ArrowLeft: () => goUnit(-1),
  Home: () => go(0, { focus: true }), End: () => go(D.length, { focus: true }),
  PageDown: () => goStep(1), PageUp: () => goStep(-1), " ": play,
  Enter: () => showUnit(units[now.unit], true),
};
const keyed = (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || event.target.matches("input, textarea, select") || !known) return;
  if (event.target.matches("button, a, summary") && (event.key === "Enter" || event.key === " ")) return;
  if (event.key === " " && !player) return;
  const back = event.shiftKey ? -1 : 1;
  const letter = { s: () => goStep(back), c: () => goAmong("#check .chk .go", back), r: () => goAmong("#speech .r:not(.r-kept)", back) }[event.key.toLowerCase()];
  const act = letter ?? KEYS[event.key];
  if (!act) return;
  event.preventDefault();
  const slider = event.currentTarget.id === "drawing";
  act();
  if (slider && event.key !== "Enter") $("#drawing").focus({ preventScroll: true });
};
