// The jigs of the job: how each goes together, and its panels as they are cut.

import { send } from "./api.js";
import { request } from "./board.js";
import { button, byId, drawn, h, say, sentence } from "./dom.js";
import { change, store, unit } from "./store.js";
import { resize, zoomed } from "./zoom.js";

let shown = { id: "", page: 0 };
let asking = null;

export function jigPart(makeOne) {
  if (!store.state.jig) {
    return h("div", {}, h("p", { class: "help" }, "This job has no jigs: plates with guide holes, cut from board, for posts that are alike."),
      button("Add jigs to the job", addJigs, { id: "add-jigs" }));
  }
  fetchJig(makeOne);
  return h("div", { id: "jig-view", "aria-busy": "true" }, h("p", {}, "The jig is being drawn."));
}

function addJigs() {
  const like = Object.fromEntries(store.about.forms.jig.map((spec) => [spec.key, spec.like[unit() === "mm" ? 1 : 0]]));
  const list = (key) => like[key].split(",").map((one) => one.trim());
  change(["jig"], { thickness: like.thickness, kerf: like.kerf, bed: list("bed"), stock: list("stock") }, true);
  say("Jigs added. The board, its kerf and the bed stand under Job, Jigs.");
}

async function fetchJig(makeOne) {
  if (asking) asking.abort();
  asking = new AbortController();
  try {
    const answer = await send("/api/jig", request({ jig: shown.id }), asking.signal);
    const place = byId("jig-view");
    if (!place) return;
    place.removeAttribute("aria-busy");
    place.replaceChildren(view(answer, makeOne));
    if (answer.shown) resize(answer.shown.pictures[shown.page]);
  } catch (error) {
    if (error.name !== "AbortError") byId("jig-view")?.replaceChildren(h("p", { class: "wrong", role: "alert" }, sentence(error.message)));
  }
}

function view(answer, makeOne) {
  const wrong = (answer.problems || []).map((one) => h("p", { class: `wrong ${one.level}` }, `${one.where}: ${one.found}; ${one.remedy}.`));
  const jig = answer.shown;
  if (!jig) return h("div", {}, wrong, h("p", {}, "No jig can be made as the job stands."));
  shown.id = jig.id;
  if (shown.page >= jig.pictures.length) shown.page = 0;
  const picture = jig.pictures[shown.page];
  const choose = h("select", { id: "jig-choice", onchange: (event) => { shown = { id: event.target.value, page: 0 }; fetchJig(makeOne); } },
    answer.jigs.map((one) => h("option", { value: one.id }, one.title)));
  choose.value = jig.id;
  const pages = jig.pictures.map((one, index) => button(one.name, () => { shown.page = index; fetchJig(makeOne); }, { id: `jig-page-${index}`, "aria-pressed": String(index === shown.page) }));
  const svg = drawn(picture.svg, `Jig ${jig.title}: ${picture.name}`);
  svg.classList.toggle("cut", shown.page > 0);
  const sheet = /^S[0-9]+$/.test(jig.id) ? jig.id : "";
  return h("div", { class: "sheet" },
    h("div", { class: "about" },
      h("div", { class: "field" }, h("label", { for: "jig-choice" }, "Jig"), choose),
      h("div", { class: "row pages", role: "group", "aria-label": "What is shown of the jig" }, pages),
      h("p", {}, `${jig.words}.`), wrong,
      h("ul", { class: "notes" }, jig.notes.map((note) => h("li", {}, note))),
      h("p", { class: "help" }, "The files for the cutter, SVG and DXF, come with the packet."),
      h("div", { class: "row" }, button(sheet ? `Make sheet ${sheet} and its jig alone` : "Make the packet", () => makeOne(sheet), { id: "make-jig" }))),
    zoomed(svg, "The jig, scrolls"));
}
