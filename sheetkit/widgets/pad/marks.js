// Marks that set a photo's scale: put by a tap, aimed by dragging or by keys, seen under a magnifier.

import { distance, toDrawing, toScreen } from "./geometry.js";
import { svgNode } from "../elements.js";
import { fromPhoto, toPhoto } from "./place.js";

const CORNERS = ["lower left", "lower right", "upper right", "upper left"];
const LENS = { side: 168, share: 0.42, times: 4, most: 8, gap: 8 };
/** An arrow moves a mark by so many px on the screen; with Alt by one px of the photo. */
const ARROW_PX = 8;

export function marksNeeded(pad) {
  return pad.tool === "corners" ? 4 : 2;
}

export function measuring(pad) {
  return pad.tool === "two_points" || pad.tool === "corners";
}

const placeOf = (pad) => pad.model.get("photo_place");
const onScreen = (pad, mark) => toScreen(pad.view, fromPhoto(placeOf(pad), mark));

/** The mark under the pointer, or null. */
function markUnder(pad, px, reach) {
  const gaps = pad.marks.map((mark) => distance(onScreen(pad, mark), px));
  const nearest = gaps.indexOf(Math.min(...gaps));
  return nearest >= 0 && gaps[nearest] <= reach ? nearest : null;
}

/** Take a mark in hand: the one under the pointer, else, if it may be `fresh`, the next that is missing. */
export function takeMark(pad, px, reach, fresh) {
  pad.held = markUnder(pad, px, reach);
  if (fresh && pad.held === null && pad.marks.length < marksNeeded(pad)) {
    pad.held = pad.marks.length;
    moveMark(pad, toDrawing(pad.view, px));
  }
  return pad.held !== null;
}

/** Move the mark in hand to a point of the drawing. */
export function moveMark(pad, point) {
  pad.marks[pad.held] = toPhoto(placeOf(pad), point);
  pad.tip = point;
  pad.redraw(true);
}

/** Let go of the mark in hand where it is, and say what comes next. */
export function leaveMark(pad) {
  pad.held = null;
  pad.say(markWord(pad));
  pad.redraw();
}

/** Put a mark where the user pointed; with all of them there the nearest is moved. */
export function putMark(pad, point, reach) {
  const px = toPhoto(placeOf(pad), point);
  const near = markUnder(pad, toScreen(pad.view, point), reach);
  const full = pad.marks.length === marksNeeded(pad);
  if (!full) pad.marks.push(px);
  else if (near !== null) pad.marks[near] = px;
  else {
    const far = pad.marks.map((mark) => distance(mark, px));
    pad.marks[far.indexOf(Math.min(...far))] = px;
  }
  leaveMark(pad);
}

/** What is to be marked next, in words. */
export function markWord(pad) {
  const n = pad.marks.length;
  const move = "Drag a mark, or choose it with , and . and move it with the arrows.";
  if (pad.tool === "corners") {
    return n < 4 ? `Corner ${n + 1} of 4: mark the ${CORNERS[n]} corner of the rectangle.` : `Four corners. Type the rectangle's width and height, then Apply. ${move}`;
  }
  return n < 2 ? `Point ${n + 1} of 2: mark a point whose distance to the other you know.` : `Two points. Type their distance, then Apply. ${move}`;
}

/** Take the next or the one before of the marks in hand, to be moved by keys. */
export function chooseMark(pad, step) {
  const n = pad.marks.length;
  if (!n) return pad.say("No mark yet: go there with the arrows, then press the space bar.");
  pad.held = pad.held === null ? (step > 0 ? 0 : n - 1) : (pad.held + step + n) % n;
  pad.tip = fromPhoto(placeOf(pad), pad.marks[pad.held]);
  pad.say(`Mark ${pad.held + 1}${pad.tool === "corners" ? `, ${CORNERS[pad.held]}` : ""}: the arrows move it, Alt + arrows by one pixel of the photo.`);
  return pad.redraw();
}

/** How far an arrow moves cursor or mark, mm. */
export function aimStep(pad, fine) {
  const pixel = placeOf(pad).mm_per_px;
  return fine ? pixel : Math.max(pixel, ARROW_PX / pad.view.scale);
}

/** Carry the mark in hand along with the keyboard's cursor. */
export function carryMark(pad) {
  if (measuring(pad) && pad.held !== null) moveMark(pad, pad.tip);
}

/** The photo round the cursor, large, with a cross; away from the hand. */
export function magnifier(pad) {
  const place = placeOf(pad);
  if (!measuring(pad) || !pad.tip || !pad.photoUrl || !place?.size_px) return [];
  const { view } = pad;
  const side = Math.min(LENS.side, LENS.share * view.width);
  const scale = Math.min(LENS.times * view.scale, LENS.most / place.mm_per_px);
  const [x, y] = toScreen(view, pad.tip);
  const left = x > view.width / 2 ? LENS.gap : view.width - side - LENS.gap;
  const half = side / 2;
  const [photoX, photoY] = toPhoto(place, pad.tip).map((px) => half - px * place.mm_per_px * scale);
  const [width, height] = place.size_px.map((px) => px * place.mm_per_px * scale);
  const n = pad.held ?? Math.min(pad.marks.length, marksNeeded(pad) - 1);
  const word = pad.tool === "corners" ? CORNERS[n] : `point ${n + 1}`;
  const others = pad.marks.filter((_, i) => i !== pad.held).map((mark) => {
    const [cx, cy] = onScreen(pad, mark).map((v, k) => half + ((v - [x, y][k]) * scale) / view.scale);
    return svgNode("circle", { cx, cy, r: 6, class: "skp-measure" });
  });
  return [svgNode("svg", { x: left, y: LENS.gap, width: side, height: side, class: "skp-lens", "aria-hidden": "true" },
    svgNode("rect", { width: side, height: side, class: "skp-lens-back" }),
    svgNode("image", { href: pad.photoUrl, x: photoX, y: photoY, width, height, preserveAspectRatio: "none" }), ...others,
    svgNode("path", { d: `M0 ${half}H${side}M${half} 0V${side}`, class: "skp-lens-halo" }),
    svgNode("path", { d: `M0 ${half}H${side}M${half} 0V${side}`, class: "skp-lens-cross" }),
    svgNode("rect", { width: side, height: side, class: "skp-lens-rim" }),
    svgNode("text", { x: half, y: side - 8, class: "skp-label", "text-anchor": "middle" }, word))];
}
