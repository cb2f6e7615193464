// Elements of the page, and keys they keep to themselves.

const SVG = "http://www.w3.org/2000/svg";
const FOCUSABLE = ["button", "input", "select", "summary"];

/** Make an element; one that takes the focus keeps its keys from the notebook. */
export function htmlNode(name, attributes = {}, ...children) {
  const made = document.createElement(name);
  if (FOCUSABLE.includes(name)) made.setAttribute("data-lm-suppress-shortcuts", "true");
  for (const [key, value] of Object.entries(attributes)) {
    if (key.startsWith("on")) made.addEventListener(key.slice(2), value);
    else if (value === true) made.setAttribute(key, "");
    else if (value !== false && value !== null) made.setAttribute(key, value);
  }
  made.append(...children);
  return made;
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
