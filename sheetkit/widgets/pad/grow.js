// A region of like colour grown from a click on the photo: dashed until it is taken.

import { htmlNode, svgNode } from "../elements.js";
import { distance, lengthText, rounded, toScreen } from "./geometry.js";

const LEAST_TOLD_MM = 5;

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

const path = (pad, points) => `M${points.map((p) => toScreen(pad.view, p).map((v) => v.toFixed(1)).join(" ")).join("L")}`;

/** What was proposed, dashed, on the screen; dotted where the photo doesn't show the edge. */
export function proposalMarks(pad) {
  const { points, hidden, faint } = pad.model.get("proposal");
  if (!growing(pad) || !points?.length) return [];
  const d = `${path(pad, points)}Z`;
  const unseen = [...hidden, ...faint].map((part) => path(pad, part)).join("");
  return [svgNode("path", { d, class: "skp-halo" }), svgNode("path", { d, class: "skp-proposal" }),
    ...(unseen ? [svgNode("path", { d: unseen, class: "skp-unseen" })] : [])];
}

const lengthOf = (parts) => parts.reduce((sum, part) => sum + part.slice(1).reduce((all, p, k) => all + distance(p, part[k]), 0), 0);

/** Where the photo doesn't show the edge, in words. */
function unseenWords(pad) {
  const { hidden, faint } = pad.model.get("proposal");
  const told = [];
  for (const [parts, words] of [[hidden, (long) => `Light hides ${long} of the edge (dotted): draw it there by hand, or photograph it again.`],
    [faint, (long) => `Rust and sheet look alike along ${long} (dotted): check the line there.`]]) {
    const long = lengthOf(parts ?? []);
    if (long >= LEAST_TOLD_MM) told.push(words(lengthText(Math.round(long), pad.units)));
  }
  return told.join(" ");
}

/** Say what came back. */
export function tellProposal(pad) {
  const { points } = pad.model.get("proposal");
  if (!points) return;
  const words = unseenWords(pad);
  pad.say(words || "Move the sliders until the line lies on the rust's edge, then take it.", Boolean(words));
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
  const words = unseenWords(pad);
  return htmlNode("div", { class: "skp-grow" }, ...(words ? [htmlNode("p", { class: "skp-fault" }, words)] : []),
    slider("How far", "far", TOLD.grow_far, far, (v) => v.toFixed(0), (v) => ask(pad, { at, far: v, smooth_mm: smooth })),
    slider("How smooth", "smooth", TOLD.grow_smooth_mm, smooth, (v) => lengthText(v, pad.units), (v) => ask(pad, { at, far, smooth_mm: v })),
    kinds,
    htmlNode("button", { type: "button", onclick: take }, "Take it"),
    htmlNode("button", { type: "button", onclick: () => ask(pad, { at: null }) }, "Leave it"));
}
