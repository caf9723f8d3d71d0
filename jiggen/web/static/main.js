// The page put together: tabs, form, drawings; what was typed comes back after a reload.

import { get } from "./api.js";
import { found, look, onFound, onPlace, show, tapped } from "./board.js";
import { builtPanel, builtSaid } from "./built.js";
import { byId, say, sentence } from "./dom.js";
import { nearest, showWrong } from "./fields.js";
import { begin, filePanel, fileSaid } from "./file.js";
import { jobForm } from "./jobform.js";
import { make, makePanel } from "./make.js";
import { printerPanel } from "./printer.js";
import { sheetPanel, showSheets } from "./sheets.js";
import { canUndo, onChange, recall, remember, store, undo } from "./store.js";

const TABS = ["job", "sheets", "built", "make", "printer", "file"];
const PANELS = {
  job: () => jobForm(),
  sheets: () => sheetPanel(makeOne),
  built: () => builtPanel(),
  make: () => makePanel(),
  printer: () => printerPanel(),
  file: () => filePanel(),
};

function openTab(name, focus = false) {
  store.view.tab = TABS.includes(name) ? name : "job";
  remember();
  for (const one of TABS) {
    const on = one === store.view.tab;
    byId(`tab-${one}`).setAttribute("aria-selected", String(on));
    byId(`tab-${one}`).tabIndex = on ? 0 : -1;
    byId(`panel-${one}`).hidden = !on;
  }
  byId("main").dataset.tab = store.view.tab;
  show(); // what was drawn while it was hidden has no flags at their places
  drawPanel();
  if (focus) byId(`tab-${store.view.tab}`).focus();
}

// The panel drawn anew: what has the focus and how far it is scrolled stay.
function drawPanel() {
  const name = store.view.tab;
  const focused = document.activeElement && document.activeElement.id;
  const from = byId("panels").scrollTop;
  byId(`panel-${name}`).replaceChildren(PANELS[name]());
  byId("panels").scrollTop = from;
  if (focused && byId(focused) && document.activeElement !== byId(focused)) byId(focused).focus({ preventScroll: true });
  said();
}

function said() {
  if (found.last) showWrong(found.last.problems);
  builtSaid();
  fileSaid();
  byId("undo").disabled = !canUndo();
  const job = store.state.job || {};
  const name = typeof job.name === "string" && job.name ? job.name : "A job without a name";
  byId("job-name").textContent = name;
  document.title = `${name} - jiggen`;
}

function makeOne(sheet) {
  openTab("make");
  make(sheet ? [sheet] : []);
}

function goToField(path) {
  openTab(path[0] === "as_built" ? "built" : "job");
  const all = [...document.querySelectorAll("[data-path]")];
  const index = nearest(path, all.map((one) => JSON.parse(one.dataset.path)));
  const target = index >= 0 ? all[index] : all.find((one) => JSON.parse(one.dataset.path)[0] === path[0]);
  if (!target) {
    openTab("file");
    return byId("job-text").focus();
  }
  for (let above = target.parentElement; above; above = above.parentElement) if (above.tagName === "DETAILS") above.open = true;
  target.focus();
  return target.scrollIntoView({ block: "center" });
}

function keys(event) {
  const index = TABS.indexOf(store.view.tab);
  const next = { ArrowRight: index + 1, ArrowLeft: index - 1, Home: 0, End: TABS.length - 1 }[event.key];
  if (next === undefined) return;
  event.preventDefault();
  openTab(TABS[(next + TABS.length) % TABS.length], true);
}

async function begun() {
  store.about = await get("/api/about");
  if (!recall()) {
    store.view.open = ["s-guard", "s-run-0"];
    store.state = {};
    store.view.fresh = true;
    await begin("stair", !/^en-US/.test(navigator.language));
    say("");
  }
  for (const one of TABS) byId(`tab-${one}`).addEventListener("click", () => openTab(one));
  byId("tabs").addEventListener("keydown", keys);
  byId("undo").addEventListener("click", () => { if (undo()) say("Taken back."); });
  byId("picture").addEventListener("click", (event) => {
    const post = tapped(event);
    if (!post) return;
    store.view.post = post;
    store.view.sheet = "";
    showSheets();
    openTab("sheets");
    byId("panels").scrollIntoView({ block: "start" });
  });
  byId("larger").addEventListener("click", () => {
    const large = byId("board").classList.toggle("large");
    byId("larger").setAttribute("aria-pressed", String(large));
    look(0);
  });
  byId("panels").addEventListener("focusin", (event) => {
    const path = event.target.dataset.path ? JSON.parse(event.target.dataset.path) : [];
    if (path[0] !== "run" || path[1] === store.view.run || !found.good || path[1] >= found.good.runs.length) return;
    store.view.run = path[1]; // the run that is typed at is the run that is drawn
    show();
  });
  onChange((whole) => { if (whole) drawPanel(); said(); look(); });
  onFound(() => { if (store.view.tab === "sheets" && found.last.planned) drawPanel(); said(); });
  onPlace(goToField);
  let width = window.innerWidth;
  window.addEventListener("resize", () => { if (window.innerWidth !== width) { width = window.innerWidth; look(200); } });
  byId("problems").open = window.innerWidth >= 900;
  openTab(store.view.tab);
  look(0);
  document.documentElement.dataset.ready = "yes";
}

begun().catch((error) => { byId("summary").textContent = `The page could not begin: ${sentence(error.message)}`; });
