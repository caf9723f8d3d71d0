// The job's tables turned into one form, section by section.

import { button, byId, h } from "./dom.js";
import { field, fields, idOf } from "./fields.js";
import { beginnings } from "./file.js";
import { runSections } from "./runs.js";
import { MOST_ROWS, at, change, edit, postNames, runs, store } from "./store.js";

export function section(id, title, ...content) {
  const made = h("details", { id, class: "section", open: store.view.open.includes(id) }, h("summary", {}, title), content);
  made.addEventListener("toggle", () => {
    const others = store.view.open.filter((one) => one !== id);
    store.view.open = made.open ? [...others, id] : others;
  });
  return made;
}

export function jobForm() {
  const forms = store.about.forms;
  return h("form", { onsubmit: (event) => event.preventDefault(), "aria-label": "The job" },
    store.view.fresh && h("div", { class: "begin" }, h("h3", {}, "Begin with"), beginnings("first"),
      h("p", { class: "help" }, "then change what is different on your site; the drawing follows")),
    section("s-job", "This job", fields(forms.job, ["job"])),
    section("s-guard", "Guard, for every run", fields(forms.guard, ["guard"])),
    runSections(section),
    section("s-cable", "Cable", fields(forms.cable, ["cable"])),
    section("s-posts", "Posts", postsPart(forms)),
    section("s-fitting", "End fittings", named("fitting", "fitting", forms.fitting)),
    section("s-bracket", "Rail brackets", named("bracket", "bracket", forms.bracket)),
    section("s-sheet", "Paper and sheets", fields(forms.sheet, ["sheet"])),
    section("s-jig", "Jigs", fields(forms.jig, ["jig"])),
    section("s-limits", "Limits", fields(forms.limits, ["limits"])),
    lists(),
  );
}

function lists() {
  const { woods, sizes } = store.about.choices;
  const list = (id, words) => h("datalist", { id }, words.map((word) => h("option", { value: word })));
  return [list("woods", woods), list("sizes", sizes)];
}

function postsPart(forms) {
  const only = postNames().slice(0, MOST_ROWS).map((post) =>
    field({ key: ["only", post], label: `Post ${post}`, kind: "choice", choices: "kinds", help: "" }, ["posts"]));
  return [
    fields(forms.posts, ["posts"]),
    named("post", "kind of post", forms.post),
    section("s-only", "One post of another kind", h("div", { class: "fields" }, only)),
  ];
}

function fits(table, spec) {
  if (table !== "post") return () => true;
  const shapes = store.about.choices.shapes;
  const sizes = Object.values(shapes).flat();
  return (name) => {
    if (!sizes.includes(spec.key)) return true;
    const kind = at([table, name]) || {};
    return spec.key in kind || (shapes[kind.shape || "square"] || []).includes(spec.key);
  };
}

// Tables that have a name: kinds of post, end fittings, brackets.
function named(table, word, specs) {
  const own = Object.keys(store.state[table] || {});
  const generic = store.about.generic[table] || {};
  const parts = own.map((name) => {
    const id = `n-${idOf([table, name])}`;
    const here = specs.filter((spec) => fits(table, spec)(name));
    return section(id, name,
      h("div", { class: "fields" }, nameField(table, name, word), here.map((spec) => field(spec, [table, name]))),
      button(`Remove ${name}`, () => change([table, name], undefined, true), { class: "away" }));
  });
  const others = Object.keys(generic).filter((name) => !own.includes(name));
  const fresh = h("input", { id: `new-${table}`, type: "text", autocomplete: "off" });
  const from = others.length ? h("select", { id: `from-${table}` }, h("option", { value: "" }, "nothing"),
    others.map((name) => h("option", { value: name }, name))) : null;
  return h("div", { class: "named" }, parts, h("div", { class: "add" },
    h("div", { class: "field" }, h("label", { for: `new-${table}` }, `Name of a new ${word}`), fresh),
    from && h("div", { class: "field" }, h("label", { for: `from-${table}` }, "Begin with the sizes of"), from),
    button(`Add this ${word}`, () => {
      const name = fresh.value.trim() || (from && from.value ? from.value : `${word} ${own.length + 1}`);
      if (own.includes(name)) return byId(`new-${table}`).focus();
      store.view.open = [...store.view.open, `n-${idOf([table, name])}`];
      const like = from && from.value ? generic[from.value] : table === "post" ? { shape: "square", width: "" } : {};
      const copy = structuredClone(like);
      if (copy.width === "") delete copy.width;
      return change([table, name], copy, true);
    })));
}

function nameField(table, name, word) {
  const id = `name-${idOf([table, name])}`;
  return h("div", { class: "field" }, h("label", { for: id }, `Name of this ${word}`),
    h("input", { id, type: "text", value: name, autocomplete: "off",
      onchange: (event) => rename(table, name, event.target.value.trim()) }),
    h("p", { class: "help" }, "what names it changes with it"));
}

// A table under another name, in its place, and everything that names it.
function rename(table, old, fresh) {
  if (!fresh || fresh === old || fresh in store.state[table]) return;
  edit((state) => {
    state[table] = Object.fromEntries(Object.entries(state[table]).map(([key, value]) => [key === old ? fresh : key, value]));
    const swap = (place, keys) => { for (const key of keys) if (place && place[key] === old) place[key] = fresh; };
    if (table === "post") {
      swap(state.posts, ["line", "end", "corner", "transition"]);
      swap((state.posts || {}).only, Object.keys((state.posts || {}).only || {}));
      runs().forEach((run) => swap(run.spacers, ["kind"]));
    } else if (table === "fitting") runs().forEach((run) => swap(run, ["start", "finish"]));
    else [state.guard, ...runs()].forEach((place) => swap(place, ["bracket", "bottom_bracket"]));
    store.view.open = store.view.open.map((id) => (id === `n-${idOf([table, old])}` ? `n-${idOf([table, fresh])}` : id));
  });
}
