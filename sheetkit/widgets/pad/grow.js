// A region of like colour grown from a click on the photo: dashed until it is taken.

import { htmlNode, svgNode } from "../elements.js";
import { lengthText, rounded, toScreen } from "./geometry.js";

/** Whether a tap on the photo grows a region. */
export function growing(pad) {
  return pad.tool === "grow";
}

function ask(pad, values) {
  pad.send({ type: "grow", ...values });
}

/** Grow from a point of the drawing. */
export function growAt(pad, at) {
  ask(pad, { at: at.map(rounded), smooth_mm: pad.model.get("proposal").smooth_mm ?? 2 });
}

/** What was proposed, dashed, on the screen. */
export function proposalMarks(pad) {
  const { points } = pad.model.get("proposal");
  if (!growing(pad) || !points?.length) return [];
  const d = `M${points.map((p) => toScreen(pad.view, p).map((v) => v.toFixed(1)).join(" ")).join("L")}Z`;
  return [svgNode("path", { d, class: "skp-halo" }), svgNode("path", { d, class: "skp-proposal" })];
}

function slider(text, name, limits, value, told, change) {
  const shown = htmlNode("output", {}, told(value));
  const input = htmlNode("input", { type: "range", name, min: limits[0], max: limits[1], step: "any", value,
    oninput: () => { shown.textContent = told(Number(input.value)); },
    onchange: () => change(Number(input.value)) });
  return htmlNode("label", { class: "skp-row" }, htmlNode("span", {}, text), input, shown);
}

/** The controls of a proposal: how far, how smooth, what it stands for, take it or leave it. */
export function proposalForm(pad) {
  const proposal = pad.model.get("proposal");
  if (!proposal.points) return htmlNode("p", { class: "skp-none" }, "Click on the rust in the photo.");
  const { at, far, smooth_mm: smooth } = proposal;
  const kinds = htmlNode("select", { "aria-label": "What it stands for" },
    ...pad.kinds.filter(({ form }) => form === "ring").map((k) => htmlNode("option", { value: k.name, selected: k.name === proposal.kind }, k.label)));
  const take = () => {
    const id = `${pad.client}-${(pad.made += 1)}`;
    pad.edit({ op: "add", id, kind: kinds.value, points: proposal.points, done: true });
    pad.selected = { id, index: null };
    ask(pad, { at: null });
  };
  return htmlNode("div", { class: "skp-grow" },
    slider("How far", "far", TOLD.grow_far, far, (v) => v.toFixed(0), (v) => ask(pad, { at, far: v, smooth_mm: smooth })),
    slider("How smooth", "smooth", TOLD.grow_smooth_mm, smooth, (v) => lengthText(v, pad.units), (v) => ask(pad, { at, far, smooth_mm: v })),
    kinds,
    htmlNode("button", { type: "button", onclick: take }, "Take it"),
    htmlNode("button", { type: "button", onclick: () => ask(pad, { at: null }) }, "Leave it"));
}
