// A post's sheets at true proportions, and what each mark on them says; the jigs beside them.

import { send } from "./api.js";
import { found, request } from "./board.js";
import { button, byId, drawn, h } from "./dom.js";
import { jigPart } from "./jigs.js";
import { store } from "./store.js";
import { resize, zoomed } from "./zoom.js";

const WHATS = [["sheet", "Sheets to tape on"], ["jig", "Jigs to cut"]];
let what = "sheet";
let shownSheet = null;
let asking = null;

export function sheetPanel(makeOne) {
  const good = found.good;
  if (!good) return h("p", {}, "There is no sheet yet: mend the stops first.");
  const turn = h("div", { class: "row", role: "group", "aria-label": "Sheets or jigs" }, WHATS.map(([key, words]) =>
    button(words, () => { what = key; refresh(makeOne); }, { id: `what-${key}`, "aria-pressed": String(key === what) })));
  return h("div", {}, turn, what === "jig" ? jigPart(makeOne) : sheetPart(good, makeOne));
}

// A tap on the drawing shows a sheet.
export function showSheets() {
  what = "sheet";
}

function sheetPart(good, makeOne) {
  const posts = good.posts.filter((post) => post.sheets.length);
  if (!posts.some((post) => post.id === store.view.post)) store.view.post = posts.length ? posts[0].id : "";
  const post = posts.find((one) => one.id === store.view.post);
  const sheets = post ? post.sheets : [];
  if (!sheets.includes(store.view.sheet)) store.view.sheet = sheets[0] || "";
  const pick = (id) => { store.view.post = id; store.view.sheet = ""; refresh(makeOne); };
  const made = h("div", {},
    h("h3", { id: "pick-post" }, "Post"),
    h("div", { class: "row", role: "group", "aria-labelledby": "pick-post" }, posts.map((one) =>
      button(one.id, () => pick(one.id), { id: `post-${one.id}`, "aria-pressed": String(one.id === store.view.post), title: `${one.role} post, ${one.kind}` }))),
    h("h3", { id: "pick-sheet" }, "Sheet"),
    h("div", { class: "row", role: "group", "aria-labelledby": "pick-sheet" }, sheets.map((id) =>
      button(`${id}: ${faces(good, id, store.view.post)}`, () => { store.view.sheet = id; refresh(makeOne); }, { id: `sheet-${id}`, "aria-pressed": String(id === store.view.sheet) }))),
    h("div", { id: "sheet-view", "aria-busy": "true" }, h("p", {}, "The sheet is being drawn.")));
  fetchSheet(makeOne);
  return made;
}

function faces(good, id, post) {
  const sheet = good.sheets.find((one) => one.id === id);
  const own = sheet.faces.filter((face) => face.startsWith(`${post}/`)).map((face) => face.slice(post.length + 1));
  return own.join(", ") || sheet.kind;
}

function refresh(makeOne) {
  const focused = document.activeElement && document.activeElement.id;
  byId("panel-sheets").replaceChildren(sheetPanel(makeOne));
  if (focused && byId(focused)) byId(focused).focus();
}

async function fetchSheet(makeOne) {
  if (!store.view.sheet) return;
  if (asking) asking.abort();
  asking = new AbortController();
  try {
    const answer = await send("/api/sheet", request({ sheet: store.view.sheet }), asking.signal);
    const place = byId("sheet-view");
    if (!place) return;
    place.removeAttribute("aria-busy");
    if (!answer.svg) {
      place.replaceChildren(h("p", {}, answer.problems.map((one) => `${one.found}; ${one.remedy}. `).join("")));
      return;
    }
    shownSheet = answer;
    place.replaceChildren(view(answer, makeOne));
    resize(answer);
  } catch (error) {
    if (error.name !== "AbortError") byId("sheet-view")?.replaceChildren(h("p", { class: "wrong", role: "alert" }, error.message));
  }
}

function view(sheet, makeOne) {
  const svg = drawn(sheet.svg, `Sheet ${sheet.id}, ${sheet.name}, ${sheet.marks.length} marks; the list below has them all`);
  svg.addEventListener("click", (event) => {
    const mark = nearestMark(svg, event);
    if (!mark) return;
    pickMark(mark);
    byId("mark-said").scrollIntoView({ block: "nearest" });
  });
  const choose = h("select", { id: "mark-choice", onchange: (event) => pickMark(event.target.value) },
    h("option", { value: "" }, "none"), sheet.marks.map((mark) => h("option", { value: mark.id }, mark.id)));
  return h("div", { class: "sheet" },
    h("div", { class: "about" },
      h("p", {}, `${sheet.name}: ${Math.round(sheet.width_mm)} x ${Math.round(sheet.height_mm)} mm, ${sheet.pages} ${sheet.pages === 1 ? "page" : "pages"} of ${sheet.paper}; for posts ${sheet.posts.join(", ")}.`),
      h("div", { class: "field" }, h("label", { for: "mark-choice" }, "Mark (or tap one on the sheet)"), choose),
      h("div", { id: "mark-said", role: "status", "aria-live": "polite" }, h("p", { class: "help" }, "Pick a mark to see its numbers.")),
      h("div", { class: "row" }, button(`Make sheet ${sheet.id} alone`, () => makeOne(sheet.id), { id: "make-one" }))),
    zoomed(svg, "The sheet, scrolls"));
}

function nearestMark(svg, event) {
  let best = null;
  for (const part of svg.querySelectorAll("[data-mark]")) {
    const box = part.getBoundingClientRect();
    const off = Math.hypot(box.left + box.width / 2 - event.clientX, box.top + box.height / 2 - event.clientY);
    if (off <= Math.max(26, box.width) && (!best || off < best.off)) best = { off, id: part.dataset.mark };
  }
  return best ? best.id : "";
}

// A line may end between a tape reading and its millimetres, and not inside one.
function unbroken(value) {
  return value.split(/ (?=\()|(?<=\)) /).flatMap((part) => [" ", h("span", {}, part)]).slice(1);
}

function pickMark(id) {
  const mark = shownSheet.marks.find((one) => one.id === id);
  for (const part of byId("sheet-svg").querySelectorAll("[data-mark]")) part.classList.toggle("hot", part.dataset.mark === id);
  byId("mark-choice").value = mark ? id : "";
  const place = byId("mark-said");
  if (!mark) return place.replaceChildren(h("p", { class: "help" }, "Pick a mark to see its numbers."));
  return place.replaceChildren(
    h("h3", {}, `Mark ${mark.id}`), h("p", {}, mark.what),
    h("dl", {}, mark.rows.map(([name, value]) => h("div", {}, h("dt", {}, name), h("dd", {}, unbroken(value))))),
    mark.why && h("p", { class: "source" }, `Why this drill: ${mark.why}`));
}
