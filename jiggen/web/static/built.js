// What the tape said on site, typed beside each post; which posts left their group is told there.

import { fileOf, save } from "./api.js";
import { found, request } from "./board.js";
import { button, byId, h, sentence } from "./dom.js";
import { field, idOf } from "./fields.js";
import { at, MOST_ROWS, postNames, runName, runs, store } from "./store.js";

export function builtPanel() {
  const names = postNames();
  const rows = names.slice(0, MOST_ROWS).map((post) => h("fieldset", { class: "built" }, h("legend", {}, `Post ${post}`),
    h("div", { class: "fields" }, specsOf(post).map((spec) => field(spec, ["as_built", post]))),
    h("div", { class: "told", id: `told-${idOf([post])}`, role: "status", "aria-live": "polite" })));
  return h("div", {},
    h("div", { class: "row" }, button("Measure-up form, to print and take along (PDF)", saveForm, { id: "save-form" })),
    h("div", { id: "form-said", role: "status", "aria-live": "polite" }),
    h("p", { class: "help" }, "Leave empty what is as planned. Empty fields change nothing."), rows,
    names.length > MOST_ROWS && h("p", { class: "help" }, `The other ${names.length - MOST_ROWS} posts: write them under File, in the job file as text.`));
}

// A post of two runs may have two undersides: a field for each run, unless the job has one length there.
function specsOf(post) {
  const specs = store.about.forms.as_built;
  const own = runs().map((run, index) => [run, runName(run, index)])
    .filter(([run]) => Array.isArray(run.posts) && run.posts.map(String).includes(post)).map(([, name]) => name);
  const now = at(["as_built", post, "underside"]);
  if (own.length < 2 || (now !== undefined && typeof now !== "object")) return specs;
  return specs.flatMap((spec) => spec.key !== "underside" ? [spec]
    : own.map((name) => ({ ...spec, key: ["underside", name], label: `${spec.label}, run ${name}` })));
}

async function saveForm() {
  const place = byId("form-said");
  try {
    save("form.pdf", await fileOf("/api/form", request()), "application/pdf");
    place.replaceChildren();
  } catch (error) {
    place.replaceChildren(h("p", { class: "wrong" }, sentence(error.message)));
  }
}

export function builtSaid() {
  const last = found.last;
  if (!last) return;
  for (const post of postNames().slice(0, MOST_ROWS)) {
    const place = document.getElementById(`told-${idOf([post])}`);
    if (!place) continue;
    const own = last.problems.filter((problem) => problem.posts.includes(post) && problem.found.startsWith("as built"));
    place.replaceChildren(...own.map((problem) => h("p", { class: problem.level }, `${problem.found}; ${problem.remedy}.`)));
  }
}
