// The piece as it is when bent: turned by dragging, by the arrow keys, or by buttons for the usual sides.

import { htmlNode, svgNode } from "../elements.js";
import { backToFront, dot, turnMatrix } from "./turning.js";

const KEY_DEG = 10;
const DRAG_DEG_PX = 0.5;
const SIZE_PX = [560, 360];
const ROOM_PX = 62; // round the piece, for words
const WORD_PX = 24; // a strip that is seen lower than this has no room for FACE or BACK
const BEND_WORD_PX = 17;
const distance = ([a, b], [c, d]) => Math.hypot(c - a, d - b);
const whole = (degrees) => ((Math.round(degrees) + 540) % 360) - 180;

/** The first place from y downward where a word meets none of those taken. */
function free(taken, x, y) {
  const met = taken.find(([u, v]) => Math.abs(u - x) < 48 && Math.abs(v - y) < BEND_WORD_PX);
  return met ? free(taken, x, met[1] + BEND_WORD_PX) : y;
}

class FoldedView {
  constructor(model, element) {
    this.model = model;
    [this.yaw, this.pitch] = this.start;
    this.frame = 0;
    const id = `k${Math.random().toString(36).slice(2, 10)}`;
    this.svg = svgNode("svg", {
      viewBox: `${-SIZE_PX[0] / 2} ${-SIZE_PX[1] / 2} ${SIZE_PX[0]} ${SIZE_PX[1]}`, class: "skq-picture", tabindex: 0, role: "application",
      "aria-roledescription": "piece to turn", "aria-label": "The piece folded. The arrow keys turn it, Home turns it back.", "aria-describedby": id,
      "data-lm-suppress-shortcuts": "true",
    });
    this.status = htmlNode("p", { class: "skq-status", id, role: "status", "aria-live": "polite" });
    this.front = htmlNode("select", { "aria-label": "Front of the vehicle", onchange: () => this.chooseFront() },
      ...[["", "not said"], ["left", "drawing's left"], ["right", "drawing's right"], ["top", "drawing's top"], ["bottom", "drawing's bottom"]]
        .map(([value, words]) => htmlNode("option", { value }, words)));
    const side = (words, title, turn) => htmlNode("button", { type: "button", title, onclick: () => this.show(...turn()) }, words);
    this.sides = htmlNode("div", { class: "skq-sides", role: "group", "aria-label": "Seen from" },
      side("Askew", "Turn it back to how it was first (Home)", () => this.start),
      side("Face", "Look at the face", () => [0, 0]), side("Back", "Look at the back", () => [180, 0]),
      side("End on", "Look along the bends, at the cross-section", () => this.scene.end_on ?? [90, 0]));
    this.bends = htmlNode("ul", { class: "skq-bends" });
    this.root = htmlNode("div", { class: "skq skq-folded" }, this.svg, this.sides,
      htmlNode("label", { class: "skq-front" }, htmlNode("span", {}, "Front of the vehicle"), this.front), this.status, this.bends);
    element.append(this.root);
    this.listen();
    this.refresh();
  }

  get scene() { return this.model.get("scene"); }
  get start() { return this.scene.start ?? [-30, 30]; }

  chooseFront() {
    this.model.set("front", this.front.value);
    this.model.save_changes();
    this.redraw();
  }

  listen() {
    const { svg } = this;
    const keys = { ArrowLeft: [-KEY_DEG, 0], ArrowRight: [KEY_DEG, 0], ArrowUp: [0, -KEY_DEG], ArrowDown: [0, KEY_DEG] };
    svg.addEventListener("keydown", (event) => {
      if (event.key === "Home") this.show(...this.start);
      else if (keys[event.key]) this.turnBy(...keys[event.key], true);
      else return;
      event.preventDefault();
      event.stopPropagation();
    });
    let last = null;
    svg.addEventListener("pointerdown", (event) => {
      last = [event.clientX, event.clientY];
      svg.setPointerCapture(event.pointerId);
    });
    svg.addEventListener("pointermove", (event) => {
      if (!last) return;
      const now = [event.clientX, event.clientY];
      this.turnBy((now[0] - last[0]) * DRAG_DEG_PX, (now[1] - last[1]) * DRAG_DEG_PX, false);
      last = now;
    });
    const end = () => {
      if (last) this.say();
      last = null;
    };
    svg.addEventListener("pointerup", end);
    svg.addEventListener("pointercancel", end);
  }

  turnBy(yaw, pitch, told) {
    this.yaw = ((this.yaw + yaw + 540) % 360) - 180;
    this.pitch = Math.max(-90, Math.min(90, this.pitch + pitch));
    this.redraw();
    if (told) this.say();
  }

  show(yaw, pitch) {
    [this.yaw, this.pitch] = [yaw, pitch];
    this.redraw();
    this.say();
  }

  say() {
    const turn = turnMatrix(this.scene.base, this.yaw, this.pitch);
    const seen = dot(turn[2], this.scene.face) >= 0 ? "the face" : "the back";
    const [yaw, pitch] = [whole(this.yaw), whole(this.pitch)];
    const sides = [yaw && `turned ${Math.abs(yaw)}° to the ${yaw > 0 ? "right" : "left"}`, pitch && `tipped ${Math.abs(pitch)}° ${pitch > 0 ? "toward you" : "away"}`];
    this.status.textContent = `You see ${seen}${sides.some(Boolean) ? `, ${sides.filter(Boolean).join(" and ")}` : ", straight on"}.`;
  }

  refresh() {
    const { scene } = this;
    const there = Boolean(scene.strips?.length);
    this.root.classList.toggle("skq-empty", !there);
    this.front.value = this.model.get("front");
    this.bends.replaceChildren(...(scene.bends ?? []).map((words) => htmlNode("li", {}, words)));
    if (there && !this.there) [this.yaw, this.pitch] = this.start;
    this.there = there;
    if (!there) this.status.textContent = scene.words ?? "";
    else this.say();
    this.redraw();
  }

  redraw() {
    this.frame ||= requestAnimationFrame(() => {
      this.frame = 0;
      this.svg.replaceChildren(...(this.scene.strips?.length ? this.drawn() : []));
    });
  }

  drawn() {
    const { scene } = this;
    const turn = turnMatrix(scene.base, this.yaw, this.pitch);
    const at = this.fitted(turn);
    const path = (points, end = "") => `M${points.map((point) => at(point).map((v) => v.toFixed(1)).join(" ")).join("L")}${end}`;
    const made = [];
    const order = backToFront(scene.strips.map((strip) => strip.edges), scene.run, turn);
    for (const n of order) made.push(...this.strip(scene.strips[n], turn, path, at));
    made.push(...this.words(at, path, turn));
    return made;
  }

  /** Where a point lies on the screen, the whole piece in view and no larger than it can be turned in. */
  fitted(turn) {
    const { scene } = this;
    const corners = scene.strips.flatMap((strip) => strip.parts.flatMap((part) => part.rings.flat()));
    const [wide, high] = [0, 1].map((axis) => {
      const spread = corners.map((point) => dot(turn[axis], point));
      return [Math.min(...spread), Math.max(...spread)];
    });
    const scale = Math.min(...[wide, high].map(([low, most], axis) => (SIZE_PX[axis] - 2 * ROOM_PX) / Math.max(most - low, scene.reach_mm / 2)));
    const middle = [wide, high].map(([low, most]) => (low + most) / 2);
    return (point) => [(dot(turn[0], point) - middle[0]) * scale, (middle[1] - dot(turn[1], point)) * scale];
  }

  strip(strip, turn, path, at) {
    const facing = dot(turn[2], strip.normal);
    const side = facing >= 0 ? "face" : "back";
    const made = [];
    for (const part of strip.parts) {
      const d = part.rings.map((ring) => path(ring, "Z")).join("");
      const shade = svgNode("path", { d, class: `skq-shade${strip.middle ? "" : " skq-curve"}`, "fill-rule": "evenodd" });
      shade.style.opacity = (0.42 * (1 - Math.abs(facing))).toFixed(3);
      made.push(svgNode("path", { d, class: `skq-part skq-${part.kind} skq-${side}${strip.middle ? "" : " skq-curve"}`, "fill-rule": "evenodd" }), shade);
    }
    for (const line of strip.lines) made.push(svgNode("path", { d: path(line.points), class: `skq-line skq-${line.kind}` }));
    if (strip.middle && this.height(strip, at) > WORD_PX) {
      const [x, y] = at(strip.middle);
      made.push(svgNode("text", { x, y, class: "skq-word skq-side", "text-anchor": "middle" }, side.toUpperCase()));
    }
    return made;
  }

  /** How far a strip's edges are seen apart, px. */
  height({ edges }, at) {
    const [low, high] = edges.map(at);
    const [along, none] = [this.scene.run.map((v) => 100 * v), [0, 0, 0]].map(at);
    const way = [along[0] - none[0], along[1] - none[1]];
    const size = Math.hypot(...way);
    if (size < 1) return 0;
    return Math.abs((high[0] - low[0]) * way[1] - (high[1] - low[1]) * way[0]) / size;
  }

  /** The bends' numbers and the arrow to the front, over everything; words that would meet move apart. */
  words(at, path, turn) {
    const { scene } = this;
    const made = [];
    const taken = [];
    const arrow = scene.fronts?.[this.model.get("front")];
    for (const { ends, words } of scene.labels) {
      const both = ends.map(at);
      const [one, other] = arrow && distance(at(arrow[0]), both[1]) < distance(at(arrow[0]), both[0]) ? [...both].reverse() : both;
      const size = Math.max(distance(one, other), 1);
      const [x, first] = [0, 1].map((k) => other[k] + (30 * (other[k] - one[k])) / size);
      const y = free(taken, x, first + 4);
      taken.push([x, y]);
      made.push(svgNode("text", { x, y, class: "skq-word", "text-anchor": "middle" }, words));
    }
    if (arrow) {
      const [[x, y], [u, v]] = arrow.map(at);
      const size = Math.hypot(u - x, v - y);
      made.push(svgNode("path", { d: path(arrow), class: "skq-arrow" }));
      if (size > 4) {
        const [a, b] = [(u - x) / size, (v - y) / size];
        made.push(svgNode("path", { d: `M${u - 9 * a + 5 * b} ${v - 9 * b - 5 * a}L${u} ${v}L${u - 9 * a - 5 * b} ${v - 9 * b + 5 * a}`, class: "skq-arrow" }));
      }
      const away = size > 4 ? [(u - x) / size, (v - y) / size] : [0, turn[2][0] > 0 ? 1 : -1];
      made.push(svgNode("text", { x: Math.max(28 - SIZE_PX[0] / 2, Math.min(SIZE_PX[0] / 2 - 28, u + 28 * away[0])), y: v + 16 * away[1] + 4, class: "skq-word", "text-anchor": "middle" }, "FRONT"));
    }
    return made;
  }
}

export default {
  render({ model, el }) {
    const view = new FoldedView(model, el);
    const events = [["change:scene", () => view.refresh()], ["change:front", () => view.refresh()]];
    for (const [name, act] of events) model.on(name, act);
    return () => { for (const [name, act] of events) model.off(name, act); };
  },
};
