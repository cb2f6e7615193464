// Strokes: once round the rust, or a brush and an eraser over it.  Python makes one ring of each.

import { htmlNode, svgNode } from "../elements.js";
import { lengthText, rounded, toDrawing } from "./geometry.js";
import { pathOf } from "./draw.js";

const TOOLS = {
  round: ["Round it", "Draw once round the rust with pen, finger or mouse"],
  brush: ["Brush", "Brush over the rust; touching a ring of the same kind adds to it"],
  eraser: ["Rub out", "Take away what was brushed or drawn too much"],
};
const BRUSHES = [5, 10, 20, 40, 80];
const LEAST_PX = 1.5;

/** Whether the tool draws with a stroke. */
export function tracing(pad) {
  return pad.tool in TOOLS;
}

export function strokeWord(pad) {
  return { round: "Draw once round the rust and let go.", brush: "Brush over the rust; each stroke adds to the ring it touches.", eraser: "Rub over what is too much." }[pad.tool];
}

/** The buttons of the strokes, and how wide the brush is. */
export function traceTools(pad) {
  pad.brushMm = 20;
  const buttons = Object.entries(TOOLS).map(([tool, [text, title]]) =>
    htmlNode("button", { type: "button", title, "data-stroke": tool, onclick: () => pad.setTool(tool) }, text));
  const width = htmlNode("select", { "aria-label": "Width of the brush", onchange: () => { pad.brushMm = Number(width.value); pad.redraw(true); } });
  pad.controls.strokes = { buttons, width };
  return [...buttons, width];
}

export function refreshTrace(pad) {
  const { buttons, width } = pad.controls.strokes;
  for (const one of buttons) {
    one.setAttribute("aria-pressed", String(pad.tool === one.dataset.stroke));
    one.disabled = pad.locked();
  }
  if (width.dataset.units !== pad.units) {
    width.dataset.units = pad.units;
    width.replaceChildren(...BRUSHES.map((mm) => htmlNode("option", { value: String(mm), selected: mm === pad.brushMm }, lengthText(mm, pad.units))));
  }
  width.disabled = pad.locked();
}

/** Begin a stroke at a place on the screen. */
export function beginStroke(pad, px) {
  pad.stroke = [px];
}

/** Add where the pointer has been since; a fast pen tells several places at once. */
export function addToStroke(pad, event, at) {
  for (const one of event.getCoalescedEvents?.() ?? [event]) {
    const px = at(one);
    const [x, y] = pad.stroke.at(-1);
    if (Math.hypot(px[0] - x, px[1] - y) >= LEAST_PX) pad.stroke.push(px);
  }
  pad.redraw(true);
}

/** Send the stroke; the ring comes back with Python's echo. */
export function endStroke(pad) {
  const points = pad.stroke.map((px) => toDrawing(pad.view, px).map(rounded));
  pad.stroke = null;
  const isRound = pad.tool === "round";
  const id = `${pad.client}-${(pad.made += 1)}`;
  pad.send({
    type: "stroke", id, kind: pad.drawKind, points, width: isRound ? null : pad.brushMm,
    erase: pad.tool === "eraser", onto: pad.selected?.id ?? "",
  });
  if (isRound) pad.selected = { id, index: null };
  pad.redraw();
}

/** What is seen of a stroke while it is drawn, and how wide the brush is. */
export function strokeMarks(pad) {
  const made = [];
  const width = pad.tool === "round" ? 3 : pad.brushMm * pad.view.scale;
  if (pad.stroke) {
    const points = pad.stroke.map((px) => toDrawing(pad.view, px));
    made.push(svgNode("path", { d: pathOf(pad.view, points, false), class: `skp-stroke skp-stroke-${pad.tool}`, "stroke-width": width }));
  }
  if (pad.tip && pad.tool !== "round") {
    const [cx, cy] = pad.screen(pad.tip);
    made.push(svgNode("circle", { cx, cy, r: width / 2, class: "skp-brush" }));
  }
  return made;
}
