// The pad's own state, its channel to Python, and its life in the page.

import { angleText, distance, edges, fitted, lengthText, middle, pointText, rounded, snapped, toScreen, zoomed } from "./geometry.js";
import { edited, isEnough } from "./edits.js";
import { draw, makeCanvas } from "./draw.js";
import { makePanels, refresh } from "./panels.js";
import { keepFile, photoPanel, readFlats, readPhoto, takePhoto } from "./photo.js";
import { carryMark, chooseMark, leaveMark, measuring } from "./marks.js";
import { fromPhoto } from "./place.js";
import { Channel } from "./channel.js";
import { listen } from "./input.js";
import { growing, tellProposal } from "./grow.js";
import { strokeWord, tracing } from "./trace.js";
import { htmlNode } from "../elements.js";

const FINGER = matchMedia("(pointer: coarse)");
const same = (a, b) => JSON.stringify(a) === JSON.stringify(b);

class PadView {
  constructor(model, element) {
    this.model = model;
    this.client = `p${Math.random().toString(36).slice(2, 10)}`;
    this.kinds = model.get("kinds");
    this.state = model.get("state");
    this.shapes = structuredClone(this.state.shapes ?? []);
    this.faults = this.state.faults ?? {};
    this.view = { x: 300, y: 200, scale: 1, width: 600, height: model.get("height_px") };
    Object.assign(this, { tool: "draw", begun: "draw", drawKind: "rust_holed", selected: null, tip: null, snap: true, marks: [], held: null, drawn: [] });
    Object.assign(this, { made: 0, walked: "", offline: false, fitNext: true, frame: 0, photoUrl: "" });
    this.channel = new Channel(model, this.client, () => this.setOffline(true));
    this.svg = makeCanvas(this);
    makePanels(this);
    const c = this.controls;
    this.stage = htmlNode("div", { class: "skp-stage", style: `height:${model.get("height_px")}px` }, this.svg);
    this.root = htmlNode("div", { class: "skp", "data-client": this.client },
      c.tools, c.banner, htmlNode("div", { class: "skp-main" }, htmlNode("div", { class: "skp-left" }, this.stage, c.foot), c.side));
    element.append(this.root);
    readPhoto(this);
    readFlats(this);
    listen(this);
    this.begin();
  }

  /** The tool an empty drawing begins with.  For a finger that is none: a page is swiped along over the pad. */
  handTool() { return FINGER.matches ? "none" : "draw"; }

  begin() {
    const finger = FINGER.matches;
    const count = this.shapes.length;
    const open = this.shapes.filter((shape) => !shape.done);
    if (open.length === 1) this.selected = { id: open[0].id, index: null };
    this.begun = this.tool = !finger && count && open.length !== 1 ? "edit" : this.handTool();
    const loaded = `${count} shape${count === 1 ? "" : "s"} loaded.`;
    if (finger) this.say(count ? `${loaded} Choose Draw or Edit to work on the drawing.` : "Choose Draw, then tap round the rust.");
    else this.say(count ? loaded : "Click round the rust, or use the arrow keys and the space bar.");
  }

  get units() { return this.model.get("units"); }
  kind(name) { return this.kinds.find((kind) => kind.name === name); }
  shape(id) { return this.shapes.find((shape) => shape.id === id); }
  locked() { return this.offline || Boolean(this.state.blocked); }
  fromPhoto(px) { return fromPhoto(this.model.get("photo_place"), px); }

  /** The unfinished shape that drawing goes on with. */
  current() {
    const shape = this.shape(this.selected?.id);
    return shape && !shape.done ? shape : null;
  }

  labelOf(shape) {
    if (shape.name) return shape.name;
    const alike = this.shapes.filter((s) => s.kind === shape.kind);
    const label = this.kind(shape.kind).label;
    return alike.length > 1 ? `${label} ${alike.findIndex(({ id }) => id === shape.id) + 1}` : label;
  }

  say(text, urgent = false) {
    this.controls.status.textContent = text;
    this.controls.status.classList.toggle("skp-fault", urgent);
  }

  // channel ---------------------------------------------------------------

  send(message, buffers) {
    const always = message.type === "load_newer" || message.type === "ping";
    if (always || !this.locked()) this.channel.send(message, buffers);
  }

  ping(force = false) {
    if (this.channel.pingIsDue(this.state.acks) || force) this.send({ type: "ping" });
  }

  setOffline(offline) {
    if (this.offline === offline) return;
    this.offline = offline;
    this.redraw();
  }

  /** Take Python's echo, unless edits are still on their way there. */
  echo() {
    this.state = this.model.get("state");
    if (this.channel.heard(this.state.acks)) {
      this.setOffline(false);
      // what is already drawn so isn't drawn again
      if (!same(this.shapes, this.state.shapes)) this.shapes = structuredClone(this.state.shapes);
      if (!same(this.faults, this.state.faults)) this.faults = this.state.faults;
      if (this.selected && !this.shape(this.selected.id)) this.selected = null;
      else if (this.selected && this.selected.index >= this.shape(this.selected.id).points.length) this.selected.index = null;
      if (this.walked) this.say(`${this.walked}: ${this.shapes.length} shape${this.shapes.length === 1 ? "" : "s"} on the drawing.`);
      this.walked = "";
      if (this.state.refused) {
        this.say(this.state.refused, true);
        this.controls.values.dataset.key = "";
      }
    }
    this.redraw();
  }

  // edits -----------------------------------------------------------------

  afterEdit(shapes, edit) { return edited(shapes, edit, this.kinds); }

  /** Do one edit on `from`, which is what a drag began with, and tell Python. */
  edit(edit, from = this.shapes) {
    if (this.locked()) {
      this.shapes = structuredClone(this.state.shapes);
      return this.redraw();
    }
    const shapes = this.afterEdit(from, edit);
    if (!same(shapes, this.shapes)) this.shapes = shapes;
    this.send({ type: "edit", edit });
    this.redraw();
  }

  /** Go one step back or forward; Python's echo tells what is on the drawing then. */
  walk(type) {
    const isUndo = type === "undo";
    if (this.locked()) return;
    const isThere = isUndo ? this.state.can_undo : this.state.can_redo;
    // while an edit is on its way Python knows better
    if (!isThere && this.channel.heard(this.state.acks)) return this.say(`Nothing to ${type}.`);
    this.walked = isUndo ? "Undone" : "Done again";
    this.send({ type });
  }

  addPoint(point) {
    if (this.locked()) return;
    const shape = this.current();
    if (!shape) {
      const form = this.kind(this.drawKind).form;
      const id = `${this.client}-${(this.made += 1)}`;
      this.edit({ op: "add", id, kind: this.drawKind, points: [point] });
      this.selected = { id, index: null };
      this.say(`${this.kind(this.drawKind).label}: ${form === "point" ? "placed" : "first point"} at ${pointText(point, this.units)}.`);
    } else {
      const last = shape.points.at(-1);
      if (distance(last, point) < 1e-6) return;
      this.edit({ op: "insert", id: shape.id, index: shape.points.length, at: point });
      this.say(`Point ${shape.points.length + 1} at ${pointText(point, this.units)}, ${lengthText(distance(last, point), this.units)} at ${angleText(last, point)} from the last.`);
    }
    this.redraw();
  }

  /** Close the ring or end the line; `why` says so where nobody asked for it by a button or key. */
  finish(why = "") {
    const shape = this.current();
    if (!shape || this.locked()) return;
    const form = this.kind(shape.kind).form;
    if (!isEnough(shape.points, form)) return this.say(`A ${form} needs at least ${TOLD.least_points[form]} points.`, true);
    this.edit({ op: "finish", id: shape.id });
    this.say(`${why}${this.labelOf(this.shape(shape.id) ?? shape)} ${form === "ring" ? "closed" : "ended"} with ${shape.points.length} points.`);
  }

  insertAfter() {
    const shape = this.shape(this.selected?.id);
    if (!shape || this.selected.index === null || this.locked()) return;
    const found = edges(shape, this.kind(shape.kind).form);
    const [index, a, b] = found.find(([i]) => i === this.selected.index) ?? found.at(-1) ?? [];
    if (!a) return;
    this.edit({ op: "insert", id: shape.id, index: index + 1, at: middle(a, b) });
    this.choose(shape.id, index + 1);
  }

  removeChosen() {
    const shape = this.shape(this.selected?.id);
    if (!shape || this.locked()) return;
    const drawing = this.tool === "draw" && !shape.done;
    const index = this.selected.index ?? (drawing ? shape.points.length - 1 : null);
    if (index !== null && shape.points.length > 1) {
      this.edit({ op: "delete_point", id: shape.id, index });
      this.say(`Point ${index + 1} of ${this.labelOf(shape)} deleted.`);
      this.selected = { id: shape.id, index: drawing ? null : Math.min(index, shape.points.length - 2) };
    } else {
      this.say(`${this.labelOf(shape)} deleted. Undo brings it back.`);
      this.edit({ op: "delete", id: shape.id });
      this.selected = null;
    }
    this.redraw();
  }

  nudge(by) {
    const shape = this.shape(this.selected.id);
    if (this.locked() || !shape) return;
    const { index } = this.selected;
    if (index === null) this.edit({ op: "move", id: shape.id, by });
    else {
      const to = shape.points[index].map((v, k) => rounded(v + by[k]));
      this.edit({ op: "move_point", id: shape.id, index, to });
      this.say(`Point ${index + 1} at ${pointText(to, this.units)}.`);
    }
  }

  moveCursor(by) {
    const start = this.tip ?? this.current()?.points.at(-1) ?? snapped([this.view.x, this.view.y], this.model.get("grid_mm"));
    this.tip = start.map((v, k) => rounded(v + by[k]));
    const [x, y] = toScreen(this.view, this.tip);
    if (x < 30 || y < 30 || x > this.view.width - 30 || y > this.view.height - 30) this.view = { ...this.view, x: this.tip[0], y: this.tip[1] };
    this.say(`Cursor at ${pointText(this.tip, this.units)}.`);
    carryMark(this);
    this.redraw();
  }

  // choosing and showing ----------------------------------------------------

  choose(id, index = null) {
    this.selected = id ? { id, index } : null;
    const shape = this.shape(id);
    if (shape) {
      const faults = this.faults[id];
      const where = index === null ? `${shape.points.length} points` : `point ${index + 1} of ${shape.points.length} at ${pointText(shape.points[index], this.units)}`;
      this.say(`${this.labelOf(shape)}, ${where}.${faults ? ` ${faults[0].text}.` : ""}`, Boolean(faults));
    } else this.say("Nothing chosen.");
    this.redraw();
  }

  chooseNext(step) {
    if (!this.shapes.length) return this.say("Nothing drawn yet.");
    this.setTool("edit");
    const at = this.shapes.findIndex((shape) => shape.id === this.selected?.id);
    const next = at < 0 ? (step > 0 ? 0 : this.shapes.length - 1) : (at + step + this.shapes.length) % this.shapes.length;
    this.choose(this.shapes[next].id);
  }

  choosePoint(step) {
    if (measuring(this)) return chooseMark(this, step);
    const shape = this.shape(this.selected?.id);
    if (!shape) return this.say("Choose a shape first, with ].");
    this.setTool("edit");
    const n = shape.points.length;
    const { index } = this.selected;
    this.choose(shape.id, index === null ? (step > 0 ? 0 : n - 1) : (index + step + n) % n);
  }

  letGo() {
    if (this.held !== null) leaveMark(this);
    else if (measuring(this) || growing(this) || tracing(this) || this.tool === "draw") this.setTool("edit");
    else if (this.selected && this.selected.index !== null) this.choose(this.selected.id);
    else this.choose(null);
  }

  /** Take a tool by its button; a finger puts it away by the same button, to swipe on. */
  takeTool(name) {
    this.setTool(FINGER.matches && this.tool === name ? "none" : name);
  }

  setTool(tool) {
    if (tool !== this.tool) {
      if ((tool === "draw" || tool === "none") && !this.current()) this.selected = null;
      if (["draw", "edit", "none"].includes(tool)) [this.marks, this.held] = [[], null];
      this.tool = tool;
      this.tip = null;
      this.say({ draw: `Drawing: ${this.kind(this.drawKind).label}.`, edit: "Editing: choose a shape or point.", none: "No tool taken: a swipe scrolls the page.", grow: "Click on the rust: what has its colour is proposed." }[tool] ?? strokeWord(tool));
    }
    this.redraw();
  }

  setKind(name) {
    this.drawKind = name;
    if (!this.current()) this.selected = null;
    this.tool = "";
    this.setTool("draw");
  }

  setSnap(snap) {
    this.snap = snap;
    this.say(snap ? "Points snap to the grid." : "Points are placed freely.");
    this.redraw();
  }

  setUnits(units, grid) {
    this.model.set("units", units);
    this.model.set("grid_mm", grid);
    this.model.save_changes();
    this.redraw();
  }

  setGrid(mm) {
    this.model.set("grid_mm", mm);
    this.model.save_changes();
  }

  zoom(factor) {
    this.view = zoomed(this.view, factor, [this.view.width / 2, this.view.height / 2]);
    this.redraw();
  }

  /** Bring the drawing into view; with its photo where that is true, unless there is a drawing and `photo` is false. */
  showAll(photo = true) {
    const points = this.shapes.flatMap((shape) => shape.points);
    for (const overlay of this.model.get("overlays") ?? []) points.push(...(overlay.rings ?? overlay.lines ?? []).flat());
    const place = this.model.get("photo_place");
    if (place?.size_px && (photo || !points.length)) points.push(...place.near_mm);
    this.view = fitted(this.view, points);
    this.redraw();
  }

  /** Fit the drawing to the pad; where it fits already, the photo round it too. */
  fit() {
    const before = this.view;
    this.showAll(false);
    if (same(before, this.view)) this.showAll();
  }

  /** Choose a shape and bring it into the middle, whole and with room round it. */
  lookAt(id) {
    const shape = this.shape(id);
    if (!shape) return;
    this.setTool("edit");
    this.view = fitted(this.view, shape.points);
    this.zoom(shape.points.length > 1 ? 0.7 : 1);
    this.choose(id);
    this.root.scrollIntoView({ block: "nearest" });
    this.svg.focus({ preventScroll: true });
  }

  resized(width, height) {
    if (!width || !height) return;
    // a page may lay itself out in several steps: what nobody has moved yet fits every one of them
    const { x, y, scale } = this.view;
    this.fitNext ||= same([x, y, scale], this.fittedAt);
    this.view = { ...this.view, width, height };
    this.svg.setAttribute("viewBox", `0 0 ${width} ${height}`);
    if (this.fitNext) {
      this.fitNext = false;
      this.showAll(false);
      this.fittedAt = [this.view.x, this.view.y, this.view.scale];
    } else this.redraw();
  }

  /** Draw in the next frame; `light` draws only what follows the pointer. */
  redraw(light = false) {
    this.heavy = this.heavy || !light;
    this.frame ||= requestAnimationFrame(() => {
      this.frame = 0;
      draw(this, !this.heavy);
      if (this.heavy) {
        refresh(this);
        photoPanel(this);
        this.root.dataset.tool = this.tool;
        this.root.dataset.revision = this.state.revision ?? 0;
      }
      this.heavy = false;
    });
  }
}

export default {
  render({ model, el }) {
    const pad = new PadView(model, el);
    const onState = () => pad.echo();
    const onPhoto = () => takePhoto(pad);
    const onShown = () => pad.redraw();
    const onProposal = () => {
      tellProposal(pad);
      pad.redraw();
    };
    const onLook = () => pad.lookAt(model.get("look").id);
    const onComm = () => pad.ping(true);
    const events = [["change:state", onState], ["change:photo_bytes", onPhoto], ["change:photo_place", onPhoto], ["change:flat_photos", onPhoto], ["change:photo_flats", onShown], ["change:overlays", onShown], ["change:proposal", onProposal],
      ["change:units", onShown], ["change:look", onLook], ["change:grid_mm", onShown], ["comm_live_update", onComm], ["msg:custom", keepFile]];
    for (const [name, act] of events) model.on(name, act);
    const onFinger = () => { // a page may learn late that it is touched
      if (pad.tool === pad.begun) pad.begin();
      pad.redraw();
    };
    FINGER.addEventListener("change", onFinger);
    const observer = new ResizeObserver(([entry]) => pad.resized(entry.contentRect.width, entry.contentRect.height));
    observer.observe(pad.stage);
    return () => {
      observer.disconnect();
      FINGER.removeEventListener("change", onFinger);
      pad.channel.close();
      cancelAnimationFrame(pad.frame);
      for (const [name, act] of events) model.off(name, act);
      if (pad.photoUrl) URL.revokeObjectURL(pad.photoUrl);
      for (const { url } of pad.flatUrls) URL.revokeObjectURL(url);
    };
  },
};
