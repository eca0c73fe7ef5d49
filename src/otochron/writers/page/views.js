// Views and ticks; then the start.
const setView = (view) => {
  document.body.dataset.view = view;
  if (["check", "note", "words"].includes(view)) document.body.dataset.panel = view;
  showView();
};
const showView = () => {
  const { view, panel } = document.body.dataset;
  $$("#views button").forEach((button) => button.setAttribute("aria-pressed", String(button.dataset.view === (wide.matches ? panel : view))));
  tell("layout");
};
const startViews = () => {
  $("#views").addEventListener("click", (event) => {
    const view = event.target.closest("[data-view]")?.dataset.view;
    if (!view) return;
    const back = view === "text" && document.body.dataset.view !== "text";
    setView(view);
    if (wide.matches) $("#panel").scrollTop = 0;
    else if (back && known) bring(units[now.unit]);
    else scrollTo(0, 0);
  });
  wide.addEventListener("change", showView);
  const boxes = $$(".seen");
  const key = `seen.${D.key}`;
  const ticks = new Set((store.get(key) ?? "").split(" "));
  const count = () => { $("#seen-count").textContent = boxes.length ? say("seen", { n: boxes.filter((b) => b.checked).length, all: boxes.length }) : ""; };
  boxes.forEach((box) => { box.checked = ticks.has(box.dataset.k); });
  $("#check").addEventListener("change", () => { store.set(key, boxes.filter((b) => b.checked).map((b) => b.dataset.k).join(" ")); count(); });
  on("language", count);
  // Paper cannot unfold: what is folded in the checks is printed too.
  let folded = [];
  addEventListener("beforeprint", () => { folded = $$("#check details:not([open])"); folded.forEach((d) => { d.open = true; }); });
  addEventListener("afterprint", () => folded.forEach((d) => { d.open = false; }));
  showView();
};

startBase();
startViews();
startMoment();
startCourse();
startDetails();
startSearch();
setLanguage(root.lang);
