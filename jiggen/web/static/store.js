// The job as it is typed: kept in this browser at every key, whatever it says, and taken back step by step.

const KEY = "jiggen.job";
const STEPS = 60;
const listeners = new Set();

export const store = { state: null, base: "", about: null, view: { tab: "job", run: 0, post: "", sheet: "", open: [], fresh: false } };
let past = [];
let last = { path: "", at: 0 };

export function onChange(listen) {
  listeners.add(listen);
}

export function remember() {
  try {
    localStorage.setItem(KEY, JSON.stringify({ state: store.state, base: store.base, view: store.view }));
    return true;
  } catch {
    return false; // a full or forbidden store: the page works, a reload begins anew
  }
}

export function recall() {
  try {
    const kept = JSON.parse(localStorage.getItem(KEY) || "null");
    if (!kept || typeof kept.state !== "object" || kept.state === null) return false;
    store.state = kept.state;
    store.base = typeof kept.base === "string" ? kept.base : "";
    Object.assign(store.view, kept.view || {});
    return true;
  } catch {
    return false;
  }
}

export function at(path, from = store.state) {
  let found = from;
  for (const step of path) {
    if (found === null || typeof found !== "object") return undefined;
    found = Object.hasOwn(found, step) ? found[step] : undefined;
  }
  return found;
}

function snapshot(path) {
  if (path[0] !== "replace") store.view.fresh = false; // the choice of a job to begin from goes with the next drawing of the form
  const name = JSON.stringify(path);
  const now = Date.now();
  if (name !== last.path || now - last.at > 1500) {
    past.push(JSON.stringify([store.state, store.base]));
    if (past.length > STEPS) past.shift();
  }
  last = { path: name, at: now };
}

function put(path, value) {
  const way = path.slice(0, -1);
  const end = path.at(-1);
  let place = store.state;
  for (const [index, step] of way.entries()) {
    const next = Object.hasOwn(place, step) ? place[step] : undefined;
    if (next === null || typeof next !== "object") {
      if (value === undefined) return;
      define(place, step, typeof path[index + 1] === "number" ? [] : {});
    }
    place = place[step];
  }
  if (value === undefined) {
    if (Array.isArray(place)) place.splice(end, 1);
    else delete place[end];
  } else define(place, end, value);
}

// A key such as __proto__ is a key like any other.
function define(place, key, value) {
  if (Array.isArray(place)) place[key] = value;
  else Object.defineProperty(place, key, { value, writable: true, enumerable: true, configurable: true });
}

// Set what is at a path, or remove it (undefined). `whole`: the form must be drawn anew.
export function change(path, value, whole = false) {
  snapshot(path);
  put(path, value);
  // tables that a last key left empty go with it
  for (let way = path.slice(0, -1); value === undefined && way.length > 1; way = way.slice(0, -1)) {
    const optional = ["rail", "bottom_rail", "spacers"].includes(way.at(-1)) || path[0] === "as_built" || way.at(-1) === "only";
    const table = at(way);
    if (!optional || !table || Object.keys(table).length > 0) break;
    put(way, undefined);
  }
  if (value === undefined && ["as_built", "limits", "jig"].includes(path[0]) && store.state[path[0]]
      && Object.keys(store.state[path[0]]).length === 0) delete store.state[path[0]];
  tell(whole);
}

// Many changes as one step, such as a cure: [[path, value or null], ...].
export function changeAll(pairs, whole = true) {
  snapshot(["many", Date.now()]);
  for (const [path, value] of pairs) put(path, value === null ? undefined : structuredClone(value));
  tell(whole);
}

export function edit(act) {
  snapshot(["edit", Date.now()]);
  act(store.state);
  tell(true);
}

export function replace(state, base = "") {
  if (store.state) snapshot(["replace", Date.now()]);
  store.state = state;
  store.base = base;
  store.view.run = 0;
  store.view.sheet = "";
  store.view.post = "";
  tell(true);
}

export function undo() {
  const step = past.pop();
  if (!step) return false;
  [store.state, store.base] = JSON.parse(step);
  last = { path: "", at: 0 };
  tell(true);
  return true;
}

export function canUndo() {
  return past.length > 0;
}

function tell(whole) {
  remember();
  for (const listen of listeners) listen(whole);
}

export function unit() {
  const job = store.state.job || {};
  if (job.units === "in" || job.units === "mm") return job.units;
  return /^(irc|ibc)-/.test(String(job.code || "")) ? "in" : "mm";
}

export function runs() {
  return Array.isArray(store.state.run) ? store.state.run : [];
}

function letters(index) {
  const high = Math.floor(index / 26);
  return (high ? letters(high - 1) : "") + String.fromCharCode(65 + (index % 26));
}

export function runName(run, index) {
  return typeof run.id === "string" && run.id ? run.id : letters(index);
}

export const MOST_ROWS = 300; // posts that a form lists; more are written in the job file as text

export function postNames() {
  const names = runs().flatMap((run) => (Array.isArray(run.posts) ? run.posts.map(String) : []));
  return [...new Set(names)];
}

export function freePost() {
  const taken = new Set(postNames());
  let number = 1;
  while (taken.has(String(number))) number += 1;
  return String(number);
}
