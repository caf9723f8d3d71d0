// The scale page printed and measured, what a printer does kept; a scan checked where that is installed.

import { get, remove, send, upload } from "./api.js";
import { button, byId, h, say, sentence } from "./dom.js";
import { lastPacket } from "./make.js";
import { store } from "./store.js";

const READINGS = [
  ["across", "Lower ruler, across", "190.6 of 190.5 mm"],
  ["along", "Left ruler, along the feed", "239.1 of 240 mm"],
  ["diagonals", "Both diagonals", "212.6, 211.7 mm"],
];

export function printerPanel() {
  const papers = ["letter", "a4", "legal", "tabloid", "a3"];
  const paper = (id) => h("select", { id }, papers.map((one) => h("option", { value: one }, one)));
  const link = h("a", { class: "file", href: "/api/scale/letter", download: "scale-letter.pdf", id: "scale-link" }, "Scale page as PDF");
  const scale = paper("scale-paper");
  scale.addEventListener("change", () => { link.href = `/api/scale/${scale.value}`; link.download = `scale-${scale.value}.pdf`; });
  const readings = READINGS.map(([key, words, like]) => h("div", { class: "field" },
    h("label", { for: `read-${key}` }, words), h("input", { id: `read-${key}`, type: "text", placeholder: `such as ${like}`, autocomplete: "off", maxlength: "60", "aria-describedby": `help-${key}` }),
    h("p", { class: "help", id: `help-${key}` }, key === "diagonals" ? "may be left out" : "what you read, of what it should be")));
  list();
  return h("div", {},
    h("ol", { class: "steps" },
      h("li", {}, h("p", {}, "Print the scale page at 100 %, with no fit to page."),
        h("div", { class: "field" }, h("label", { for: "scale-paper" }, "Paper of the scale page"), scale), link),
      h("li", {}, h("p", {}, "Measure both rulers with the tape you work with, and type what it says."),
        h("form", { class: "fields", onsubmit: keep },
          h("div", { class: "field" }, h("label", { for: "printer-name" }, "Name of the printer"), h("input", { id: "printer-name", type: "text", maxlength: "24", autocomplete: "off", placeholder: "such as office-2" })),
          h("div", { class: "field" }, h("label", { for: "printer-paper" }, "Paper that was measured"), paper("printer-paper")),
          readings, h("button", { type: "submit", id: "keep-printer", class: "main" }, "Keep this printer")),
        h("div", { id: "printer-said", role: "status", "aria-live": "polite" }))),
    h("h3", {}, "Printers that are kept"), h("ul", { id: "printers", class: "plain" }),
    store.about.scan && scanPart());
}

async function keep(event) {
  event.preventDefault();
  const read = Object.fromEntries(["across", "along", "diagonals"].map((key) => [key, byId(`read-${key}`).value]));
  const answer = await send("/api/printers", { name: byId("printer-name").value.trim(), paper: byId("printer-paper").value, ...read }).catch((error) => ({ error }));
  const place = byId("printer-said");
  if (answer.error) place.replaceChildren(h("p", { class: "wrong" }, sentence(answer.error.message)));
  else if (answer.problems) place.replaceChildren(...answer.problems.map((one) => h("p", { class: "wrong" }, `${one.where}: ${one.found}; ${one.remedy}.`)));
  else place.replaceChildren(h("p", {}, `${answer.name} kept for ${answer.paper}: ${answer.words}; ${answer.doubt}.`));
  list();
}

async function list() {
  const answer = await get("/api/printers").catch((error) => ({ printers: [], problems: [{ found: error.message }] }));
  const place = byId("printers");
  if (!place) return;
  const rows = answer.printers.map((one) => h("li", {},
    h("p", {}, h("strong", {}, `${one.name} on ${one.paper}`), `: ${one.words}. Measured ${one.measured}: ${one.read}.`),
    one.note && h("p", { class: "wrong" }, one.note),
    button(`Forget ${one.name}`, async () => { await remove(`/api/printers/${encodeURIComponent(one.name)}`); say(`${one.name} is forgotten.`); list(); }, { class: "away" })));
  const wrong = answer.problems.map((one) => h("li", { class: "wrong" }, one.remedy ? `${one.found}; ${one.remedy}.` : one.found));
  place.replaceChildren(...(rows.length + wrong.length ? [...rows, ...wrong] : [h("li", {}, "None yet.")]));
}

function scanPart() {
  const said = h("div", { id: "scan-said", role: "status", "aria-live": "polite" });
  const read = async () => {
    const file = byId("scan").files[0];
    if (!file) return;
    said.replaceChildren(h("p", {}, "The scan is being measured."));
    const asked = new URLSearchParams();
    if (/^[0-9]+$/.test(byId("scan-dpi").value.trim())) asked.set("dpi", byId("scan-dpi").value.trim());
    if (lastPacket()) asked.set("build", lastPacket());
    const answer = await upload(`/api/scan?${asked}`, file).catch((error) => ({ problems: [{ found: error.message }] }));
    const lines = answer.words || [];
    said.replaceChildren(...lines.map((line) => h("p", {}, line)), ...(answer.problems || []).map((one) => h("p", { class: "wrong" }, one.where ? `${one.where}: ${one.found}; ${one.remedy}.` : one.found)));
  };
  return h("div", {}, h("h3", {}, "Scan of a printed page"),
    h("p", { class: "help" }, "A flat scan of a whole page, 300 dots per inch or more. Of a packet made here just now each mark is measured."),
    h("div", { class: "fields" },
      h("div", { class: "field" }, h("label", { for: "scan-dpi" }, "Dots per inch"), h("input", { id: "scan-dpi", type: "text", inputmode: "numeric", autocomplete: "off", placeholder: "such as 300", onchange: read }),
        h("p", { class: "help" }, "only if the picture does not say it")),
      h("div", { class: "field" }, h("label", { for: "scan" }, "Picture of the scan"), h("input", { id: "scan", type: "file", accept: "image/*", onchange: read }))), said);
}
