// What the tape said on site, typed beside each post; which posts left their group is told there.

import { fileOf, save } from "./api.js";
import { found, request } from "./board.js";
import { button, byId, h } from "./dom.js";
import { field, idOf } from "./fields.js";
import { MOST_ROWS, postNames, store } from "./store.js";

export function builtPanel() {
  const specs = store.about.forms.as_built;
  const names = postNames();
  const rows = names.slice(0, MOST_ROWS).map((post) => h("fieldset", { class: "built" }, h("legend", {}, `Post ${post}`),
    h("div", { class: "fields" }, specs.map((spec) => field(spec, ["as_built", post]))),
    h("div", { class: "told", id: `told-${idOf([post])}`, role: "status", "aria-live": "polite" })));
  return h("div", {},
    h("div", { class: "row" }, button("Measure-up form, to print and take along (PDF)", saveForm, { id: "save-form" })),
    h("div", { id: "form-said", role: "status", "aria-live": "polite" }),
    h("p", { class: "help" }, "Leave empty what is as planned. Empty fields change nothing."), rows,
    names.length > MOST_ROWS && h("p", { class: "help" }, `The other ${names.length - MOST_ROWS} posts: write them under File, in the job file as text.`));
}

async function saveForm() {
  const place = byId("form-said");
  try {
    save("form.pdf", await fileOf("/api/form", request()), "application/pdf");
    place.replaceChildren();
  } catch (error) {
    place.replaceChildren(h("p", { class: "wrong" }, `${error.message}.`));
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
