// Mouse, pen, finger and keys on the canvas.

import { distance, edges, inside, middle, snapped, toDrawing, toScreen, toSegment, zoomed, MM_PER_INCH, rounded } from "./geometry.js";
import { isEnough } from "./edits.js";
import { growAt, growing } from "./grow.js";
import { aimStep, leaveMark, measuring, moveMark, putMark, takeMark } from "./marks.js";
import { addToStroke, endStroke, tracing } from "./trace.js";

const REACH = { touch: 22, pen: 14, mouse: 10 };
const STILL = { touch: 10, pen: 6, mouse: 4 };
const AGAIN_MS = 1000 * TOLD.touch_again_s;

export function listen(pad) {
  const { svg } = pad;
  const fingers = new Map();
  let press = null;
  let lastTap = { time: 0, px: [0, 0] };

  const at = (event) => {
    const box = svg.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  };
  const step = (event) => (pad.snap && !event.altKey ? pad.model.get("grid_mm") : 0);
  const placed = (event) => snapped(toDrawing(pad.view, at(event)), measuring(pad) || tracing(pad) ? 0 : step(event));

  svg.addEventListener("pointerdown", (event) => {
    if (event.button === 2) return;
    svg.focus({ preventScroll: true });
    svg.setPointerCapture(event.pointerId);
    fingers.set(event.pointerId, at(event));
    pad.ping();
    if (fingers.size > 1) {
      pad.stroke = null; // a second finger zooms
      cancel(pad, press);
      press = { pinch: true, view: pad.view, from: [...fingers.values()] };
      return;
    }
    pad.stroke = tracing(pad) ? [at(event)] : null;
    press = pressed(pad, event, at(event));
  });

  svg.addEventListener("pointermove", (event) => {
    if (fingers.has(event.pointerId)) fingers.set(event.pointerId, at(event));
    const isFree = !press && ["edit", "none"].includes(pad.tool);
    pad.tip = isFree ? toDrawing(pad.view, at(event)) : placed(event);
    if (press?.pinch) return pinch(pad, press, [...fingers.values()]);
    if (press) stir(press, at(event));
    if (isSwipe(pad, press)) return;
    if (press?.aims) return moveMark(pad, placed(event));
    if (press && tracing(pad)) return addToStroke(pad, event, at);
    if (press?.moved) return drag(pad, press, event, at(event), step(event));
    pad.redraw(true);
  });

  const release = (event) => {
    fingers.delete(event.pointerId);
    if (!press || press.pinch) {
      if (!fingers.size) press = null;
      return;
    }
    const done = press;
    press = null;
    if (event.type === "pointercancel") {
      pad.stroke = null;
      return cancel(pad, done);
    }
    if (tracing(pad)) {
      addToStroke(pad, event, at);
      return endStroke(pad);
    }
    if (done.aims) return leaveMark(pad);
    if (done.moved) {
      if (done.edit) pad.edit(done.edit, done.shapes);
      return;
    }
    const px = at(event);
    const double = event.timeStamp - lastTap.time < AGAIN_MS && distance(px, lastTap.px) < 12;
    lastTap = { time: event.timeStamp, px };
    tap(pad, done, placed(event), px, REACH[event.pointerType] ?? 10, double);
  };
  svg.addEventListener("pointerup", release);
  svg.addEventListener("pointercancel", release);
  svg.addEventListener("pointerleave", () => {
    if (press) return;
    pad.tip = null;
    pad.redraw(true);
  });
  svg.addEventListener("contextmenu", (event) => {
    event.preventDefault();
    event.stopPropagation();
  });
  svg.addEventListener("wheel", (event) => {
    // a page that scrolls past the pad must not zoom it
    if (document.activeElement !== svg && !event.ctrlKey) return;
    event.preventDefault();
    event.stopPropagation();
    pad.view = zoomed(pad.view, Math.exp(-Math.max(-60, Math.min(60, event.deltaY)) / 300), at(event));
    pad.redraw();
  }, { passive: false });
  svg.addEventListener("focus", () => pad.ping());
  svg.addEventListener("keydown", (event) => {
    if (key(pad, event)) {
      event.preventDefault();
      event.stopPropagation();
    }
  });
}

/** Take a press for a drag once it has left its place. */
function stir(press, px) {
  press.moved ||= distance(press.px, px) > (STILL[press.type] ?? 4);
}

/** What a press begins.  A mouse sees where it aims beforehand, and drags the picture; a finger aims as it drags. */
function pressed(pad, event, px) {
  const type = event.pointerType;
  const reach = REACH[type] ?? 10;
  const press = { px, view: pad.view, type, moved: false, shapes: pad.shapes, marks: [...pad.marks], hit: null };
  if (event.button !== 0) return press;
  if (measuring(pad)) press.aims = takeMark(pad, px, reach, type !== "mouse");
  if (pad.tool === "edit") press.hit = hit(pad, px, reach);
  return press;
}

/** Whether the page itself moves under the finger: it is swiped along, nothing is drawn. */
function isSwipe(pad, press) {
  return press?.moved && press.type === "touch" && pad.tool === "none";
}

/** What lies under the pointer: a point, an edge's middle, an edge, or the inside. */
export function hit(pad, px, reach) {
  const chosen = pad.shape(pad.selected?.id);
  const others = pad.shapes.filter((s) => s !== chosen).reverse();
  // the chosen shape goes before those it lies under
  const mine = chosen ? [chosen] : [];
  return pointUnder(pad, mine, px, reach + 3) ?? pointUnder(pad, others, px, reach)
    ?? edgeUnder(pad, [...mine, ...others], px, reach) ?? ringUnder(pad, px);
}

function pointUnder(pad, shapes, px, reach) {
  const found = shapes.flatMap(({ id, points }) => points.map((point, index) =>
    ({ what: "point", id, index, gap: distance(toScreen(pad.view, point), px) })));
  const nearest = found.reduce((best, one) => (one.gap < best.gap ? one : best), { gap: Infinity });
  return nearest.gap <= reach ? nearest : null;
}

function edgeUnder(pad, shapes, px, reach) {
  for (const shape of shapes) {
    for (const [index, a, b] of edges(shape, pad.kind(shape.kind).form)) {
      const [p, q] = [toScreen(pad.view, a), toScreen(pad.view, b)];
      const half = middle(a, b);
      if (shape.id === pad.selected?.id && distance(p, q) >= 36 && distance(toScreen(pad.view, half), px) <= reach) {
        return { what: "between", id: shape.id, index: index + 1, at: half };
      }
      const to = toSegment(px, p, q);
      if (to.distance <= reach) return { what: "edge", id: shape.id, index: index + 1, at: toDrawing(pad.view, to.at) };
    }
  }
  return null;
}

function ringUnder(pad, px) {
  const point = toDrawing(pad.view, px);
  const within = pad.shapes.filter((s) => s.kind !== "panel_outline" && s.done &&
    pad.kind(s.kind).form === "ring" && inside(point, s.points)).map(({ id }) => id);
  if (!within.length) return null;
  return { what: "inside", id: within.includes(pad.selected?.id) ? pad.selected.id : within.at(-1) };
}

function cancel(pad, press) {
  if (press?.aims) [pad.marks, pad.held] = [press.marks, null];
  if (press?.shapes) pad.shapes = press.shapes;
  pad.redraw();
}

function pinch(pad, press, now) {
  if (now.length < 2) return;
  const [a, b] = press.from;
  const factor = distance(now[0], now[1]) / Math.max(distance(a, b), 1);
  const from = middle(a, b);
  const to = middle(now[0], now[1]);
  const view = zoomed(press.view, factor, from);
  pad.view = { ...view, x: view.x - (to[0] - from[0]) / view.scale, y: view.y + (to[1] - from[1]) / view.scale };
  pad.redraw();
}

function drag(pad, press, event, px, snap) {
  const target = press.hit;
  const grabbed = target && !pad.locked() && (target.what === "point" || target.what === "between" || pad.selected?.id === target.id);
  if (!grabbed) {
    const [dx, dy] = [px[0] - press.px[0], px[1] - press.px[1]];
    pad.view = { ...press.view, width: pad.view.width, height: pad.view.height, x: press.view.x - dx / press.view.scale, y: press.view.y + dy / press.view.scale };
    return pad.redraw();
  }
  const point = snapped(toDrawing(pad.view, px), snap);
  if (target.what === "point") {
    press.edit = { op: "move_point", id: target.id, index: target.index, to: point };
    pad.selected = { id: target.id, index: target.index };
  } else if (target.what === "between") {
    press.edit = { op: "insert", id: target.id, index: target.index, at: point };
    pad.selected = { id: target.id, index: target.index };
  } else {
    const from = toDrawing(pad.view, press.px);
    const to = toDrawing(pad.view, px);
    press.edit = { op: "move", id: target.id, by: snapped([to[0] - from[0], to[1] - from[1]], snap) };
  }
  pad.shapes = pad.afterEdit(press.shapes, press.edit);
  pad.redraw();
}

function tap(pad, press, point, px, reach, double) {
  if (measuring(pad)) return putMark(pad, point, reach);
  if (growing(pad)) return growAt(pad, point);
  if (pad.tool === "none") return takeUp(pad, hit(pad, px, reach));
  if (pad.tool !== "draw") return tapShape(pad, press.hit, double);
  const shape = pad.current();
  if (shape && double) return pad.finish("Touched twice: ");
  const isRing = shape && pad.kind(shape.kind).form === "ring" && isEnough(shape.points, "ring");
  if (isRing && distance(toScreen(pad.view, shape.points[0]), px) <= reach) return pad.finish();
  return pad.addPoint(point);
}

/** What is touched without a tool is chosen, to be edited. */
function takeUp(pad, target) {
  if (!target) return pad.say("Choose Draw or Edit to work on the drawing.");
  pad.setTool("edit");
  pad.choose(target.id, target.what === "point" ? target.index : null);
}

function tapShape(pad, target, double) {
  if (!target) return pad.choose(null);
  if (target.what === "between" || (target.what === "edge" && double && pad.selected?.id === target.id)) {
    if (pad.locked()) return;
    pad.edit({ op: "insert", id: target.id, index: target.index, at: target.at.map(rounded) });
    return pad.choose(target.id, target.index);
  }
  pad.choose(target.id, target.what === "point" ? target.index : null);
}

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

/** Do what a key asks; true if it was ours. */
function key(pad, event) {
  const name = event.key.length === 1 ? event.key.toLowerCase() : event.key;
  if (event.ctrlKey || event.metaKey) {
    if (name !== "z" && name !== "y") return false;
    pad.walk(name === "y" || event.shiftKey ? "redo" : "undo");
    return true;
  }
  if (ARROWS[event.key]) return arrow(pad, ARROWS[event.key], event);
  const acts = {
    d: () => pad.setTool("draw"), e: () => pad.setTool("edit"), s: () => pad.setSnap(!pad.snap),
    "+": () => pad.zoom(1.4), "=": () => pad.zoom(1.4), "-": () => pad.zoom(1 / 1.4), 0: () => pad.fit(),
    "]": () => pad.chooseNext(1), "[": () => pad.chooseNext(-1),
    ".": () => pad.choosePoint(1), ",": () => pad.choosePoint(-1),
    i: () => pad.insertAfter(), Insert: () => pad.insertAfter(), Enter: () => pad.finish(),
    Delete: () => pad.removeChosen(), Backspace: () => pad.removeChosen(),
    " ": () => place(pad), Escape: () => pad.letGo(),
    "?": () => { pad.controls.help.open = !pad.controls.help.open; pad.say(pad.controls.help.open ? "The keys are listed beside the pad." : "Keys hidden."); },
  };
  if (!acts[name]) return false;
  acts[name]();
  return true;
}

function place(pad) {
  pad.tip ??= snapped([pad.view.x, pad.view.y], pad.model.get("grid_mm"));
  if (pad.held !== null) leaveMark(pad);
  else if (measuring(pad)) putMark(pad, pad.tip, 10);
  else if (pad.tool === "draw") pad.addPoint(pad.tip);
}

function arrow(pad, direction, event) {
  const fine = event.altKey || !pad.snap;
  const unit = measuring(pad) ? aimStep(pad, event.altKey) : fine ? (pad.units === "in" ? MM_PER_INCH / 32 : 1) : pad.model.get("grid_mm");
  const by = direction.map((d) => rounded(d * unit * (event.shiftKey ? 5 : 1)));
  if (pad.tool !== "edit" && pad.tool !== "none") pad.moveCursor(by);
  else if (pad.selected) pad.nudge(by);
  else {
    pad.view = { ...pad.view, x: pad.view.x + (direction[0] * 60) / pad.view.scale, y: pad.view.y + (direction[1] * 60) / pad.view.scale };
    pad.redraw();
  }
  return true;
}
