// The drawing: pointing at a time, names of steps beside it, the part of the transcript that is in view.
const SVG = "http://www.w3.org/2000/svg";
const ROW = [13, 17]; // least and usual height of a name in px
const drawing = $("#drawing");
const svg = $("#drawing-svg");

const msAt = (event) => {
  const box = drawing.getBoundingClientRect();
  return Math.round(D.length * Math.min(1, Math.max(0, (event.clientY - box.top) / box.height)));
};
const tip = make("div", { id: "tip", hidden: true });
const point = (event) => {
  const ms = msAt(event);
  const step = stepAt(ms);
  tip.textContent = clock(ms) + (step >= 0 ? `  ${pick(D.steps[step][STEP.title])}` : "");
  tip.style.top = `${event.clientY - $("#course").getBoundingClientRect().top + $("#course").scrollTop - 10}px`;
  tip.hidden = !wide.matches;
};
// Spread wanted places so that rows of one height do not overlap and stay between 0 and the end: pools of
// neighbours that touch move together to their mean.
const spread = (wanted, height, end) => {
  const pools = [];
  for (const [n, y] of wanted.entries()) {
    let pool = { first: n, count: 1, sum: y, top: 0 };
    const place = (p) => { p.top = Math.min(Math.max(0, p.sum / p.count - (height * (p.count - 1)) / 2), Math.max(0, end - height * p.count)); };
    place(pool);
    while (pools.length && pools.at(-1).top + pools.at(-1).count * height > pool.top) {
      const before = pools.pop();
      pool = { first: before.first, count: before.count + pool.count, sum: before.sum + pool.sum, top: 0 };
      place(pool);
    }
    pools.push(pool);
  }
  return pools.flatMap((pool) => Array.from({ length: pool.count }, (_, n) => pool.top + n * height));
};
const placeNames = () => {
  const course = $("#course");
  const room = drawing.clientHeight;
  course.classList.add("placed");
  const list = $("#step-list");
  if (!list) return;
  $(".d-lead")?.remove();
  const beside = getComputedStyle(list).position === "absolute";
  for (const button of stepButtons) { button.parentElement.style.top = ""; button.parentElement.hidden = false; }
  if (!beside || !room) return;
  // What does not fit is left out, shortest first; the legend's list and the transcript still hold it.
  const row = Math.max(ROW[0], Math.min(ROW[1], Math.floor(room / stepButtons.length)));
  list.style.setProperty("--row", `${row}px`);
  const most = Math.max(1, Math.floor(room / row));
  const all = stepButtons.map((b) => ({ b, ms: Number(b.dataset.t), long: Number(b.dataset.e) - Number(b.dataset.t) }));
  const kept = new Set([...all].sort((x, y) => y.long - x.long).slice(0, most));
  const shown = all.filter((x) => kept.has(x));
  all.filter((x) => !kept.has(x)).forEach((x) => { x.b.parentElement.hidden = true; });
  const middle = (x) => (room * (x.ms + Math.min(x.long, 20000) / 2)) / D.length - row / 2;
  const tops = spread(shown.map(middle), row, room);
  const leads = document.createElementNS(SVG, "g");
  leads.setAttribute("class", "d-lead");
  shown.forEach((x, n) => {
    x.b.parentElement.style.top = `${tops[n]}px`;
    const path = document.createElementNS(SVG, "path");
    const from = middle(x) + row / 2, to = tops[n] + row / 2;
    path.setAttribute("d", `M107 ${from}H110L121 ${to}H126`);
    leads.append(path);
  });
  svg.prepend(leads);
};
// Places of hits on the drawing; at most one for each pixel or so.
const drawHits = (list) => {
  const layer = $(".d-hits");
  layer.replaceChildren();
  const seen = new Set();
  for (const ms of list) {
    const share = Math.round((500 * ms) / D.length);
    if (seen.has(share)) continue;
    seen.add(share);
    const rect = document.createElementNS(SVG, "rect");
    for (const [name, value] of Object.entries({ x: 66, y: `${share / 5}%`, width: 6, height: 2.5 })) rect.setAttribute(name, value);
    layer.append(rect);
  }
};
const inView = new Set();
const drawView = () => {
  const times = [...inView].flatMap((p) => { const own = $$(".u", p); return own.length ? [Number(own[0].dataset.t), Number(own.at(-1).dataset.t)] : []; });
  const layer = $(".d-view");
  layer.replaceChildren();
  if (!times.length) return;
  const low = Math.min(...times), high = Math.max(...times);
  const rect = document.createElementNS(SVG, "rect");
  for (const [name, value] of Object.entries({ x: 30, width: 80, y: `${(100 * low) / D.length}%`, height: `${(100 * Math.max(high - low, D.length / 100)) / D.length}%` })) rect.setAttribute(name, value);
  layer.append(rect);
};
const startCourse = () => {
  $("#course").append(tip);
  let held = false;
  drawing.addEventListener("pointerdown", (event) => {
    held = true;
    drawing.setPointerCapture(event.pointerId);
    go(msAt(event));
    event.preventDefault();
    drawing.focus({ preventScroll: true });
  });
  drawing.addEventListener("pointermove", (event) => { point(event); if (held) go(msAt(event)); });
  for (const event of ["pointerup", "pointercancel"]) drawing.addEventListener(event, () => { held = false; });
  drawing.addEventListener("pointerleave", () => { tip.hidden = true; });
  const watcher = new IntersectionObserver((entries) => {
    for (const entry of entries) { if (entry.isIntersecting) inView.add(entry.target); else inView.delete(entry.target); }
    drawView();
  });
  paragraphs.forEach((p) => watcher.observe(p));
  $("#speech").classList.toggle("long", paragraphs.length > 250);
  new ResizeObserver(placeNames).observe(drawing);
  wide.addEventListener("change", placeNames);
  const strip = () => {
    root.style.setProperty("--strip-top", `${Math.max(0, $("#search").getBoundingClientRect().bottom) + 10}px`);
    root.style.setProperty("--foot", `${$("#foot").offsetHeight}px`);
    root.style.setProperty("--strip-bottom", `${$("#foot").offsetHeight + $("#media").offsetHeight + 10}px`);
  };
  addEventListener("scroll", strip, { passive: true });
  addEventListener("resize", strip);
  on("layout", strip);
  strip();
};
