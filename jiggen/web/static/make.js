// The packet made, watched, cancelled, downloaded.

import { get, remove, send } from "./api.js";
import { found, request } from "./board.js";
import { placeWords } from "./places.js";
import { button, byId, h, say, sentence } from "./dom.js";
import { store } from "./store.js";

let running = null;
let last = "";
const wish = { paper: "", draft: false, jigs: true, made: null };
let printers = [];
let chosen = "";

// The id of the packet that was made last, "" before the first.
export function lastPacket() {
  return last;
}

// How an opened packet was made: it is made so again until something else is chosen.
export function madeWith(made) {
  wish.made = made && made.correction ? made : null;
  wish.paper = (made && made.paper) || "";
  wish.draft = Boolean(made && made.draft);
  wish.jigs = !made || made.jigs !== "none";
  chosen = wish.made ? "made" : "";
}

export function makePanel() {
  const papers = store.about.choices.papers;
  const paper = h("select", { id: "make-paper", onchange: (event) => { wish.paper = event.target.value; aim(); } },
    h("option", { value: "" }, "as the job says"), papers.map((one) => h("option", { value: one }, one)));
  paper.value = wish.paper;
  const box = (id, key, words) => h("div", { class: "field flag" },
    h("input", { type: "checkbox", id, checked: wish[key], onchange: (event) => { wish[key] = event.target.checked; } }), h("label", { for: id }, words));
  listPrinters();
  const scale = h("a", { class: "file", id: "make-scale" }, h("span", {}, "Scale page: print it first, it proves the printer (PDF)"));
  const aim = () => {
    const size = wish.paper || (found.good && found.good.paper) || "letter";
    scale.href = `/api/scale/${size}`;
    scale.download = `scale-${size}.pdf`;
  };
  aim();
  return h("div", {},
    h("div", { class: "fields" },
      h("div", { class: "field" }, h("label", { for: "make-paper" }, "Paper"), paper),
      h("div", { class: "field" }, h("label", { for: "make-printer" }, "Printer"),
        h("select", { id: "make-printer", onchange: (event) => { chosen = event.target.value; } }, h("option", { value: "" }, "any, not corrected")),
        h("p", { class: "help" }, "one that is kept under Printer: every page is corrected for it and its paper"))),
    store.state.jig && box("make-jigs", "jigs", "Jigs too"),
    scale,
    box("make-draft", "draft", "Draft: make it in spite of a stop, DRAFT on every page"),
    h("div", { class: "row" }, button("Make the packet", () => make([]), { id: "make", class: "main" })),
    h("div", { id: "making" }));
}

async function listPrinters() {
  const answer = await get("/api/printers").catch(() => ({ printers: [] }));
  printers = answer.printers;
  const place = byId("make-printer");
  if (!place) return;
  if (wish.made) place.append(h("option", { value: "made" }, `${wish.made.printer}, as the packet was made`));
  printers.forEach((one, index) => place.append(h("option", { value: String(index) }, `${one.name} on ${one.paper}`)));
  place.value = chosen;
  if (place.selectedIndex < 0) { place.value = ""; chosen = ""; }
}

function options(only) {
  const asked = { draft: wish.draft, only };
  if (wish.paper) asked.paper = wish.paper;
  if (!wish.jigs) asked.jigs = "none";
  const printer = chosen === "made" ? wish.made : printers[Number(chosen)];
  if (chosen !== "" && printer) {
    asked.printer = chosen === "made" ? printer.printer : printer.name;
    asked.correction = printer.correction;
    if (chosen !== "made") asked.paper = printer.paper;
  }
  return asked;
}

export async function make(only) {
  if (running) return;
  running = { id: "" };
  say("");
  const place = byId("making");
  place.replaceChildren(h("p", { role: "status" }, only.length ? `Sheet ${only.join(", ")} is being made.` : "The packet is being made."));
  try {
    let told = await send("/api/builds", request({ options: options(only) }));
    running.id = told.id;
    const bar = h("progress", { id: "make-progress", max: "1", "aria-label": "How far the packet is" });
    const words = h("p", { role: "status", "aria-live": "polite" });
    place.replaceChildren(words, bar, h("div", { class: "row" }, button("Cancel", () => remove(`/api/builds/${told.id}`), { id: "make-cancel", class: "away" })));
    while (told.state === "waiting" || told.state === "working") {
      const said = told.state === "waiting" ? "Waiting to begin." : `Drawing and measuring: ${told.done} of ${told.total}.`;
      if (words.textContent !== said) words.textContent = said;
      if (told.total > 1) { bar.max = told.total; bar.value = told.done; }
      await new Promise((go) => { setTimeout(go, 300); });
      told = await get(`/api/builds/${told.id}`);
    }
    if (told.state === "done") last = told.id;
    place.replaceChildren(result(told));
  } catch (error) {
    place.replaceChildren(h("p", { class: "wrong", role: "alert" }, `It was not made. ${sentence(error.message)}`));
  } finally {
    running = null;
  }
}

const WHAT = [
  [/^packet\.pdf$/, "everything to print, and the job in it"],
  [/^sheets\/.*\.pdf$/, "one sheet to print"],
  [/^drill-list/, "every hole with its drill, a table"],
  [/^cut-list/, "lengths of cable, a table"],
  [/^hardware/, "what to order, a table"],
  [/^jigs\/.*\.svg$/, "for a laser cutter"],
  [/^jigs\/.*\.dxf$/, "for a router or a shop"],
  [/^job\.toml$/, "the job, to open again"],
  [/^sheets\/.*\.svg$/, "one sheet, not cut into pages"],
  [/^preview/, "the cover as a picture"],
  [/^plan\.json$/, "every figure, for other programs"],
];

function result(told) {
  if (told.state === "cancelled") return h("p", { role: "status" }, "Cancelled; nothing was made.");
  if (told.state === "failed") return h("p", { class: "wrong", role: "alert" }, `It was not made: ${told.words}.`);
  if (told.state === "refused") {
    const stops = told.problems.filter((problem) => problem.level === "stop");
    return h("div", { role: "alert" }, h("p", { class: "wrong" }, "It was not made, these stops stand in the way:"),
      h("ul", {}, stops.map((one) => h("li", {}, `${placeWords(one)}: ${one.found}; ${one.remedy}.`))));
  }
  const link = ([name, size]) => h("li", {}, h("a", { href: `/api/builds/${told.id}/files/${name}`, download: name.split("/").pop(), class: "file" },
    h("span", {}, name, h("small", {}, (WHAT.find(([pattern]) => pattern.test(name)) || ["", ""])[1])), h("span", { class: "size" }, sized(size))));
  const sorted = [...told.files].sort((a, b) => rank(a[0]) - rank(b[0]));
  say("The packet is made.");
  return h("div", { id: "made" },
    h("p", { role: "status" }, `Made: ${told.files.length} files, ${told.pages} pages of sheets on ${told.paper}. Read back: ${told.marks} marks, the worst ${told.worst_mm.toFixed(4)} mm off. Print at 100 %, then check the rulers on every page.`),
    h("ul", { class: "files" }, sorted.map(link),
      h("li", {}, h("a", { href: `/api/builds/${told.id}/files/packet.zip`, download: "packet.zip", class: "file" }, h("span", {}, "packet.zip", h("small", {}, "all of these in one file"))))),
    told.notes.map((note) => h("p", { class: "help" }, note)));
}

function rank(name) {
  return WHAT.findIndex(([pattern]) => pattern.test(name));
}

function sized(bytes) {
  return bytes > 1e6 ? `${(bytes / 1e6).toFixed(1)} MB` : `${Math.max(1, Math.round(bytes / 1e3))} kB`;
}
