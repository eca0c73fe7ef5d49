// Search: a word as it stands, or a term by any of its names in either language. Filters share the marks.
let hits = []; // elements in order of reading
let hitAt = -1;
let chosen = null; // a concept chosen from a list
let mentionElements = null; // elements by mention
let unitTexts = null; // folded texts of the units
let conceptForms = null;

const prepare = () => {
  if (mentionElements) return;
  mentionElements = D.mentions.map(() => []);
  for (const element of $$("#speech [data-m]")) mentionElements[element.dataset.m].push(element);
  unitTexts = units.map((unit) => fold(unit.textContent));
  conceptForms = D.concepts.map((concept) => concept[CONCEPT.forms].split("|"));
};
const letter = /[\p{L}\p{N}]/u;
// Where a word of a folded text starts with the query.
const wordPlaces = (text, query) => {
  const found = [];
  for (let at = text.indexOf(query); at >= 0; at = text.indexOf(query, at + 1)) if (!at || !letter.test(text[at - 1])) found.push(at);
  return found;
};
const singular = (form) => form.replace(/(?<=\p{L}{3})(?:es|s|x)$/u, "");
// Terms whose name is the query; failing that, terms of which a name starts with it; and those that only hold it.
const termsFor = (query) => {
  const same = [], begun = [], held = [];
  conceptForms.forEach((forms, n) => {
    if (forms.some((form) => form === query || singular(form) === singular(query))) same.push(n);
    else if (D.concepts[n][CONCEPT.kind] === "side") return; // sides are named with every part: "left stapes"
    else if (query.length > 2 && forms.some((form) => form.startsWith(query))) begun.push(n);
    else if (query.length > 3 && forms.some((form) => wordPlaces(form, query).length)) held.push(n);
  });
  return same.length ? { found: same, also: [...begun, ...held] } : { found: begun, also: held };
};
const stepConcept = (n) => ["step", "phase"].includes(D.concepts[n][CONCEPT.kind]);
const mark = (text) => {
  const ranges = [];
  for (const [unit, places] of text) {
    const walker = document.createTreeWalker(unit, NodeFilter.SHOW_TEXT);
    const nodes = [];
    let length = 0;
    for (let node = walker.nextNode(); node; node = walker.nextNode()) {
      // A folded letter may be two (œ): places are counted letter by letter.
      for (let at = 0; at < node.length; at += 1) {
        const size = fold(node.data[at]).length;
        for (let n = 0; n < size; n += 1) nodes.push([node, at]);
        length += size;
      }
    }
    for (const [from, to] of places) {
      if (!nodes[from] || !nodes[to - 1]) continue;
      const range = new Range();
      range.setStart(...nodes[from]);
      range.setEnd(nodes[to - 1][0], nodes[to - 1][1] + 1);
      ranges.push(range);
    }
  }
  if (window.Highlight && CSS.highlights) CSS.highlights.set("words", new Highlight(...ranges));
  return Boolean(window.Highlight && CSS.highlights);
};
const clearHits = () => {
  $$("#speech .hit").forEach((element) => element.classList.remove("hit", "at"));
  $$("#speech .at").forEach((element) => element.classList.remove("at"));
  window.CSS?.highlights?.delete("words");
  hits = []; hitAt = -1;
};
const order = (a, b) => (a.compareDocumentPosition(b) & Node.DOCUMENT_POSITION_FOLLOWING ? -1 : 1);

const search = () => {
  const query = fold($("#q").value.trim().replace(/\s+/g, " "));
  clearHits();
  if (query.length < 2) { chosen = null; $("#concepts").hidden = true; showFilters(); return; }
  prepare();
  const { found, also } = chosen !== null ? { found: [chosen], also: [] } : termsFor(query);
  const wanted = new Set(found.filter((n) => !stepConcept(n)));
  const elements = new Set();
  D.mentions.forEach((mention, n) => {
    if (wanted.has(mention[MENTION.concept]) || wanted.has(mention[MENTION.stands])) mentionElements[n].slice(0, 1).forEach((e) => elements.add(e));
  });
  elements.forEach((element) => element.classList.add("hit"));
  if (chosen === null) {
    const literal = new Map();
    unitTexts.forEach((text, n) => { const places = wordPlaces(text, query); if (places.length) literal.set(units[n], places.map((at) => [at, at + query.length])); });
    const marked = mark(literal);
    for (const unit of literal.keys()) if (![...elements].some((e) => unit.contains(e))) { elements.add(unit); if (!marked) unit.classList.add("hit"); }
  }
  hits = [...elements].sort(order);
  showConcepts(found, also);
  showHits();
};
const showHits = () => {
  const some = hits.length > 0;
  for (const id of ["#prev-hit", "#next-hit"]) $(id).hidden = !some;
  const asked = $("#q").value.trim().length > 1 || filtering();
  $("#found").textContent = some ? say("hits", { n: hitAt + 1 || "–", all: hits.length }) : asked ? say("none") : "";
  drawHits(hits.map((element) => Number(element.closest(".u").dataset.t)));
  showOnly();
};
const showConcepts = (found, also) => {
  const box = $("#concepts");
  const button = (n) => {
    const step = stepConcept(n) ? D.steps.find((s) => s[STEP.concept] === n) : null;
    const concept = D.concepts[n];
    const b = make("button", { type: "button" });
    if (step) b.append(`${pick(step[STEP.title])} ${clock(step[STEP.start])}`);
    else {
      const [here, there] = side() ? ["fr", "en"] : ["en", "fr"];
      b.append(make("span", { lang: here, text: concept[CONCEPT[here]] }), " · ", make("span", { lang: there, text: concept[CONCEPT[there]] }));
    }
    b.addEventListener("click", () => (step ? enterStep(D.steps.indexOf(step)) : searchConcept(n)));
    return b;
  };
  box.replaceChildren();
  if (found.length) box.append(...found.slice(0, 8).map(button));
  if (also.length) box.append(make("span", { className: "hint", text: say("also") }), ...also.slice(0, 6).map(button));
  box.hidden = !found.length && !also.length;
  tell("layout");
};
const searchConcept = (n) => {
  chosen = n;
  $("#q").value = D.concepts[n][side() ? CONCEPT.fr : CONCEPT.en];
  showText();
  search();
  goHit(1);
};
const goHit = (direction) => {
  if (!hits.length) return;
  hits[hitAt]?.classList.remove("at");
  hitAt = hitAt < 0 ? (direction > 0 ? 0 : hits.length - 1) : (hitAt + direction + hits.length) % hits.length;
  const element = hits[hitAt];
  element.classList.add("at");
  const unit = element.closest(".u");
  go(Number(unit.dataset.t), { unit: units.indexOf(unit), to: element });
  showHits();
};

// Filters by kind, state and kind of speech: what is ticked within a box list is joined by "or", the lists by "and".
const ticked = (name) => new Set($$(`${name}:checked`).map((box) => box.value));
const filtering = () => $$("#words fieldset input:checked").length > 0;
const showFilters = () => {
  $$("#speech .on").forEach((element) => element.classList.remove("on"));
  const kinds = ticked(".fk"), states = ticked(".f-status"), speech = ticked(".f-register");
  $("#clear").hidden = !filtering();
  const searching = $("#q").value.trim().length > 1;
  const elements = [];
  if (kinds.size || states.size) {
    prepare();
    D.mentions.forEach((mention, n) => {
      const [element] = mentionElements[n];
      if (!element || (kinds.size && !kinds.has(mention[MENTION.kind])) || (states.size && !states.has(mention[MENTION.status]))) return;
      if (speech.size && ![...speech].some((name) => element.closest(`.g-${name}`))) return;
      mentionElements[n].forEach((e) => e.classList.add("on"));
      elements.push(element);
    });
  } else if (speech.size) {
    for (const name of speech) for (const unit of $$(`#speech .g-${name}`)) { unit.classList.add("on"); elements.push(unit); }
  }
  if (!searching) { hits = elements.sort(order); hitAt = -1; showHits(); } else showOnly();
};
const showOnly = () => {
  const only = $("#only").checked && (hits.length > 0 || filtering());
  const kept = new Set(hits.map((element) => element.closest(".p")));
  paragraphs.forEach((p) => p.classList.toggle("off", only && !kept.has(p)));
  $$("#speech .part").forEach((part) => part.classList.toggle("off", only && !$(".p:not(.off)", part)));
};
const startSearch = () => {
  let wait = 0;
  $("#q").addEventListener("input", () => { chosen = null; clearTimeout(wait); wait = setTimeout(search, 120); });
  $("#search").addEventListener("submit", (event) => {
    event.preventDefault();
    clearTimeout(wait);
    if (!hits.length) search();
    goHit(1);
  });
  $("#next-hit").addEventListener("click", () => goHit(1));
  $("#prev-hit").addEventListener("click", () => goHit(-1));
  $("#words").addEventListener("change", (event) => { if (event.target.id === "only") showOnly(); else showFilters(); });
  $("#words").addEventListener("click", (event) => {
    const button = event.target.closest(".con");
    if (button) searchConcept(D.concepts.findIndex((concept) => concept[CONCEPT.id] === button.dataset.c));
    if (event.target.closest("#clear")) { $$("#words input:checked").forEach((box) => { box.checked = false; }); showFilters(); }
  });
  on("language", () => { if ($("#q").value) search(); });
};
