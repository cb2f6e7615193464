// Heat on a canvas under the seam, with its timeline.

import { htmlNode } from "../elements.js";
import { save } from "./connection.js";
import { seamMap } from "./seam_map.js";
import { degrees, spoken } from "../../base/words.js";

export async function inflate(view, scene) {
  const bytes = new Uint8Array(view.buffer, view.byteOffset, view.byteLength);
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate"));
  const flat = new Uint8Array(await new Response(stream).arrayBuffer());
  const size = scene.columns * scene.rows;
  for (let n = size; n < flat.length; n += 1) flat[n] = (flat[n] + flat[n - size]) & 255;
  return flat;
}

/** Paint one frame of a scene, with the limit as a line. */
export function paintHeat(canvas, scene, frame, colours) {
  const { columns, rows, low_c: low, high_c: high, limit_c: limit } = scene;
  const table = new Uint8Array(colours.buffer, colours.byteOffset, 768);
  const level = 1 + (254 * (limit - low)) / (high - low);
  const scale = 4;
  canvas.width = columns * scale; canvas.height = rows * scale;
  const small = new OffscreenCanvas(columns, rows);
  const image = new ImageData(columns, rows);
  for (let n = 0; n < frame.length; n += 1) {
    image.data.set([table[3 * frame[n]], table[3 * frame[n] + 1], table[3 * frame[n] + 2], 255], 4 * n);
  }
  small.getContext("2d").putImageData(image, 0, 0);
  const context = canvas.getContext("2d");
  context.imageSmoothingEnabled = true; context.imageSmoothingQuality = "high";
  context.drawImage(small, 0, 0, canvas.width, canvas.height);
  // the limit as a line, so that nothing hangs on colour alone: marching squares
  context.beginPath();
  const value = (x, y) => frame[y * columns + x];
  for (let y = 0; y < rows - 1; y += 1) {
    for (let x = 0; x < columns - 1; x += 1) {
      const corners = [[x, y], [x + 1, y], [x + 1, y + 1], [x, y + 1]];
      const cuts = [];
      for (let n = 0; n < 4; n += 1) {
        const [ax, ay] = corners[n]; const [bx, by] = corners[(n + 1) % 4];
        const a = value(ax, ay); const b = value(bx, by);
        if ((a > level) !== (b > level)) {
          const u = (level - a) / (b - a);
          cuts.push([(ax + u * (bx - ax) + 0.5) * scale, (ay + u * (by - ay) + 0.5) * scale]);
        }
      }
      for (let n = 0; n + 1 < cuts.length; n += 2) {
        context.moveTo(...cuts[n]); context.lineTo(...cuts[n + 1]);
      }
    }
  }
  context.strokeStyle = "#fff"; context.lineWidth = 3.5; context.stroke();
  context.strokeStyle = "#000"; context.lineWidth = 1.5; context.stroke();
}

// Heat with a timeline: a canvas under the seam, a legend, play, slider, speed, unit.
export function heatPanel(model, { label }) {
  const unit = () => model.get("unit");
  const canvas = htmlNode("canvas", { class: "sk-heat", "aria-hidden": "true" });
  const holder = htmlNode("div", { class: "sk-map" }, canvas);
  const bar = htmlNode("canvas", { class: "sk-bar", width: 255, height: 1, "aria-hidden": "true" });
  const ticks = htmlNode("div", { class: "sk-ticks" });
  const play = htmlNode("button", { type: "button", class: "sk-play", onclick: () => toggle() }, "▶ Play");
  const slider = htmlNode("input", {
    type: "range", min: 0, max: 1, step: 1, value: 0, class: "sk-time", "aria-label": "time",
    oninput: () => { stop(); go(Number(slider.value)); },
  });
  const speed = htmlNode("select", { "aria-label": "speed", class: "sk-speed" },
    ...[10, 30, 60, 120].map((n) => htmlNode("option", { value: n, selected: n === 30 }, `${n} × as fast`)));
  const units = htmlNode("select", {
    "aria-label": "unit of temperature", class: "sk-unit",
    onchange: () => { model.set("unit", units.value); save(model); },
  }, htmlNode("option", { value: "C" }, "°C"), htmlNode("option", { value: "F" }, "°F"));
  const readout = htmlNode("div", { class: "sk-readout" });
  const node = htmlNode("div", { class: "sk-watch" }, holder,
    htmlNode("div", { class: "sk-legend" }, bar, ticks),
    htmlNode("div", { class: "sk-controls" }, play, slider, speed, units), readout);
  let scene = null; let flat = null; let map = null; let at = 0; let timer = 0; let last = 0;
  let exact = 0;

  function legend() {
    const table = new Uint8Array(model.get("colours").buffer, model.get("colours").byteOffset, 768);
    const context = bar.getContext("2d");
    const row = context.createImageData(255, 1);
    for (let n = 0; n < 255; n += 1) row.data.set([...table.slice(3 * n + 3, 3 * n + 6), 255], 4 * n);
    context.putImageData(row, 0, 0);
    const { low_c: low, high_c: high, limit_c: limit } = scene;
    const marks = [low, limit, (limit + high) / 2, high];
    ticks.replaceChildren(...marks.map((c, n) => htmlNode("span", {
      style: `left:${(100 * (c - low)) / (high - low)}%`, class: ["sk-first", "sk-limit", "", "sk-last"][n],
    }, n === 1 ? `▲ limit ${degrees(c, unit())}` : `${degrees(c, unit())}${n === 3 ? " and over" : ""}`)));
    uncrowd();
    units.value = unit();
  }

  /** Hide what would lie over a more important mark of the scale: the limit first, then the ends. */
  function uncrowd() {
    const [first, limit, half, end] = ticks.children;
    const kept = [];
    for (const mark of [limit, end, first, half].filter(Boolean)) {
      const box = mark.getBoundingClientRect();
      const free = kept.every((other) => box.right + 6 < other.left || other.right + 6 < box.left);
      mark.style.visibility = free ? "visible" : "hidden";
      if (free) kept.push(box);
    }
  }

  function paint() {
    const { columns, rows } = scene;
    paintHeat(canvas, scene, flat.subarray(at * columns * rows, (at + 1) * columns * rows), model.get("colours"));
  }

  function go(frame) {
    if (!flat) return;
    at = Math.min(Math.max(frame, 0), scene.times_s.length - 1);
    if (Math.round(exact) !== at) exact = at;
    slider.value = at;
    const now = scene.times_s[at]; const turn = scene.next[at]; const count = scene.stitches.length;
    const states = scene.stitches.map((stitch, n) =>
      (n >= turn ? (n === turn && now >= 0 ? "next" : "") : now < stitch.end_s ? "now" : "done"));
    map.show(states, scene.stitches.map((_, n) => n + 1));
    paint();
    const when = now < 0 ? `Tacking, ${spoken(now + scene.tack_s)}` : `Fill, ${spoken(now)}`;
    const there = degrees(scene.next_c[at], unit());
    const ahead = turn < count
      ? `next: turn ${turn + 1}, patch ${scene.stitches[turn].patch}; sheet there ${there} `
        + `(limit ${degrees(scene.limit_c, unit())})`
      : `all stitches are in; the hottest stitch is at ${there}`;
    readout.textContent = `${when} · ${ahead}`;
    slider.setAttribute("aria-valuetext", readout.textContent);
  }

  function stop() {
    cancelAnimationFrame(timer); timer = 0; play.textContent = "▶ Play";
  }

  function tick(stamp) {
    const step = (scene.times_s.at(-1) - scene.times_s[0]) / (scene.times_s.length - 1);
    exact += ((stamp - last) / 1000) * Number(speed.value) / step;
    last = stamp;
    if (Math.floor(exact) !== at) go(Math.floor(exact));
    if (at >= scene.times_s.length - 1) { stop(); return; }
    timer = requestAnimationFrame(tick);
  }

  function toggle() {
    if (!flat) return;
    if (timer) { stop(); return; }
    if (at >= scene.times_s.length - 1) go(0);
    exact = at; last = performance.now(); play.textContent = "❚❚ Pause";
    timer = requestAnimationFrame(tick);
  }

  function key(event) {
    const jump = { ArrowRight: 1, ArrowLeft: -1, PageDown: 10, PageUp: -10 }[event.key];
    if (event.key === " ") toggle();
    else if (jump) { stop(); go(at + jump); }
    else if (event.key === "Home") { stop(); go(0); }
    else if (event.key === "End") { stop(); go(scene.times_s.length - 1); }
    else return false;
    return true;
  }

  /** Show what was sent, from a frame on; `plays`: at once, unless the reader asked for stillness. */
  async function load(frame = 0, plays = false) {
    const shown = model.get("view");
    const bytes = model.get("frames");
    if (!shown.times_s || !bytes || !bytes.byteLength) return;
    stop();
    const data = await inflate(bytes, shown);
    scene = shown; flat = data;
    map?.svg.remove();
    map = seamMap(scene, { label });
    holder.style.aspectRatio = `${scene.box[2] - scene.box[0]} / ${scene.box[3] - scene.box[1]}`;
    holder.append(map.svg);
    map.fit(holder.clientWidth);
    slider.max = scene.times_s.length - 1;
    legend(); exact = frame; go(frame);
    if (plays && !matchMedia("(prefers-reduced-motion: reduce)").matches) toggle();
  }

  const sized = new ResizeObserver(() => { uncrowd(); map?.fit(holder.clientWidth); });
  sized.observe(holder);
  const renamed = () => { if (scene) { legend(); go(at); } };
  model.on("change:unit", renamed);
  return { node, load, key, stop, holder, off: () => { stop(); sized.disconnect(); model.off("change:unit", renamed); } };
}
