// The map: panel, patches, places to keep cool, and the welds as done, now, next or to come.

import { drawn, node } from "./elements.js";

const CLOSE = 4.5; // so many welds long is what the close-up shows
const SIDES = { left: "◀ FRONT", right: "FRONT ▶", top: "▲ FRONT", bottom: "▼ FRONT" };
const points = (path) => path.map(([x, y]) => `${x},${-y}`).join(" ");

const extent = (path) => path.reduce((far, [x, y]) => Math.max(far, Math.hypot(x - path[0][0], y - path[0][1])), 0);

/** Where to look: all, or the square round one weld. */
function view(map, weld, close) {
  const [left, bottom, right, top] = map.box;
  if (!close || !weld) return [left, -top, right - left, top - bottom];
  const side = Math.min(Math.max(CLOSE * extent(weld.path), 90), Math.max(right - left, top - bottom));
  return [weld.at[0] - side / 2, -weld.at[1] - side / 2, side, side];
}

function ground(map, thin) {
  return map.ground.map(({ kind, path, closed }) => drawn(closed ? "polygon" : "polyline", {
    points: points(path), class: `g-${kind}`, "stroke-width": thin * (kind === "patch" ? 1.6 : 1.1),
    "stroke-dasharray": { cut: [4, 3], fold: [9, 2, 2, 2], place: [2, 2], mounting: [7, 3] }[kind]
      ?.map((mm) => mm * thin).join(" ") ?? "none",
  }));
}

/**
 * Writes words beside spots where nothing else stands, all of each in view; `must` be written
 * even where nothing is free.
 */
function writer([left, top, width, height]) {
  const taken = [];
  const overlap = (one) => taken.filter((other) => Math.abs(one.x - other.x) < one.w + other.w
    && Math.abs(one.y - other.y) < one.h + other.h).length;
  const inView = (at, low, high) => Math.min(Math.max(at, low), high);
  return {
    keepClear(spot, half) { taken.push({ x: spot.at[0], y: -spot.at[1], w: half, h: half }); },
    write(spot, text, size, must = false) {
      const [w, h] = [0.31 * size * text.length, 0.6 * size]; const [u, v] = spot.away;
      const ways = u || v ? [[u, v], [-u, -v], [0, 1], [0, -1], [1, 0], [-1, 0]] : [[0, 0]];
      const boxes = ways.map(([dx, dy]) => ({
        x: inView(spot.at[0] + dx * (1.3 * size + w), left + w, left + width - w),
        y: inView(-spot.at[1] - dy * 1.75 * size, top + h, top + height - h), w, h,
      }));
      const best = boxes.reduce((one, other) => (overlap(other) < overlap(one) ? other : one));
      if (!must && overlap(best)) return [];
      taken.push(best);
      const made = drawn("text", {
        x: best.x, y: best.y, "font-size": size, "stroke-width": size * 0.22, "dominant-baseline": "central",
        "text-anchor": "middle", class: "m-word",
      });
      made.textContent = text;
      return [made];
    },
  };
}

/** One weld by its state: now in a ring, next in a square, done thin with a tick, the rest hollow. */
function weldOf(weld, state, size) {
  const group = drawn("g", { class: `m-${state}`, "data-weld": weld.name });
  const wide = size * 0.42;
  const [x, y] = [weld.at[0], -weld.at[1]];
  if (weld.dot) {
    group.append(drawn("circle", { cx: x, cy: y, r: wide * (state === "done" ? 0.45 : 0.8), "stroke-width": wide * 0.3, class: "m-body" }));
  } else {
    const line = { points: points(weld.path), "stroke-linecap": "butt" };
    group.append(drawn("polyline", { ...line, class: "m-edge", "stroke-width": state === "done" ? wide * 0.4 : wide * 1.25 }));
    if (state === "todo") group.append(drawn("polyline", { ...line, class: "m-hollow", "stroke-width": wide * 0.7 }));
  }
  if (state === "now") group.append(drawn("circle", { cx: x, cy: y, r: size * 0.95, class: "m-ring", "stroke-width": size * 0.2 }));
  if (state === "next") {
    const half = size * 0.75;
    group.append(drawn("rect", { x: x - half, y: y - half, width: 2 * half, height: 2 * half, class: "m-ring", "stroke-width": size * 0.13 }));
  }
  if (state === "done") {
    const s = size * 0.34;
    group.append(drawn("polyline", { points: `${x - s},${y} ${x - s / 3},${y + s * 0.7} ${x + s},${y - s * 0.8}`, class: "m-tick", "stroke-width": s * 0.5 }));
  }
  return group;
}

/** The words on a map: the weld that is next, the one after, and what else is in view. */
function named(map, welds, at, { close, seen, size }) {
  const [x, y, width, height] = seen; const [now, next] = [welds[at], welds[at + 1]];
  const inside = ({ at: [u, v] }) => u > x && u < x + width && -v > y && -v < y + height;
  const page = writer(seen);
  for (const spot of [now, next]) if (spot) page.keepClear(spot, 0.8 * size);
  const found = [];
  if (now) found.push(...page.write(now, `${now.name} NOW`, size, true));
  if (next && inside(next)) found.push(...page.write(next, `${next.name} after`, 0.85 * size, true));
  for (const place of map.places.filter(inside)) found.push(...page.write({ ...place, away: [0, 1] }, place.name, 0.8 * size));
  if (close) {
    for (const weld of welds.slice(at + 2).filter(inside)) found.push(...page.write(weld, weld.name, 0.7 * size));
  } else {
    map.middles.forEach((spot, n) => found.push(...page.write({ at: spot, away: [0, 0] }, `patch ${n + 1}`, 0.8 * size)));
  }
  return found;
}

/** The map with its legend.  `show(welds, at, how)`: `at` is the weld that is next. */
export function weldMap(map) {
  const svg = drawn("svg", { class: "map", role: "img" });
  const front = node("div", { class: "front" });
  const legend = node("p", { class: "legend" }, "Ring: now. Square: the one after. Tick: done. Hollow: to come.");
  const box = node("div", { class: "mapbox" }, svg);
  const whole = node("div", {}, front, box, legend);

  function show(welds, at, { close, side, words }) {
    const seen = view(map, welds[at], close);
    const size = 0.062 * Math.max(seen[2], seen[3] * 0.8);
    svg.setAttribute("viewBox", seen.join(" "));
    svg.setAttribute("aria-label", words);
    const state = (n) => (n < at ? "done" : ["now", "next"][n - at] ?? "todo");
    const parts = welds.map((weld, n) => weldOf(weld, state(n), size)).reverse();
    svg.replaceChildren(...ground(map, size * 0.09), ...parts, ...named(map, welds, at, { close, seen, size }));
    front.textContent = SIDES[side] ?? "FRONT? See “This page”";
    front.className = `front front-${side}`;
    if (side === "bottom") box.after(front); else box.before(front);
  }
  return { node: whole, show };
}
