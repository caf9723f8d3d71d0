// A job opened from a file or packet, saved, begun anew, or written by hand as text.

import { get, save, upload } from "./api.js";
import { forget, found } from "./board.js";
import { button, byId, h, say, sentence } from "./dom.js";
import { madeWith } from "./make.js";
import { replace, store } from "./store.js";

export function filePanel() {
  const starts = beginnings();
  return h("div", {},
    h("h3", {}, "Open"),
    h("div", { class: "field" }, h("label", { for: "open-file" }, "A job.toml, a packet.pdf or a sheet's PDF"),
      h("input", { id: "open-file", type: "file", accept: ".toml,.pdf,application/pdf,text/plain", onchange: (event) => openFile(event.target.files[0]) })),
    h("div", { id: "open-said", role: "status", "aria-live": "polite" }),
    h("h3", {}, "Save"),
    h("div", { class: "row" }, button("Download job.toml", () => saveJob(), { id: "save-job" })),
    h("h3", {}, "Begin anew"), starts,
    h("h3", {}, "The job file as text"),
    h("div", { class: "field" }, h("label", { for: "job-text" }, "Everything of the job; change it here if you like"),
      h("textarea", { id: "job-text", rows: "16", spellcheck: "false", autocapitalize: "off" })),
    h("div", { class: "row" }, button("Use this text", () => openText(byId("job-text").value), { id: "use-text" })));
}

// A button for each job to begin from; `before`: what their ids begin with.
export function beginnings(before = "start") {
  const kinds = Object.entries(store.about.starts);
  return [["in", "inches"], ["mm", "millimetres"]].map(([unit, words]) => h("div", {},
    h("h4", { id: `${before}s-${unit}` }, `In ${words}`),
    h("div", { class: "row", role: "group", "aria-labelledby": `${before}s-${unit}` }, kinds.map(([kind, name]) =>
      button(name, () => begin(kind, unit === "mm"), { id: `${before}-${kind}-${unit}` })))));
}

export function fileSaid() {
  const place = byId("job-text");
  if (place && found.last && document.activeElement !== place) place.value = found.last.text || place.value;
}

export async function begin(kind, metric) {
  const answer = await get(`/api/starts/${kind}?metric=${metric ? 1 : 0}`).catch((error) => ({ error }));
  if (answer.error) return say(sentence(answer.error.message));
  forget();
  replace(answer.state);
  madeWith(null);
  return say("Begun anew. Undo brings the last job back.");
}

function saveJob() {
  if (found.last && typeof found.last.text === "string") save("job.toml", found.last.text);
}

async function openFile(file) {
  if (file) await opened(upload("/api/open", file), file.name);
}

async function openText(text) {
  await opened(upload("/api/open", new Blob([text])), "the text");
}

async function opened(asked, name) {
  const place = byId("open-said");
  const answer = await asked.catch((error) => ({ problems: [{ found: error.message }] }));
  if (answer.state) {
    forget();
    replace(answer.state, answer.text);
    madeWith(answer.made);
    say(`${name} is open. Undo brings the last job back.`);
    return;
  }
  const rows = answer.problems.map((one) => h("p", { class: "wrong" }, one.where ? `${one.where}: ${one.found}; ${one.remedy}.` : one.found));
  if (place) place.replaceChildren(...rows);
  say(`${name} could not be opened.`);
}
