// Elements of the phone's page.

import { SVG, filled } from "../../base/elements.js";

export const node = (name, attributes = {}, ...children) => filled(document.createElement(name), attributes, children);
export const drawn = (name, attributes = {}, ...children) =>
  filled(document.createElementNS(SVG, name), attributes, children);
export const button = (name, words, onclick) => node("button", { type: "button", class: name, onclick }, words);
/** A part that unfolds. */
export const fold = (words, ...children) => node("details", {}, node("summary", {}, words), ...children);
