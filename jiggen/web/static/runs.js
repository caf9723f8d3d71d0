// Each run of the job turned into a part of the form: its posts and spans in a row, its ground, what it says for itself.

import { button, h } from "./dom.js";
import { field, fields, shown } from "./fields.js";
import { at, change, edit, freePost, runName, runs, store, unit } from "./store.js";

const WAYS = { spans: "between post centres, level", clear: "clear between the posts", slope: "between centres, along the rake" };

export function runSections(section) {
  const parts = runs().map((run, index) => runSection(run, index, section));
  return h("div", { class: "runs", role: "group", "aria-label": "Runs" }, parts,
    h("div", { class: "row" }, button("Add a run", addRun, { id: "add-run" })));
}

function runSection(run, index, section) {
  const name = runName(run, index);
  const forms = store.about.forms;
  const base = ["run", index];
  const many = runs().length;
  return section(`s-run-${index}`, `Run ${name}`,
    postsAndSpans(run, index),
    fields(forms.run.slice(0, 4), base),
    ground(run, index),
    section(`s-run-${index}-own`, `Only for run ${name}`,
      fields(forms.guard, base, (spec) => shown(at(["guard", ...spec.key.split(".")]))),
      fields(forms.run.slice(4), base)),
    section(`s-run-${index}-bars`, "Spacer bars", bars(run, base)),
    section(`s-run-${index}-wire`, "Wire holes", wires(run, base)),
    h("div", { class: "row" },
      index > 0 && button("Move up", () => move(index, -1), { "aria-label": `Move run ${name} up` }),
      index < many - 1 && button("Move down", () => move(index, 1), { "aria-label": `Move run ${name} down` }),
      button(`Remove run ${name}`, () => edit((state) => { state.run.splice(index, 1); }), { class: "away" })));
}

function way(run) {
  return Object.keys(WAYS).find((key) => key in run) || "spans";
}

function postsAndSpans(run, index) {
  const base = ["run", index];
  const posts = Array.isArray(run.posts) ? run.posts : [];
  const key = way(run);
  const spans = Array.isArray(run[key]) ? run[key] : [];
  const name = runName(run, index);
  const rows = posts.map((post, k) => h("li", {},
    h("div", { class: "postrow" },
      postName(index, k, base),
      posts.length > 2 && button("Remove", () => removePost(index, k), { class: "away", "aria-label": `Remove post ${post} from run ${name}` })),
    k < posts.length - 1 && h("div", { class: "spanrow" },
      field({ key: [key, k], label: `Span to post ${k + 2}`, kind: "text", help: "", like: ["44 in", "1120 mm"] }, base),
      button("Post between", () => splitSpan(index, k), { "aria-label": `Put a post between ${post} and ${posts[k + 1]}` }))));
  const id = `way-${index}`;
  return h("div", {},
    h("ol", { class: "posts" }, rows),
    spans.length > posts.length - 1 && h("p", { class: "wrong" }, `${spans.length} spans for ${posts.length} posts: ${shown(spans)}`,
      button("Leave out the last", () => edit((state) => { state.run[index][key] = spans.slice(0, posts.length - 1); }))),
    h("div", { class: "row" },
      button("Add a post at the end", () => addPost(index), { id: `add-post-${index}` })),
    h("div", { class: "field" }, h("label", { for: id }, "Spans are measured"),
      chosen(h("select", { id, onchange: (event) => measure(index, key, event.target.value) },
        Object.entries(WAYS).map(([word, words]) => h("option", { value: word }, words))), key)));
}

// A post under another name: later runs that stand on it, and what was said of it alone, follow when the field is left.
function postName(index, k, base) {
  const made = field({ key: ["posts", k], label: `Post ${k + 1}, name`, kind: "text", help: "" }, base);
  const box = made.querySelector("input");
  let old = box.value;
  box.addEventListener("change", () => {
    const fresh = box.value.trim();
    const here = runs()[index].posts;
    const first = !runs().slice(0, index).some((run) => (run.posts || []).includes(old));
    if (fresh && old && fresh !== old && first && !here.includes(old)) renamePost(index, old, fresh);
    old = box.value;
  });
  return made;
}

function renamePost(index, old, fresh) {
  const others = runs().slice(index + 1).filter((run) => Array.isArray(run.posts) && run.posts.includes(old));
  const tables = [(store.state.posts || {}).only, store.state.as_built].filter((table) => table && old in table && !(fresh in table));
  if (!others.length && !tables.length) return;
  edit(() => {
    for (const run of others) run.posts = run.posts.map((post) => (post === old ? fresh : post));
    for (const table of tables) {
      table[fresh] = table[old];
      delete table[old];
    }
  });
}

function chosen(made, value) {
  made.value = value;
  return made;
}

function measure(index, old, fresh) {
  edit((state) => {
    const run = state.run[index];
    run[fresh] = run[old];
    if (fresh !== old) delete run[old];
  });
}

function addPost(index) {
  const post = freePost();
  edit((state) => {
    const run = state.run[index];
    const key = way(run);
    run.posts = [...(run.posts || []), post];
    run[key] = [...(run[key] || []), (run[key] || []).at(-1) ?? ""];
  });
}

function removePost(index, k) {
  edit((state) => {
    const run = state.run[index];
    const key = way(run);
    run.posts.splice(k, 1);
    if (Array.isArray(run[key])) run[key].splice(Math.min(k, run[key].length - 1), 1);
  });
}

function splitSpan(index, k) {
  const post = freePost();
  edit((state) => {
    const run = state.run[index];
    const key = way(run);
    run.posts.splice(k + 1, 0, post);
    if (Array.isArray(run[key])) run[key].splice(k, 0, run[key][k]);
  });
}

function addRun() {
  const before = runs().at(-1);
  const posts = before && Array.isArray(before.posts) && before.posts.length ? [String(before.posts.at(-1))] : [];
  edit((state) => {
    const fresh = [...posts];
    state.run = runs();
    while (fresh.length < 2) {
      let number = 1;
      const taken = new Set([...fresh, ...state.run.flatMap((run) => run.posts || [])]);
      while (taken.has(String(number))) number += 1;
      fresh.push(String(number));
    }
    const key = before ? way(before) : "spans";
    const last = before && Array.isArray(before[key]) ? before[key].at(-1) : undefined;
    const run = { posts: fresh, [key]: [last ?? (unit() === "mm" ? "1000 mm" : "40 in")] };
    if (posts.length) run.turn = "left 90 deg";
    for (const key of ["start", "finish"]) if (before && before[key]) run[key] = before[key];
    state.run.push(run);
    store.view.open = [...store.view.open, `s-run-${state.run.length - 1}`];
    store.view.run = state.run.length - 1;
  });
}

function move(index, by) {
  edit((state) => {
    const [run] = state.run.splice(index, 1);
    state.run.splice(index + by, 0, run);
  });
}

const GROUNDS = { level: "level", stair: "a stair", ramp: "a ramp" };

function ground(run, index) {
  const now = run.stair ? "stair" : run.ramp ? "ramp" : "level";
  const forms = store.about.forms;
  const radios = Object.entries(GROUNDS).map(([key, words]) => {
    const id = `ground-${index}-${key}`;
    return h("div", { class: "radio" }, h("input", { type: "radio", id, name: `ground-${index}`, value: key, checked: key === now,
      onchange: () => stand(index, key) }), h("label", { for: id }, words));
  });
  return h("fieldset", {}, h("legend", {}, "It stands on"), h("div", { class: "row" }, radios),
    now !== "level" && fields(forms[now], ["run", index, now]));
}

// What was typed of a stair or ramp is kept aside while the run is level, and comes back with it.
const aside = new Map();

function stand(index, fresh) {
  const metric = unit() === "mm";
  const first = {
    stair: metric ? { rise: "178 mm", going: "280 mm", overhang: "25 mm", goes: "down", first_behind_nosing: "125 mm" }
      : { rise: "7 in", going: "11 in", overhang: "1 in", goes: "down", first_behind_nosing: "5 in" },
    ramp: { slope: "1 in 12", goes: "up" },
  };
  edit((state) => {
    const run = state.run[index];
    for (const key of ["stair", "ramp"]) {
      if (run[key]) aside.set(`${index} ${key}`, run[key]);
      delete run[key];
    }
    if (fresh !== "level") run[fresh] = aside.get(`${index} ${fresh}`) || first[fresh];
  });
}

function bars(run, base) {
  if (!run.spacers) {
    const kinds = Object.keys(store.state.post || {});
    return button("Put spacer bars in each span", () => change([...base, "spacers"], { kind: kinds.at(-1) || "", each: 1 }, true));
  }
  return [fields(store.about.forms.spacers, [...base, "spacers"]),
    button("Leave the bars out", () => change([...base, "spacers"], undefined, true), { class: "away" })];
}

function wires(run, base) {
  const list = Array.isArray(run.wire) ? run.wire : run.wire ? [run.wire] : [];
  const path = (k) => (Array.isArray(run.wire) ? [...base, "wire", k] : [...base, "wire"]);
  const parts = list.map((_, k) => h("fieldset", {}, h("legend", {}, `Wire hole ${k + 1}`),
    fields(store.about.forms.wire, path(k)),
    button("Remove this wire hole", () => (list.length > 1 ? change(path(k), undefined, true) : change([...base, "wire"], undefined, true)), { class: "away" })));
  const fresh = { drop: unit() === "mm" ? "20 mm" : "3/4 in", face: "deck side", diameter: unit() === "mm" ? "10 mm" : "3/8 in" };
  return [parts, button("Add a wire hole", () => change([...base, "wire"], [...list, fresh], true))];
}
