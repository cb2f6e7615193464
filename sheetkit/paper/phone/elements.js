// Elements of the page; whatever a user typed becomes text, never markup.

const SVG = "http://www.w3.org/2000/svg";

function filled(made, attributes, children) {
  for (const [key, value] of Object.entries(attributes)) {
    if (key.startsWith("on")) made.addEventListener(key.slice(2), value);
    else if (value === true) made.setAttribute(key, "");
    else if (value !== false && value !== null) made.setAttribute(key, value);
  }
  made.append(...children);
  return made;
}

export const node = (name, attributes = {}, ...children) => filled(document.createElement(name), attributes, children);
export const drawn = (name, attributes = {}, ...children) =>
  filled(document.createElementNS(SVG, name), attributes, children);
export const button = (name, words, onclick) => node("button", { type: "button", class: name, onclick }, words);
/** A part that unfolds. */
export const fold = (words, ...children) => node("details", {}, node("summary", {}, words), ...children);
