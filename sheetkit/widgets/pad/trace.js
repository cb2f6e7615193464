// Strokes: once round the rust, or a brush and an eraser over it.  Python makes one ring of each.

import { htmlNode, svgNode } from "../elements.js";
import { lengthText, rounded, toDrawing, toScreen } from "./geometry.js";

const STROKES = {
  round: ["Round it", "Draw once round the rust with pen, finger or mouse", "Draw once round the rust, and let go."],
  brush: ["Brush", "Brush over the rust; what touches a ring of the same kind adds to it", "Brush over the rust; a stroke that touches a ring adds to it."],
  eraser: ["Rub out", "Take away what was drawn too much", "Rub over what is too much."],
};
const BRUSHES = [5, 10, 20, 40, 80];
const LEAST_PX = 1.5;

/** Whether the tool draws with a stroke. */
export function tracing(pad) {
  return pad.tool in STROKES;
}

/** What to do with the tool, in words. */
export function strokeWord(tool) {
  return STROKES[tool]?.[2] ?? "";
}

/** The buttons of the strokes, and how wide the brush is. */
export function traceTools(pad, press) {
  pad.brushMm = 20;
  const buttons = Object.entries(STROKES).map(([tool, [text, title]]) => {
    const made = press(text, title, tool);
    made.dataset.stroke = tool;
    return made;
  });
  const width = htmlNode("select", { "aria-label": "Width of the brush", title: "Width of the brush", onchange: () => {
    pad.brushMm = Number(width.value);
    pad.redraw(true);
  } });
  pad.controls.strokes = { buttons, width };
  return [...buttons, width];
}

export function refreshTrace(pad) {
  const { buttons, width } = pad.controls.strokes;
  for (const one of buttons) one.setAttribute("aria-pressed", String(pad.tool === one.dataset.stroke));
  if (width.dataset.units === pad.units) return;
  width.dataset.units = pad.units;
  width.replaceChildren(...BRUSHES.map((mm) =>
    htmlNode("option", { value: String(mm), selected: mm === pad.brushMm }, lengthText(mm, pad.units))));
}

/** Add where the pointer has been since; a fast pen tells several places at once. */
export function addToStroke(pad, event, at) {
  pad.stroke ??= [];
  const told = event.getCoalescedEvents?.() ?? [];
  for (const one of told.length ? told : [event]) {
    const px = at(one);
    const last = pad.stroke.at(-1);
    if (!last || Math.hypot(px[0] - last[0], px[1] - last[1]) >= LEAST_PX) pad.stroke.push(px);
  }
  pad.redraw(true);
}

/** Send the stroke; its ring comes back with Python's echo. */
export function endStroke(pad) {
  const points = (pad.stroke ?? []).map((px) => toDrawing(pad.view, px).map(rounded));
  pad.stroke = null;
  if (pad.locked() || !points.length) return pad.redraw();
  const isRound = pad.tool === "round";
  const id = `${pad.client}-${(pad.made += 1)}`;
  const kind = pad.kind(pad.drawKind).form === "ring" ? pad.drawKind : "rust_holed";
  pad.send({
    type: "stroke", id, kind, points, width: isRound ? null : pad.brushMm,
    erase: pad.tool === "eraser", onto: pad.selected?.id ?? "",
  });
  if (isRound) pad.selected = { id, index: null };
  return pad.redraw();
}

/** What is seen of a stroke while it is drawn, and how wide the brush is. */
export function strokeMarks(pad) {
  if (!tracing(pad)) return [];
  const made = [];
  const width = pad.tool === "round" ? 3 : pad.brushMm * pad.view.scale;
  if (pad.stroke?.length) {
    const d = `M${pad.stroke.map((px) => px.map((v) => v.toFixed(1)).join(" ")).join("L")}${pad.stroke.length === 1 ? "h.01" : ""}`;
    made.push(svgNode("path", { d, class: `skp-stroke skp-stroke-${pad.tool}`, "stroke-width": width }));
  }
  if (pad.tip && pad.tool !== "round") {
    const [cx, cy] = toScreen(pad.view, pad.tip);
    made.push(svgNode("circle", { cx, cy, r: width / 2, class: "skp-brush" }));
  }
  return made;
}
