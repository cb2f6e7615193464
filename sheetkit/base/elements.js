// Elements of any page; whatever a user typed becomes text, never markup.

export const SVG = "http://www.w3.org/2000/svg";

/** Give an element its attributes, what it hears (`on...`) and what lies in it. */
export function filled(made, attributes, children) {
  for (const [key, value] of Object.entries(attributes)) {
    if (key.startsWith("on")) made.addEventListener(key.slice(2), value);
    else if (value === true) made.setAttribute(key, "");
    else if (value !== false && value !== null) made.setAttribute(key, value);
  }
  made.append(...children);
  return made;
}
