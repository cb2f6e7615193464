// Elements of the page, and keys they keep to themselves.

import { SVG, filled } from "../base/elements.js";

const FOCUSABLE = ["button", "input", "select", "summary"];

/** Make an element; one that takes the focus keeps its keys from the notebook. */
export function htmlNode(name, attributes = {}, ...children) {
  const made = document.createElement(name);
  if (FOCUSABLE.includes(name)) made.setAttribute("data-lm-suppress-shortcuts", "true");
  return filled(made, attributes, children);
}

export function svgNode(name, attributes = {}, ...children) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  made.append(...children);
  return made;
}

/** Whether a field or a button under `root` will use the key pressed itself, or it isn't meant for `root`. */
export function usedElsewhere(event, root) {
  const tag = event.target.tagName;
  const field = tag === "SELECT" || (tag === "INPUT" && event.target.type !== "range");
  return field || (tag === "BUTTON" && (event.key === " " || event.key === "Enter"))
    || event.ctrlKey || event.metaKey || event.altKey || !root.contains(event.target);
}
