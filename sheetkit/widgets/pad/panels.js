// The controls round the canvas: tools above, shapes and their values beside, status below.

import { MM_PER_INCH, area, areaText, distance, edges, lengthText } from "./geometry.js";
import { htmlNode } from "../elements.js";
import { isEnough } from "./edits.js";
import { refreshTrace, traceTools } from "./trace.js";

const GRIDS = {
  mm: [1, 2, 5, 10, 20, 50].map((mm) => [mm, `${mm} mm`]),
  in: [[1 / 16, "1/16"], [1 / 8, "1/8"], [1 / 4, "1/4"], [1 / 2, "1/2"], [1, "1"]]
    .map(([inch, text]) => [inch * MM_PER_INCH, `${text} in`]),
};
const KEYS = [
  ["D, E", "draw, edit"],
  ["Arrows", "move the cursor, the chosen point or the whole shape by one grid step"],
  ["Shift + arrows", "five grid steps; Alt + arrows: a fine step"],
  ["Space", "put a point at the cursor"],
  ["Enter", "close the ring, end the line"],
  ["[ and ]", "previous, next shape"],
  [", and .", "previous, next point of the shape"],
  ["I", "insert a point after the chosen one"],
  ["Delete", "delete the chosen point, or the shape if none is chosen"],
  ["Ctrl + Z, Ctrl + Y", "undo, redo"],
  ["+, -, 0", "zoom in, out, fit; again: with the photo"],
  ["Ctrl + wheel", "zoom; after a click on the pad the wheel alone does"],
  ["S", "snap to the grid on or off (hold Alt: off)"],
  ["Escape", "let go; leave drawing"],
];

function button(text, title, act, extra = {}) {
  return htmlNode("button", { type: "button", title, "aria-label": title, onclick: act, ...extra }, text);
}

/** Mark a control that a narrow pad keeps behind More. */
function rare(control) {
  control.classList.add("skp-rare");
  return control;
}

/** Show what a narrow pad keeps behind More, or put it away again. */
function showRare(c) {
  const shown = c.tools.classList.toggle("skp-all");
  c.more.setAttribute("aria-expanded", String(shown));
}

/** Build the controls once; `refresh` then keeps them true. */
export function makePanels(pad) {
  const c = (pad.controls = {});
  const tool = (name) => () => pad.takeTool(name);
  c.draw = button("Draw", "Draw new shapes", tool("draw"));
  c.edit = button("Edit", "Choose and change shapes", tool("edit"));
  c.kind = htmlNode("select", { "aria-label": "What to draw", onchange: () => pad.setKind(c.kind.value) },
    ...pad.kinds.map((k) => htmlNode("option", { value: k.name }, k.label)));
  c.undo = button("Undo", "Undo the last change", () => pad.walk("undo"));
  c.redo = button("Redo", "Do the undone change again", () => pad.walk("redo"));
  c.finish = button("Close", "Close the ring or end the line", () => pad.finish(), { class: "skp-finish" });
  c.insert = button("Add point", "Insert a point after the chosen one", () => pad.insertAfter());
  c.remove = button("Delete", "Delete the chosen point or shape", () => pad.removeChosen(), { class: "skp-remove" });
  c.units = htmlNode("select", { "aria-label": "Units", onchange: () => pad.setUnits(c.units.value, TOLD.first_grid_mm[c.units.value]) },
    htmlNode("option", { value: "mm" }, "mm"), htmlNode("option", { value: "in" }, "inch"));
  c.grid = htmlNode("select", { "aria-label": "Grid step", onchange: () => pad.setGrid(Number(c.grid.value)) });
  c.snap = htmlNode("input", { type: "checkbox", checked: true, onchange: () => pad.setSnap(c.snap.checked) });
  c.more = button("More", "More tools", () => showRare(c), { class: "skp-more", "aria-expanded": "false" });
  const group = (label, ...items) => htmlNode("div", { role: "group", "aria-label": label }, ...items);
  c.tools = htmlNode("div", { class: "skp-tools", role: "toolbar", "aria-label": "Drawing tools" },
    group("Tool", c.draw, c.kind, c.edit),
    group("Stroke", ...traceTools(pad, (text, title, name) => button(text, title, tool(name)))),
    group("Grid", ...[c.units, c.grid, htmlNode("label", { class: "skp-check", title: "Hold Alt to place freely" }, c.snap, "Snap")].map(rare)),
    group("Change", c.undo, c.redo, c.finish, rare(c.insert), c.remove),
    group("View", rare(button("−", "Zoom out", () => pad.zoom(1 / 1.4))), rare(button("+", "Zoom in", () => pad.zoom(1.4))),
      button("Fit", "Show the whole drawing", () => pad.fit()), c.more));

  c.banner = htmlNode("div", { class: "skp-banner", role: "alert", hidden: true });
  c.list = htmlNode("ul", { class: "skp-list", "aria-label": "Shapes" });
  c.values = htmlNode("div", { class: "skp-values" });
  c.help = htmlNode("details", { class: "skp-help" }, htmlNode("summary", {}, "Keys"),
    htmlNode("dl", {}, ...KEYS.flatMap(([keys, what]) => [htmlNode("dt", {}, keys), htmlNode("dd", {}, what)])));
  c.photo = htmlNode("div", { class: "skp-photo-tools" });
  c.side = htmlNode("div", { class: "skp-side" }, htmlNode("h3", {}, "Shapes"), c.list, c.values, htmlNode("h3", {}, "Photo"), c.photo, c.help);
  c.status = htmlNode("span", { class: "skp-status", id: `${pad.client}-status`, role: "status", "aria-live": "polite", tabindex: 0 }); // long words are scrolled, by keys too
  c.saved = htmlNode("span", { class: "skp-saved", tabindex: 0 });
  pad.readout = htmlNode("span", { class: "skp-readout", "aria-hidden": "true" });
  c.foot = htmlNode("div", { class: "skp-foot" }, c.status, pad.readout, c.saved);
}

function measure(pad, shape) {
  const form = pad.kind(shape.kind).form;
  if (form === "point") return "";
  const length = edges(shape, form).reduce((sum, [, a, b]) => sum + distance(a, b), 0);
  const text = lengthText(length, pad.units);
  return form === "ring" && shape.done ? `${areaText(area(shape.points), pad.units)}, all round ${text}` : text;
}

function listItem(pad, shape) {
  const faults = pad.faults[shape.id] ?? [];
  const chosen = pad.selected?.id === shape.id;
  const item = htmlNode("button", {
    type: "button", class: `skp-item skp-item-${shape.kind}`, "aria-pressed": String(chosen), "data-shape": shape.id,
    onclick: () => { pad.setTool("edit"); pad.choose(shape.id); },
  }, htmlNode("b", {}, pad.labelOf(shape)), htmlNode("small", {}, measure(pad, shape)));
  for (const fault of faults) item.append(htmlNode("small", { class: "skp-fault" }, `⚠ ${fault.text}`));
  return htmlNode("li", {}, item);
}

/** A text field that is taken over on Enter or when it is left, once. */
export function textInput(value, take) {
  let taken = value;
  const commit = (event) => {
    if (event.target.value === taken) return;
    taken = event.target.value;
    take(taken.replace(/\p{Surrogate}/gu, "")); // half a letter, as a cut may leave it, can't be kept in a file
  };
  return htmlNode("input", { type: "text", maxlength: TOLD.most_letters, value, onchange: commit, onkeydown: (e) => e.key === "Enter" && commit(e) });
}

function valueRows(pad, shape) {
  const kind = pad.kind(shape.kind);
  const same = pad.kinds.filter((k) => k.form === kind.form);
  const rows = [row("Kind", htmlNode("select", {
    onchange: (e) => pad.edit({ op: "set_kind", id: shape.id, kind: e.target.value }),
  }, ...same.map((k) => htmlNode("option", { value: k.name, selected: k.name === shape.kind }, k.label))))];
  if (kind.named) {
    rows.push(row("Name", textInput(shape.name, (name) => pad.edit({ op: "describe", id: shape.id, name }))));
  }
  if (kind.value) {
    const shown = shape.value ?? kind.default;
    const text = kind.unit === "mm" ? lengthText(shown, pad.units) : `${shown} ${kind.unit}`;
    rows.push(row(kind.value_label, textInput(text, (typed) =>
      pad.edit({ op: "describe", id: shape.id, value: typed.replace("°C", "degC").replace("°", "deg") }))));
  }
  return rows;
}

export function row(text, control) {
  return htmlNode("label", { class: "skp-row" }, htmlNode("span", {}, text), control);
}

/** Rebuild a list only when what it shows has changed, so that focus and typing stay. */
function refill(node, key, make) {
  if (node.dataset.key === key) return false;
  const focused = node.contains(document.activeElement) ? document.activeElement : null;
  const at = focused ? [...node.querySelectorAll("button, input, select")].indexOf(focused) : -1;
  node.dataset.key = key;
  node.replaceChildren(...make());
  if (at >= 0) node.querySelectorAll("button, input, select")[at]?.focus();
  return true;
}

/** Bring every control in line with the pad. */
export function refresh(pad) {
  const c = pad.controls;
  const shape = pad.shape(pad.selected?.id);
  refreshTools(pad, shape);
  refreshGrid(pad);
  const banner = pad.offline ? "offline" : pad.state.blocked;
  refill(c.banner, banner, () => bannerParts(pad));
  c.banner.hidden = !banner;
  const listed = refill(c.list, JSON.stringify([pad.shapes, pad.faults, pad.selected?.id, pad.units]), () =>
    pad.shapes.length ? pad.shapes.map((s) => listItem(pad, s))
      : [htmlNode("li", { class: "skp-none" }, "Nothing drawn yet. Click round the rust; close the ring on its first point.")]);
  if (listed) showChosen(c.list);
  const idle = pad.locked();
  refill(c.values, JSON.stringify([shape?.id, shape?.kind, shape?.name, shape?.value, pad.units, idle]), () => (shape ? valueRows(pad, shape) : []));
  for (const control of c.values.querySelectorAll("input, select")) control.disabled = idle;
  c.saved.textContent = c.saved.title = pad.state.word ?? "";
}

function refreshTools(pad, shape) {
  const c = pad.controls;
  const idle = pad.locked();
  c.draw.setAttribute("aria-pressed", String(pad.tool === "draw"));
  c.edit.setAttribute("aria-pressed", String(pad.tool === "edit"));
  c.kind.value = pad.drawKind;
  refreshTrace(pad);
  c.undo.disabled = idle || !pad.state.can_undo;
  c.redo.disabled = idle || !pad.state.can_redo;
  refreshChange(pad, shape, idle);
}

/** What can be done to the chosen shape. */
function refreshChange(pad, shape, idle) {
  const c = pad.controls;
  const form = shape && pad.kind(shape.kind).form;
  const isPoint = shape && pad.selected.index !== null;
  c.finish.disabled = idle || !shape || shape.done || !isEnough(shape.points, form);
  c.finish.textContent = form === "line" ? "End line" : "Close";
  c.insert.disabled = idle || !isPoint || form === "point" || shape.points.length < 2;
  c.remove.disabled = idle || !shape;
  c.remove.textContent = isPoint && shape.points.length > 1 ? "Delete point" : "Delete shape";
}

function refreshGrid(pad) {
  const c = pad.controls;
  c.units.value = pad.units;
  const step = pad.model.get("grid_mm");
  const grids = GRIDS[pad.units].some(([mm]) => Math.abs(mm - step) < 1e-6)
    ? GRIDS[pad.units] : [[step, lengthText(step, pad.units)], ...GRIDS[pad.units]];
  refill(c.grid, JSON.stringify([grids, step]), () => grids.map(([mm, text]) => htmlNode("option", { value: mm, selected: Math.abs(mm - step) < 1e-6 }, text)));
  c.snap.checked = pad.snap;
}

/** Scroll the list, not the page, until the chosen shape is seen. */
function showChosen(list) {
  const chosen = list.querySelector('[aria-pressed="true"]')?.parentElement;
  if (chosen && (chosen.offsetTop < list.scrollTop || chosen.offsetTop + chosen.offsetHeight > list.scrollTop + list.clientHeight)) {
    list.scrollTop = chosen.offsetTop;
  }
}

function bannerParts(pad) {
  if (pad.offline) return [`Not connected, ${AGAIN}. Until then nothing more is kept.`];
  if (!pad.state.blocked) return [];
  return [pad.state.blocked, button("Load the newer drawing", "Load the newer drawing", () => pad.send({ type: "load_newer" }))];
}
