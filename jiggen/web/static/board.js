// What the server found, shown: the drawings, the problems at their places, the cures.

import { GONE, send } from "./api.js";
import { button, byId, drawn, h, say, sentence, svgElement } from "./dom.js";
import { showWrong } from "./fields.js";
import { placeWords } from "./places.js";
import { changeAll, store } from "./store.js";

const LEVELS = { stop: ["stop", "stops"], check: ["check", "checks"], note: ["note", "notes"] };
export const found = { last: null, good: null, ms: 0 };
const listeners = new Set();
let asking = null;
let pending = 0;
let cured = null; // what was tapped, until its look is shown
let began = 0; // when the last change was made

export function onFound(listen) {
  listeners.add(listen);
}

export function request(more = {}) {
  return { state: store.state, base: store.base, ...more };
}

// Another job: the drawing of the last one says nothing about it.
export function forget() {
  found.good = null;
}

// Ask soon; a later change takes the place of an earlier one that is not answered yet.
export function look(soon = 40) {
  began = performance.now();
  clearTimeout(pending);
  pending = setTimeout(ask, soon);
}

async function ask() {
  if (asking) asking.abort();
  const mine = new AbortController();
  asking = mine;
  document.documentElement.dataset.busy = "yes";
  try {
    const answer = await send("/api/look", request({ wide: wide() }), mine.signal);
    if (mine !== asking) return;
    found.last = answer;
    if (answer.planned) found.good = answer;
    show();
    if (cured) sayCured(answer);
    found.ms = Math.round(performance.now() - began);
    document.documentElement.dataset.ms = String(found.ms);
    document.documentElement.dataset.looks = String(Number(document.documentElement.dataset.looks || 0) + 1);
  } catch (error) {
    if (error.name !== "AbortError") trouble(error);
  } finally {
    if (mine === asking) delete document.documentElement.dataset.busy;
  }
}

function trouble(error) {
  byId("summary").textContent = error.gone ? GONE : `${sentence(error.message)} What you typed is kept here.`;
}

function wide() {
  const room = byId("picture").clientWidth || 360;
  return Math.round(Math.min(300, Math.max(96, room / 3.3)));
}

function stopsOf(answer) {
  return answer.problems.filter((problem) => problem.level === "stop").map((problem) => `${problem.where}: ${problem.found.replace(/[0-9].*/, "")}`);
}

// After a tap: that it is done, and whether something else stands in the way now.
function sayCured(last) {
  const fresh = last.problems.filter((problem) => problem.level === "stop" && !cured.stops.includes(stopsOf({ problems: [problem] })[0]));
  const more = fresh.length ? `It brings another stop, ${placeWords(fresh[0])}: ${fresh[0].found}. ` : "";
  say(`${cured.words}: done. ${more}Undo takes it back.`);
  cured = null;
}

function cureButton(cure) {
  const words = cure.words.charAt(0).toUpperCase() + cure.words.slice(1);
  return button(words, () => {
    cured = { words, stops: stopsOf(found.last) };
    changeAll(cure.set);
  }, { class: "cure" });
}

export function show() {
  const { last, good } = found;
  if (!last) return;
  const typing = document.activeElement && byId("panels").contains(document.activeElement) ? document.activeElement : null;
  const before = typing ? typing.getBoundingClientRect().top : 0;
  showTabs(good);
  showPicture(good);
  showProblems(last);
  showWrong(last.problems);
  byId("picture").classList.toggle("stale", !last.planned);
  for (const listen of listeners) listen();
  if (typing && typing.isConnected) window.scrollBy(0, typing.getBoundingClientRect().top - before); // what is typed stays where it is
}

function showTabs(good) {
  const tabs = byId("run-tabs");
  const names = good ? [...good.runs.map((run) => `Run ${run.id}`), "From above"] : [];
  if (store.view.run >= names.length) store.view.run = 0;
  const focused = document.activeElement && document.activeElement.dataset.run;
  tabs.replaceChildren(...names.map((name, index) => button(name, () => {
    store.view.run = index;
    show();
  }, { "aria-pressed": String(index === store.view.run), "data-run": String(index) })));
  if (focused !== undefined && focused !== null) tabs.children[Number(focused)]?.focus();
}

function showPicture(good) {
  const place = byId("picture");
  if (!good) return place.replaceChildren(h("p", {}, "There is no drawing yet: mend the stops below."));
  const run = good.runs[store.view.run];
  const words = run ? `Elevation of run ${run.id}: posts ${run.posts.join(", ")}; ${run.words}` : "The guard from above";
  const pictures = run ? run.pictures : [good.plan_view];
  const from = place.scrollLeft;
  const made = pictures.map((picture) => h("figure", {}, drawn(picture.svg, words), h("figcaption", {}, picture.words)));
  place.replaceChildren(...made);
  place.scrollLeft = from;
  place.classList.toggle("many", made.length > 1);
  if (run && found.last === good) made.forEach((figure) => flags(figure.querySelector("svg"), run, good));
  byId("caption").textContent = run ? (made.length > 1 ? `${run.words}; ${made.length} parts side by side` : run.words) : "";
  return undefined;
}

// A numbered flag where each stop and check is; the list below says the same in words, and the notes.
function flags(svg, run, good) {
  if (!svg.getClientRects().length) return; // hidden: nothing has a place
  const used = new Map();
  good.problems.forEach((problem, index) => {
    const anchor = problem.level === "note" ? null : anchorOf(svg, run, problem);
    if (!anchor) return;
    const box = anchor.getBBox();
    const place = `${Math.round(box.x)} ${Math.round(box.y)}`;
    const nth = used.get(place) || 0;
    used.set(place, nth + 1);
    const size = 3.1;
    const limit = svg.viewBox.baseVal;
    const x = Math.min(Math.max(box.x + box.width / 2 + nth * size * 2.1, size), limit.width - size);
    const y = Math.min(Math.max(box.y + Math.min(box.height / 2, 12), size), limit.height - size);
    const flag = svgElement("g", { class: `flag ${problem.level}`, "data-problem": index });
    flag.append(svgElement("circle", { cx: x, cy: y, r: size }));
    const number = svgElement("text", { x, y: y + 1.35, "text-anchor": "middle", "font-size": "3.8" });
    number.textContent = String(index + 1);
    flag.append(number);
    svg.append(flag);
  });
}

function anchorOf(svg, run, problem) {
  const one = (part, key, value) => [...svg.querySelectorAll(`[data-part="${part}"]`)].find((e) => !key || e.dataset[key] === value);
  if (problem.runs.includes(run.id) && /opening/.test(problem.found)) {
    const sphere = one("sphere");
    if (sphere) return sphere;
  }
  const post = problem.posts.find((name) => run.posts.includes(name) && (problem.runs.length === 0 || problem.runs.includes(run.id)));
  if (post) return one("post", "id", post);
  return problem.runs.includes(run.id) ? one("cable") || one("post") : null;
}

function goToProblem(index) {
  byId("problems").open = true;
  const row = byId(`problem-${index}`);
  if (!row) return;
  row.scrollIntoView({ block: "nearest" });
  row.focus();
}

function showProblems(last) {
  const counts = Object.entries(LEVELS).map(([level, [one, many]]) => {
    const count = last.problems.filter((problem) => problem.level === level).length;
    return count ? `${count} ${count === 1 ? one : many}` : "";
  }).filter(Boolean);
  const words = counts.length ? counts.join(", ") : "Nothing to decide";
  const summary = byId("summary");
  const fresh = last.planned || !found.good ? words : `${words}; the drawing shows the last figures that could be planned`;
  if (summary.textContent !== fresh) summary.textContent = fresh;
  byId("problems").dataset.stops = String(last.problems.filter((problem) => problem.level === "stop").length);
  const focused = document.activeElement && document.activeElement.id;
  byId("problem-list").replaceChildren(...last.problems.map(row));
  if (focused && focused.startsWith("problem-") && byId(focused)) byId(focused).focus();
}

function row(problem, index) {
  const where = placeWords(problem);
  const target = problem.path.length || problem.runs.length || problem.posts.length;
  return h("li", { id: `problem-${index}`, class: problem.level, tabindex: "-1" },
    h("p", {}, h("span", { class: "number" }, String(index + 1)), h("strong", {}, problem.level.toUpperCase()), " ",
      target ? button(where, () => goToPlace(problem), { class: "where", "aria-label": `Show ${where}` }) : h("span", { class: "where" }, where)),
    h("p", {}, `${problem.found}.`),
    h("p", { class: "remedy" }, `${problem.remedy}.`),
    problem.source && h("p", { class: "source" }, problem.source),
    h("div", { class: "cures row" }, problem.cures.map(cureButton), ownFigures(problem)));
}

// A piece that ships has made-up figures: they are copied into the job, to be written over with those of the real one.
function ownFigures(problem) {
  const [table, name] = problem.path;
  const like = problem.path.length === 2 && (store.about.generic[table] || {})[name];
  if (!like || (store.state[table] || {})[name]) return null;
  return button("Write the figures of mine", () => {
    changeAll([[problem.path, like]]);
    goToField(problem.path);
    say(`Measure yours and write over every figure of ${name}.`);
  }, { class: "cure" });
}

let goToField = () => {};
export function onPlace(go) {
  goToField = go;
}

function goToPlace(problem) {
  const good = found.good;
  if (problem.path.length) return goToField(problem.path);
  const index = good ? good.runs.findIndex((run) => problem.runs.includes(run.id) || run.posts.some((post) => problem.posts.includes(post))) : -1;
  if (index >= 0) {
    store.view.run = index;
    show();
    byId("board").scrollIntoView({ block: "start" });
    hot(problem);
  }
  return undefined;
}

function hot(problem) {
  for (const part of byId("picture").querySelectorAll("[data-part]")) {
    const isPost = part.dataset.part === "post" && problem.posts.includes(part.dataset.id);
    const isSphere = part.dataset.part === "sphere" && problem.runs.length > 0;
    part.classList.toggle("hot", isPost || isSphere);
  }
}

// What a tap on the drawing means: the flag, else the post, that is nearest within a finger's breadth.
export function tapped(event) {
  const flag = nearestTo(event, ".flag");
  if (flag) {
    goToProblem(Number(flag.dataset.problem));
    return "";
  }
  const post = nearestTo(event, '[data-part="post"]');
  return post ? post.dataset.id : "";
}

function nearestTo(event, what) {
  let best = null;
  for (const part of byId("picture").querySelectorAll(what)) {
    const box = part.getBoundingClientRect();
    const beside = Math.max(box.left - event.clientX, event.clientX - box.right, 0);
    const over = Math.max(box.top - event.clientY, event.clientY - box.bottom, 0);
    const off = Math.hypot(beside, over);
    if (off <= (what === ".flag" ? 12 : 22) && (!best || off < best.off)) best = { off, part };
  }
  return best ? best.part : null;
}
