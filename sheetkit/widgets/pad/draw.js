// What is seen on the pad: grid, photo, shapes, overlays, handles, readout.

import { area, edges, labelPoint, lengthText, angleText, middle, toScreen, toDrawing, distance, pointText } from "./geometry.js";
import { svgNode } from "../elements.js";
import { isEnough } from "./edits.js";
import { proposalMarks } from "./grow.js";
import { magnifier, measuring } from "./marks.js";
import { strokeMarks } from "./trace.js";

const NARROW_PX = 480; // a pad narrower than that has no room for all the words of a bend
const OVERLAYS = ["cut_line", "patch_outline", "seam", "bend", "bend_zone", "sheet"];
const LAYERS = ["photo", "grid", "shapes", "overlays", "labels", "handles", "front"];

/** Make the svg and its layers; patterns carry the view's own id. */
export function makeCanvas(pad) {
  const hatch = svgNode("pattern", { id: `${pad.client}-hatch`, width: 9, height: 9, patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)" },
    svgNode("line", { x1: 0, y1: 0, x2: 0, y2: 9, class: "skp-hatch" }));
  const dots = svgNode("pattern", { id: `${pad.client}-dots`, width: 10, height: 10, patternUnits: "userSpaceOnUse" },
    svgNode("circle", { cx: 3, cy: 3, r: 1.5, class: "skp-dot" }));
  pad.layers = Object.fromEntries(LAYERS.map((name) => [name, svgNode("g", { class: `skp-${name}` })]));
  pad.image = svgNode("image", { preserveAspectRatio: "none" });
  const svg = svgNode("svg", {
    class: "skp-canvas", tabindex: 0, role: "application", "aria-roledescription": "drawing pad", "data-lm-suppress-shortcuts": "true",
    "aria-label": "Drawing pad. Press question mark for its keys.",
    "aria-describedby": `${pad.client}-status`,
  }, svgNode("defs", {}, hatch, dots), ...Object.values(pad.layers));
  return svg;
}

function gridStep(pad) {
  const base = pad.model.get("grid_mm");
  const inch = pad.units === "in";
  for (const times of inch ? [1, 2, 4, 8, 16, 48, 96, 480] : [1, 2, 4, 10, 20, 40, 100, 200, 400]) {
    if (base * times * pad.view.scale >= 9) return base * times;
  }
  return base * 1000;
}

function drawGrid(pad) {
  const { view } = pad;
  const step = gridStep(pad);
  const every = pad.units === "in" ? 4 : 5;
  const [x0, y1] = toDrawing(view, [0, 0]);
  const [x1, y0] = toDrawing(view, [view.width, view.height]);
  const paths = { minor: "", major: "", axis: "" };
  const texts = [];
  for (let i = Math.ceil(x0 / step); i * step <= x1; i++) {
    const px = toScreen(view, [i * step, 0])[0];
    paths[i === 0 ? "axis" : i % every ? "minor" : "major"] += `M${px} 0V${view.height}`;
    if (i % every === 0 && px > 44) texts.push(tick(pad, px, view.height - 5, i * step, "middle"));
  }
  for (let i = Math.ceil(y0 / step); i * step <= y1; i++) {
    const py = toScreen(view, [0, i * step])[1];
    paths[i === 0 ? "axis" : i % every ? "minor" : "major"] += `M0 ${py}H${view.width}`;
    if (i % every === 0 && py < view.height - 22) texts.push(tick(pad, 4, py - 3, i * step, "start"));
  }
  pad.layers.grid.replaceChildren(
    ...Object.entries(paths).map(([name, d]) => svgNode("path", { d, class: `skp-grid-${name}` })), ...texts,
  );
}

function tick(pad, x, y, mm, anchor) {
  return svgNode("text", { x, y, class: "skp-tick", "text-anchor": anchor }, lengthText(mm, pad.units).split(" ")[0]);
}

/** Lay a picture where its place says. */
function laid(pad, image, place, url) {
  const [w, h] = place.size_px.map((px) => px * place.mm_per_px);
  const [x, y] = toScreen(pad.view, [place.origin_mm[0], place.origin_mm[1] + h]);
  if (image.getAttribute("href") !== url) image.setAttribute("href", url);
  for (const [key, value] of Object.entries({ x, y, width: w * pad.view.scale, height: h * pad.view.scale })) image.setAttribute(key, value);
  return image;
}

/** A picture that is seen on its flat alone, and stops at the bends' middles. */
function onFlat(pad, flat, picture) {
  const ring = (pad.model.get("photo_flats") ?? []).find(({ number }) => number === flat)?.ring;
  if (!ring) return [picture];
  const id = `${pad.client}-flat-${flat}`;
  const clip = svgNode("clipPath", { id }, svgNode("path", { d: pathOf(pad.view, ring, true) }));
  return [clip, svgNode("g", { "clip-path": `url(#${id})` }, picture)];
}

function drawPhoto(pad) {
  const made = pad.flatUrls.flatMap(({ flat, place, url }) => onFlat(pad, flat, laid(pad, svgNode("image", { preserveAspectRatio: "none" }), place, url)));
  const place = pad.model.get("photo_place");
  if (place?.size_px && pad.photoUrl) {
    const picture = laid(pad, pad.image, place, pad.photoUrl);
    // all of it is seen while its scale is set
    made.push(...(place.scaled && !measuring(pad) ? onFlat(pad, pad.model.get("photo_flat"), picture) : [picture]));
  }
  pad.layers.photo.replaceChildren(...made);
}

export function pathOf(view, points, closed) {
  if (!points.length) return "";
  return `M${points.map((p) => toScreen(view, p).map((v) => v.toFixed(2)).join(" ")).join("L")}${closed ? "Z" : ""}`;
}

function drawShape(pad, shape) {
  const kind = pad.kind(shape.kind);
  const selected = pad.selected?.id === shape.id;
  const bad = pad.faults[shape.id] && shape.done;
  const classes = `skp-shape skp-${shape.kind}${selected ? " skp-selected" : ""}${bad ? " skp-bad" : ""}`;
  const group = svgNode("g", { class: classes, "data-shape": shape.id });
  const fills = { rust_holed: "hatch", rust_pitted: "dots" };
  if (kind.form === "point") {
    const [x, y] = toScreen(pad.view, shape.points[0]);
    if (shape.kind === "mounting") {
      const radius = (shape.value ?? kind.default) * pad.view.scale;
      group.append(svgNode("circle", { cx: x, cy: y, r: radius, class: "skp-line" }));
    }
    const d = shape.kind === "mounting" ? `M${x - 9} ${y}h18M${x} ${y - 9}v18` : `M${x} ${y - 9}l9 15h-18Z`;
    group.append(svgNode("path", { d, class: "skp-mark" }));
  } else {
    const d = pathOf(pad.view, shape.points, kind.form === "ring" && shape.done);
    if (fills[shape.kind] && shape.done) {
      group.append(svgNode("path", { d, class: "skp-fill", fill: `url(#${pad.client}-${fills[shape.kind]})` }));
    }
    group.append(svgNode("path", { d, class: "skp-halo" }), svgNode("path", { d, class: "skp-line" }));
    if (shape.points.length === 1) {
      const [cx, cy] = toScreen(pad.view, shape.points[0]);
      group.append(svgNode("circle", { cx, cy, r: 3, class: "skp-mark" }));
    }
  }
  return group;
}

/** Where a shape's label stands on the screen: in the middle of a ring, else beside a corner. */
function labelPlace(pad, shape) {
  const outline = shape.kind === "panel_outline";
  if (pad.kind(shape.kind).form === "ring" && !outline && shape.done) {
    return [...toScreen(pad.view, labelPoint(shape.points)), "middle"];
  }
  const corner = outline ? shape.points.reduce((best, p) => (p[1] - p[0] > best[1] - best[0] ? p : best)) : shape.points[0];
  const [x, y] = toScreen(pad.view, corner);
  return [x + 12, y - 10, "start"];
}

function drawLabel(pad, shape) {
  const [x, y, anchor] = labelPlace(pad, shape);
  const lines = [[pad.labelOf(shape), "skp-label"]];
  const faults = pad.faults[shape.id];
  if (faults && (shape.done || pad.selected?.id !== shape.id)) {
    lines.push(...wrapped(`⚠ ${shape.done ? faults[0].value : "not finished"}`).map((text) => [text, "skp-label skp-why"]));
  }
  const wide = 7.5 * Math.max(...lines.map(([text]) => text.length));
  const left = anchor === "start" ? x : x - wide / 2;
  return {
    box: [left, y - 13, left + wide, y + 16 * lines.length - 11],
    rank: (pad.selected?.id === shape.id ? 2 : 0) + (faults ? 1 : 0),
    nodes: lines.map(([text, name], i) => svgNode("text", { x, y: y + 16 * i, class: name, "text-anchor": anchor }, text)),
  };
}

/** Return the labels that can be read: what would lie over a more urgent or a larger one's is left out. */
function apart(labels) {
  const kept = [];
  for (const label of labels.sort((a, b) => b.rank - a.rank)) {
    const [l, t, r, b] = label.box;
    if (label.rank || kept.every(({ box }) => r < box[0] || box[2] < l || b < box[1] || box[3] < t)) kept.push(label);
  }
  return kept;
}

function wrapped(text) {
  return text.match(/.{1,30}(\s|$)/g) ?? [text];
}

/** The words of a cut line, under its lowest point. */
function below(pad, { lines, rings, label }) {
  const first = (rings ?? lines ?? [])[0];
  if (!first?.length) return [];
  const [x, y] = toScreen(pad.view, first.reduce((low, p) => (p[1] < low[1] ? p : low)));
  return [svgNode("text", { x, y: y + 15, class: "skp-label", "text-anchor": "middle" }, label)];
}

/** The words of a bend or of the sheet, at the left end of what is seen of its line. */
function alongside(pad, { lines, rings, label, short }) {
  const points = (lines ?? rings ?? []).flat().map((point) => toScreen(pad.view, point));
  if (!points.length) return [];
  const xs = points.map(([x]) => x);
  const ys = points.map(([, y]) => y);
  const level = Math.max(...xs) - Math.min(...xs) >= Math.max(...ys) - Math.min(...ys) || rings;
  const x = Math.max(Math.min(...xs), 0) + 8;
  const y = level ? Math.min(...ys) - 5 : Math.max(Math.min(...ys), 0) + 18;
  return [svgNode("text", { x, y, class: "skp-label skp-along", "text-anchor": "start" }, pad.view.width < NARROW_PX ? short ?? label : label)];
}

function drawOverlays(pad) {
  const made = [];
  for (const overlay of pad.model.get("overlays") ?? []) {
    const kind = OVERLAYS.includes(overlay.kind) ? overlay.kind : "cut_line";
    let d = "";
    for (const ring of overlay.rings ?? []) d += pathOf(pad.view, ring, true);
    for (const line of overlay.lines ?? []) d += pathOf(pad.view, line, false);
    if (kind !== "bend_zone") made.push(svgNode("path", { d, class: `skp-over-halo` }));
    made.push(svgNode("path", { d, class: `skp-over skp-over-${kind}` }));
    if (overlay.label) made.push(...(["bend", "sheet"].includes(kind) ? alongside : below)(pad, overlay));
  }
  pad.layers.overlays.replaceChildren(...made);
}

function drawHandles(pad) {
  const shape = pad.shape(pad.selected?.id);
  const made = [];
  if (shape) {
    const form = pad.kind(shape.kind).form;
    if (pad.tool === "edit") {
      for (const [, a, b] of edges(shape, form)) {
        const [p, q] = [toScreen(pad.view, a), toScreen(pad.view, b)];
        if (distance(p, q) < 36) continue;
        const [x, y] = toScreen(pad.view, middle(a, b));
        made.push(svgNode("path", { d: `M${x - 4} ${y}h8M${x} ${y - 4}v8`, class: "skp-between" }));
      }
    }
    shape.points.forEach((point, i) => {
      const [x, y] = toScreen(pad.view, point);
      if (x < -9 || y < -9 || x > pad.view.width + 9 || y > pad.view.height + 9) return;
      const chosen = pad.selected.index === i;
      const side = chosen ? 13 : 9;
      made.push(svgNode("rect", {
        x: x - side / 2, y: y - side / 2, width: side, height: side, class: `skp-handle${chosen ? " skp-chosen" : ""}`,
      }));
    });
  }
  pad.layers.handles.replaceChildren(...made);
}

/** Rubber band with live length and angle, keyboard cursor, photo marks. */
function drawFront(pad) {
  const made = [];
  const tip = pad.tip;
  const shape = pad.current();
  const last = shape?.points.at(-1);
  if (tip && shape && pad.tool === "draw" && distance(last, tip) > 1e-6) {
    made.push(svgNode("path", { d: pathOf(pad.view, [last, tip], false), class: "skp-rubber" }));
    const [x, y] = toScreen(pad.view, tip);
    const text = `${lengthText(distance(last, tip), pad.units)}  ${angleText(last, tip)}`;
    const left = x > pad.view.width - 150;
    made.push(svgNode("text", { x: left ? x - 14 : x + 14, y: Math.max(y - 12, 16), class: "skp-label skp-live", "text-anchor": left ? "end" : "start" }, text));
    if (pad.kind(shape.kind).form === "ring" && isEnough(shape.points, "ring")) {
      const [cx, cy] = toScreen(pad.view, shape.points[0]);
      made.push(svgNode("circle", { cx, cy, r: 11, class: "skp-close" }));
    }
  }
  if (tip && pad.tool !== "edit" && pad.tool !== "none") {
    const [x, y] = toScreen(pad.view, tip);
    made.push(svgNode("path", { d: `M${x - 12} ${y}h24M${x} ${y - 12}v24`, class: "skp-cross" }));
  }
  pad.marks.forEach((mark, i) => {
    const [x, y] = toScreen(pad.view, pad.fromPhoto(mark));
    made.push(
      svgNode("path", { d: `M${x - 14} ${y}h28M${x} ${y - 14}v28`, class: "skp-measure" }),
      svgNode("text", { x: x + 10, y: y - 8, class: "skp-label skp-live" }, String(i + 1)),
    );
  });
  pad.layers.front.replaceChildren(...made, ...proposalMarks(pad), ...strokeMarks(pad), ...magnifier(pad));
  pad.readout.textContent = tip ? pointText(tip, pad.units) : "";
}

function drawShapes(pad) {
  const order = [...pad.shapes].sort((a, b) => size(pad, b) - size(pad, a));
  pad.layers.shapes.replaceChildren(...order.map((shape) => drawShape(pad, shape)));
  pad.layers.labels.replaceChildren(...apart(order.map((shape) => drawLabel(pad, shape))).flatMap((label) => label.nodes));
}

/** What each layer shows besides the view; a layer is drawn again only when that is not what it was. */
const SHOWN = [
  [drawGrid, (pad) => [pad.units, pad.model.get("grid_mm")]],
  [drawPhoto, (pad) => [pad.photoUrl, pad.model.get("photo_place"), pad.flatUrls, pad.model.get("photo_flats"), measuring(pad)]],
  [drawOverlays, (pad) => [pad.model.get("overlays")]],
  [drawShapes, (pad) => [pad.shapes, pad.faults, pad.selected?.id]],
  [drawHandles, (pad) => [pad.shapes, pad.selected?.id, pad.selected?.index, pad.tool]],
];

/** Draw what changed: everything, or with `light` only what follows the pointer. */
export function draw(pad, light = false) {
  if (!light) {
    Object.assign(pad.svg.dataset, { x: pad.view.x, y: pad.view.y, scale: pad.view.scale });
    SHOWN.forEach(([layer, shows], i) => {
      const now = [pad.view, ...shows(pad)];
      const before = pad.drawn[i];
      if (before?.every((value, k) => value === now[k])) return;
      pad.drawn[i] = now;
      layer(pad);
    });
  }
  drawFront(pad);
}

function size(pad, shape) {
  return pad.kind(shape.kind).form === "ring" ? area(shape.points) : 0;
}
