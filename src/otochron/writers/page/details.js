// The card: what was understood at a place.
const card = $("#card");
let opener = null;
let scrolledFrom = 0;

const names = (n) => {
  const concept = D.concepts[n];
  const title = make("h4");
  const pair = [["en", concept[CONCEPT.en]], ["fr", concept[CONCEPT.fr]]];
  if (side()) pair.reverse();
  pair.forEach(([lang, text], at) => title.append(at ? " – " : "", make("span", { lang, text })));
  return title;
};
const line = (...parts) => make("p", {}, ...parts);
const repairLines = (repair) => {
  const [heard, text, decision, score, , others] = repair;
  const word = { applied: "now", suggested: "perhaps", kept: "kept" }[decision];
  const found = [line(`${say("heard")}: `, make("b", { text: heard }))];
  if (text && decision !== "kept") found.push(line(`${say(word)}: `, make("b", { text }), ` (${say("sure", { n: Math.round(score * 100) })})`));
  if (decision === "kept") found.push(line(say("kept")));
  if (others.length) found.push(line(`${say("other")}: ${others.join(", ")}`));
  return found;
};
const mentionItem = (n) => {
  const mention = D.mentions[n];
  const item = make("div", { className: "item" });
  const target = mention[MENTION.stands] >= 0 ? mention[MENTION.stands] : mention[MENTION.concept];
  const quoted = $$(`#speech [data-m="${n}"]`).map((element) => element.textContent).join(" ");
  const word = make("p", {}, make("q", { lang: mention[MENTION.language], text: quoted }));
  if (mention[MENTION.stands] >= 0) word.append(` ${say("stands")}`);
  item.append(word);
  if (target >= 0) item.append(names(target));
  const kind = pick(D.kinds[mention[MENTION.kind]] ?? [mention[MENTION.kind], mention[MENTION.kind]]);
  const status = pick(D.statuses[mention[MENTION.status]]);
  item.append(line([kind, status, ...(mention[MENTION.echo] ? [say("again")] : [])].join(" · ")));
  if (target >= 0) {
    const count = D.mentions.filter((m) => m[MENTION.concept] === target || m[MENTION.stands] === target).length;
    const all = make("button", { type: "button", text: say("all", { n: count }) });
    all.addEventListener("click", () => { closeCard(); searchConcept(target); });
    if (count > 1) item.append(all);
  }
  return item;
};
const sizeItem = (size) => {
  const item = make("div", { className: "item" });
  item.append(make("h4", { text: `${size[SIZE.about] ? `${say("about")} ` : ""}${pick(size[SIZE.shown])}` }));
  if (size[SIZE.of] >= 0) item.append(names(size[SIZE.of]));
  const told = [size[SIZE.role] && pick(size[SIZE.role]), pick(D.statuses[size[SIZE.status]]), size[SIZE.odd] && say("odd"), size[SIZE.echo] && say("again")];
  item.append(line(told.filter(Boolean).join(" · ")));
  return item;
};
const itemsOf = (elements) => {
  const found = [];
  const seen = new Set();
  const once = (key) => !seen.has(key) && seen.add(key);
  for (const element of elements) {
    const { r, m, z } = element.dataset;
    if (r !== undefined && once(`r${r}`)) found.push(make("div", { className: "item" }, ...repairLines(D.repairs[r])));
    if (z !== undefined && once(`z${z}`)) found.push(sizeItem(D.sizes[z]));
    if (m !== undefined && once(`m${m}`)) found.push(mentionItem(m));
    if (element.matches(".x") && once("x")) found.push(make("div", { className: "item", text: say("unclear") }));
  }
  return found;
};
const openCard = (anchor, items, focus) => {
  const close = make("button", { type: "button", className: "close", text: "×" });
  close.setAttribute("aria-label", say("close"));
  close.addEventListener("click", closeCard);
  card.replaceChildren(close, ...items);
  card.hidden = false;
  const box = anchor.getBoundingClientRect();
  card.style.maxHeight = "";
  const under = innerHeight - box.bottom - 18, over = box.top - 18;
  const below = card.offsetHeight <= under || under >= over;
  if (wide.matches) card.style.maxHeight = `${Math.max(120, below ? under : over)}px`;
  card.style.left = `${Math.max(8, Math.min(box.left, innerWidth - card.offsetWidth - 8))}px`;
  card.style.top = `${below ? box.bottom + 10 : box.top - card.offsetHeight - 10}px`;
  opener = focus ? anchor : null;
  scrolledFrom = $("#text").scrollTop;
  if (focus) card.focus();
};
const closeCard = () => {
  if (card.hidden) return;
  card.hidden = true;
  opener?.focus({ preventScroll: true });
  opener = null;
};
const showUnit = (unit, focus = false) => {
  if (!unit) return;
  const items = itemsOf($$(".r, .m, .z, .x", unit));
  openCard(unit, items.length ? items : [make("p", { text: say("nothing") })], focus);
};
const startDetails = () => {
  document.addEventListener("click", (event) => {
    if (event.target.closest("#card")) return;
    const marked = event.target.closest("#speech .r, #speech .m, #speech .z, #speech .x");
    if (!marked || getSelection().toString()) { closeCard(); return; }
    const chain = [];
    for (let e = event.target; e && !e.matches(".u"); e = e.parentElement) if (e.matches(".r, .m, .z, .x")) chain.push(e);
    const inside = chain.some((e) => e.matches(".m")) ? [] : $$(".m, .z", chain[0]);
    openCard(marked, itemsOf([...chain.reverse(), ...inside]), false);
  });
  document.addEventListener("keydown", (event) => {
    if (event.key !== "Escape") return;
    if (!card.hidden) closeCard();
    else if ($("#q").value) { $("#q").value = ""; search(); }
  });
  $("#text").addEventListener("scroll", () => { if (!opener && Math.abs($("#text").scrollTop - scrolledFrom) > 60) closeCard(); }, { passive: true });
  on("language", closeCard);
};
