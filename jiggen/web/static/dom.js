// Elements made from a name, attributes and children; text only ever goes in as text.

export function h(name, attributes = {}, ...children) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    if (key.startsWith("on")) made.addEventListener(key.slice(2), value);
    else if (key === "value" || key === "checked" || key === "open") made[key] = value;
    else made.setAttribute(key, value === true ? "" : value);
  }
  for (const child of children.flat(4)) {
    if (child !== null && child !== undefined && child !== false) made.append(child);
  }
  return made;
}

export function button(words, act, attributes = {}) {
  return h("button", { type: "button", onclick: act, ...attributes }, words);
}

export function byId(id) {
  return document.getElementById(id);
}

// An SVG that the server drew, as an element of this page.
export function drawn(text, words) {
  const parsed = new DOMParser().parseFromString(text, "image/svg+xml").documentElement;
  const made = document.importNode(parsed, true);
  made.removeAttribute("width");
  made.removeAttribute("height");
  made.setAttribute("role", "img");
  made.setAttribute("aria-label", words);
  for (const inner of made.querySelectorAll("[role=img]")) {
    inner.removeAttribute("role");
    inner.removeAttribute("aria-label");
  }
  return made;
}

export function svgElement(name, attributes) {
  const made = document.createElementNS("http://www.w3.org/2000/svg", name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  return made;
}

// A message as a sentence: with one full stop.
export function sentence(words) {
  return /[.!?]$/.test(words) ? words : `${words}.`;
}

let timer = 0;
// One short sentence for eyes and screen readers.
export function say(words) {
  const place = byId("said");
  place.textContent = words;
  place.hidden = !words;
  clearTimeout(timer);
  timer = setTimeout(() => { place.hidden = true; }, 6000);
}
