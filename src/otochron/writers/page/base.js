// The data, the words of the interface, the languages and the light.
const D = JSON.parse(document.getElementById("data").textContent);
const $ = (selector, root = document) => root.querySelector(selector);
const $$ = (selector, root = document) => [...root.querySelectorAll(selector)];
// Places in the lists of the data block, in the order in which data.py packs them.
const CONCEPT = { id: 0, kind: 1, en: 2, fr: 3, forms: 4 };
const MENTION = { concept: 0, kind: 1, status: 2, ms: 3, repair: 4, stands: 5, echo: 6, language: 7 };
const REPAIR = { heard: 0, text: 1, decision: 2, score: 3, concept: 4, others: 5 };
const SIZE = { shown: 0, of: 1, role: 2, status: 3, about: 4, odd: 5, echo: 6 };
const STEP = { start: 0, end: 1, title: 2, status: 3, concept: 4 };

const root = document.documentElement;
const store = {
  get(key) { try { return localStorage.getItem(`otochron.${key}`); } catch { return null; } },
  set(key, value) { try { localStorage.setItem(`otochron.${key}`, value); } catch { /* a page from a disk may have no store */ } },
};
const now = { ms: 0, unit: -1, step: -1 };
const heard = {}; // listeners by event: "language", "moment", "layout"
const on = (event, listener) => (heard[event] ??= []).push(listener);
const tell = (event) => (heard[event] ?? []).forEach((listener) => listener());

const side = () => (root.lang === "fr" ? 1 : 0);
const pick = (pair) => pair[side()];
const say = (word, values = {}) => pick(D.words[word]).replace(/\{(\w+)\}/g, (_, name) => values[name] ?? "");
const fold = (text) => text.normalize("NFD").replace(/\p{M}/gu, "").toLowerCase().replace(/[’ʼ]/g, "'").replace(/œ/g, "oe").replace(/æ/g, "ae").replace(/[-‐‑]/g, " ");
const clock = (ms) => {
  const s = Math.floor(ms / 1000);
  const two = (n) => String(n).padStart(2, "0");
  return s >= 3600 ? `${Math.floor(s / 3600)}:${two(Math.floor(s / 60) % 60)}:${two(s % 60)}` : `${Math.floor(s / 60)}:${two(s % 60)}`;
};
const make = (tag, { text, ...more } = {}, ...inside) => {
  const element = Object.assign(document.createElement(tag), more);
  if (text !== undefined) element.textContent = text;
  element.append(...inside);
  return element;
};
// The last place of a sorted list whose value is at most x.
const lastUpTo = (list, x) => {
  let low = 0, high = list.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (list[middle] <= x) low = middle + 1; else high = middle;
  }
  return low - 1;
};
const wide = matchMedia("(min-width: 56.25rem)");

const setLanguage = (lang) => {
  root.lang = lang;
  document.title = document.body.getAttribute(`data-title-${lang}`);
  $$("[data-lang]").forEach((b) => b.setAttribute("aria-pressed", String(b.dataset.lang === lang)));
  $$("[data-label-en]").forEach((e) => {
    e.setAttribute("aria-label", e.getAttribute(`data-label-${lang}`));
    if (e.matches("button")) e.title = e.getAttribute(`data-label-${lang}`); // its face is a sign
  });
  $("#q").placeholder = $("#q").getAttribute(`data-ph-${lang}`);
  store.set("language", lang);
  tell("language");
};
const setTheme = (theme) => { root.dataset.theme = theme; store.set("theme", theme); };
const setShow = (name, value) => {
  document.body.setAttribute(`data-${name}`, String(value));
  $(`[data-show=${name}]`).setAttribute("aria-pressed", String(value));
  tell("layout");
};

const startBase = () => {
  const theme = store.get("theme");
  if (theme === "light" || theme === "dark") setTheme(theme);
  setShow("heard", false); setShow("marks", true); setShow("tongues", false);
  const wanted = store.get("language") ?? (navigator.language || "en").slice(0, 2);
  setLanguage(wanted === "fr" ? "fr" : "en");
  $("#tools").addEventListener("click", (event) => {
    const lang = event.target.closest("[data-lang]")?.dataset.lang;
    if (lang) setLanguage(lang);
    if (event.target.closest("#theme")) {
      const dark = root.dataset.theme ? root.dataset.theme === "dark" : matchMedia("(prefers-color-scheme: dark)").matches;
      setTheme(dark ? "light" : "dark");
    }
    if (event.target.closest("#keys-open")) $("#keys").showModal();
  });
  $("#shows").addEventListener("click", (event) => {
    const button = event.target.closest("[data-show]");
    if (button) setShow(button.dataset.show, button.getAttribute("aria-pressed") !== "true");
  });
  $("#estimated").hidden = !D.estimated;
};
