// A drawing at a size on the screen: all of it, the full width, or so many times its true size.

import { button, byId, h } from "./dom.js";

const STEPS = [0.1, 0.15, 0.25, 0.35, 0.5, 0.7, 1, 1.4, 2, 2.8, 4];
const MM = 96 / 25.4; // CSS pixels in a CSS millimetre
let zoom = 0; // 0: as wide as the panel; -1: all of it
let size = { width_mm: 100, height_mm: 100 };

// The buttons, the box that scrolls, and what is said of the size.
export function zoomed(svg, words) {
  svg.id = "sheet-svg";
  const box = h("div", { id: "sheet-box", tabindex: "0", role: "region", "aria-label": words }, svg);
  const set = (value) => () => { zoom = value; resize(); };
  const ways = [["\u2212", "Smaller", () => step(-1), "zoom-out"], ["+", "Larger", () => step(1), "zoom-in"],
    ["all", "All of it", set(-1), "zoom-all"], ["wide", "Full width", set(0), "zoom-wide"], ["1:1", "True size", set(1), "zoom-true"]];
  return h("div", { class: "paper" },
    h("div", { class: "row zooms", role: "group", "aria-label": "Size on the screen" }, ways.map(([sign, name, act, id]) =>
      button(sign, act, { id, "aria-label": name, title: name }))),
    box, h("p", { id: "zoom-said", class: "help" }));
}

// To be called when the drawing stands in the page; `of`: what has its width_mm and height_mm.
export function resize(of = size) {
  size = of;
  const svg = byId("sheet-svg");
  const box = byId("sheet-box");
  const full = size.width_mm * MM;
  const all = Math.min(box.clientWidth / full, (window.innerHeight * 0.7) / (size.height_mm * MM));
  const scale = zoom > 0 ? zoom : zoom < 0 ? all : Math.min(box.clientWidth / full, 1.4);
  svg.style.width = `${Math.max(full * scale, 60)}px`;
  byId("zoom-said").textContent = `${Math.round(scale * 100)} % on this screen; what is printed or cut is always full size.`;
}

function step(by) {
  const now = byId("sheet-svg").getBoundingClientRect().width / (size.width_mm * MM);
  const next = by > 0 ? STEPS.find((one) => one > now * 1.01) : [...STEPS].reverse().find((one) => one < now * 0.99);
  if (next) zoom = next;
  resize();
}
