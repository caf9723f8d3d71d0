// One value of the job turned into a field of a form, and what is typed back into the value.

import { byId, h } from "./dom.js";
import { at, change, store, unit } from "./store.js";

export function idOf(path) {
  return "f-" + path.map((step) => String(step).replace(/[^A-Za-z0-9]/g, (c) => "_" + c.charCodeAt(0).toString(16))).join("-");
}

// A value as it is typed; what JSON has no room for carries its own words.
export function shown(value) {
  if (value === undefined || value === null) return "";
  if (typeof value === "object" && !Array.isArray(value) && "#toml" in value) return String(value["#toml"]);
  if (Array.isArray(value)) {
    const deep = value.some(Array.isArray);
    return value.map((one) => shown(one)).join(deep ? "; " : ", ");
  }
  return typeof value === "object" ? JSON.stringify(value) : String(value);
}

function items(text, mark) {
  return text.split(mark).map((part) => part.trim()).filter((part) => part !== "");
}

function typed(kind, text) {
  const plain = text.trim();
  if (plain === "") return undefined;
  if (kind === "whole") return /^[0-9]{1,9}$/.test(plain) ? Number(plain) : text;
  if (kind === "list") return items(text, ",");
  if (kind === "pairs") return items(text, ";").map((pair) => items(pair, ","));
  return text;
}

function choices(spec) {
  const own = (name) => Object.keys(store.state[name] || {});
  const known = store.about.choices;
  switch (spec.choices) {
    case "kinds": return own("post");
    case "fittings": return [...new Set([...own("fitting"), ...known.fittings])];
    case "brackets": return [...new Set([...own("bracket"), ...known.brackets, "none"])];
    case "codes": return [...new Set([...known.codes, ...own("code")])];
    case "strands": return [...new Set([...known.strands, ...own("strand")])];
    case "papers": return known.papers;
    default: return spec.choices;
  }
}

function select(spec, path, value, usual, common) {
  const now = value === false ? "none" : shown(value);
  const words = choices(spec);
  const list = now && !words.includes(now) ? [now, ...words] : words;
  const empty = usual ? `as usual: ${usual}` : "as usual";
  const whole = spec.whole || ["shape", "units", "code"].includes(path.at(-1));
  const made = h("select", {
    ...common,
    onchange: (event) => {
      const found = event.target.value;
      change(path, found === "" ? undefined : found === "none" && spec.choices === "brackets" ? false : found, whole);
    },
  }, h("option", { value: "" }, empty), list.map((word) => h("option", { value: word }, word)));
  made.value = now;
  return made;
}

function input(spec, path, value, usual, common) {
  const like = (spec.like || [])[unit() === "mm" ? 1 : 0] || "";
  const off = { autocomplete: "off", autocapitalize: "off", spellcheck: "false" };
  return h("input", {
    ...common, ...off,
    type: "text",
    inputmode: spec.kind === "whole" ? "numeric" : null,
    list: path.at(-1) === "material" ? "woods" : path.at(-1) === "size" ? "sizes" : null,
    placeholder: usual ? `as usual: ${usual}` : like ? `such as ${like}` : null,
    value: value === false ? "none" : shown(value),
    oninput: (event) => {
      const text = event.target.value;
      if (path.at(-2) === "bottom_rail" && text.trim() === "none") change(path.slice(0, -1), false);
      else {
        if (path.at(-2) === "bottom_rail" && at(path.slice(0, -1)) === false) change(path.slice(0, -1), undefined);
        change(path, typed(spec.kind, text));
      }
      if (spec.after) spec.after(text);
    },
  });
}

// `base`: path of the table; `usual`: what holds while the field is empty.
export function field(spec, base, usual = "") {
  const path = [...base, ...(typeof spec.key === "string" ? spec.key.split(".") : spec.key)];
  const id = idOf(path);
  const above = at(path.slice(0, -1));
  const value = above === false ? false : at(path);
  const common = { id, "data-path": JSON.stringify(path), "aria-describedby": `${id}-help ${id}-wrong` };
  const label = h("label", { for: id }, spec.label);
  const help = h("p", { class: "help", id: `${id}-help` }, spec.help || "");
  const wrong = h("p", { class: "wrong", id: `${id}-wrong` });
  if (spec.kind === "flag") {
    const box = h("input", { ...common, type: "checkbox", checked: value === true,
      onchange: (event) => change(path, event.target.checked || undefined) });
    return h("div", { class: "field flag" }, box, label, help, wrong);
  }
  const made = spec.kind === "choice" ? select(spec, path, value, usual, common) : input(spec, path, value, usual, common);
  return h("div", { class: "field" }, label, made, help, wrong);
}

export function fields(specs, base, usual = () => "") {
  return h("div", { class: "fields" }, specs.map((spec) => field(spec, base, usual(spec))));
}

// What is wrong stands at its field: the longest path that a problem and a field share.
export function showWrong(problems) {
  const all = [...document.querySelectorAll("[data-path]")];
  for (const one of all) {
    one.removeAttribute("aria-invalid");
    const place = byId(`${one.id}-wrong`);
    if (place) {
      place.textContent = "";
      place.className = "wrong";
    }
  }
  const paths = all.map((one) => JSON.parse(one.dataset.path));
  for (const problem of problems) {
    if (!problem.path || problem.path.length === 0) continue;
    const found = nearest(problem.path, paths);
    if (found < 0) continue;
    const place = byId(`${all[found].id}-wrong`);
    if (problem.level === "stop") all[found].setAttribute("aria-invalid", "true");
    if (place && !place.textContent) place.classList.add(problem.level); // stops come first
    if (place) place.textContent += `${place.textContent ? " " : ""}${problem.found}; ${problem.remedy}.`;
  }
}

export function nearest(path, paths) {
  let best = -1;
  let most = 0;
  paths.forEach((one, index) => {
    const shared = shares(one, path);
    const inside = shared === one.length || shared === path.length;
    if (inside && shared > most && shared > 1) { most = shared; best = index; }
  });
  return best;
}

function shares(first, second) {
  let count = 0;
  while (count < first.length && count < second.length && first[count] === second[count]) count += 1;
  return count;
}
