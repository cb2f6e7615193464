// The edits of a drawing, as Python does them (sketch/drawing.py): the page shows at once what
// Python will echo.  Both are tried on the same list of edits and results.

import { rounded } from "./geometry.js";

const isLength = (value) => typeof value === "number" && Math.abs(value) <= TOLD.largest_mm;
const isPoint = (at) => Array.isArray(at) && at.length === 2 && at.every(isLength);
const isIndex = (index, count) => Number.isInteger(index) && index >= 0 && index < count;
const put = (points, index, gone, ...at) => [...points.slice(0, index), ...at.map((p) => p.map(rounded)), ...points.slice(index + gone)];

/** Whether a ring or line has points enough to be closed or ended. */
export function isEnough(points, form) {
  return new Set(points.map(String)).size >= TOLD.least_points[form];
}

// each gives the changed shape, or null for an edit that is refused
const CHANGES = {
  insert: (shape, e, kind) => (kind.form !== "point" && shape.points.length < TOLD.most_points
    && isIndex(e.index, shape.points.length + 1) && isPoint(e.at)
    ? { ...shape, points: put(shape.points, e.index, 0, e.at) } : null),
  move_point: (shape, e) => (isIndex(e.index, shape.points.length) && isPoint(e.to)
    ? { ...shape, points: put(shape.points, e.index, 1, e.to) } : null),
  delete_point: (shape, e) => (isIndex(e.index, shape.points.length) && shape.points.length > 1
    ? { ...shape, points: put(shape.points, e.index, 1) } : null),
  finish: (shape, e, kind) => (isEnough(shape.points, kind.form) ? { ...shape, done: true } : null),
  move: (shape, e) => {
    if (!isPoint(e.by)) return null;
    const [dx, dy] = e.by.map(rounded);
    const points = shape.points.map(([x, y]) => [rounded(x + dx), rounded(y + dy)]);
    return points.every(isPoint) ? { ...shape, points } : null;
  },
  reshape: (shape, e, kind) => (kind.form === "ring" && shape.done && arePoints(e.points, kind.form) && isEnough(e.points.map((p) => p.map(rounded)), kind.form)
    ? { ...shape, points: e.points.map((p) => p.map(rounded)) } : null),
  set_kind: (shape, e, kind, kinds) => {
    const next = kinds.find(({ name }) => name === e.kind);
    if (next?.form !== kind.form) return null;
    return {
      ...shape, kind: next.name, name: next.named ? shape.name : "",
      value: next.value === kind.value ? shape.value : null,
    };
  },
  describe: (shape, e, kind) => {
    const { name = null, value = null } = e;
    if (name !== null && !(kind.named && typeof name === "string" && [...name].length <= TOLD.most_letters)) return null;
    // what is typed with its unit is a text here: only Python reads it
    if (value !== null && !(kind.value && typeof value === "number" && value >= kind.low && value <= kind.high)) return null;
    return { ...shape, name: name ?? shape.name, value: value ?? shape.value };
  },
};

function arePoints(points, form) {
  const most = form === "point" ? 1 : TOLD.most_points;
  return Array.isArray(points) && points.length > 0 && points.length <= most && points.every(isPoint);
}

function added(shapes, e, kinds) {
  const kind = kinds.find(({ name }) => name === e.kind);
  const isNew = typeof e.id === "string" && e.id.length > 0 && e.id.length <= TOLD.most_id_letters
    && !shapes.some(({ id }) => id === e.id);
  if (!isNew || !kind || !arePoints(e.points, kind.form) || shapes.length >= TOLD.most_shapes) return shapes;
  if (e.done && !isEnough(e.points, kind.form)) return shapes;
  const points = e.points.map((p) => p.map(rounded));
  return [...shapes, { id: e.id, kind: e.kind, points, done: Boolean(e.done) || kind.form === "point", name: "", value: null }];
}

/** The shapes after an edit; the list itself where the edit is refused, for which Python has the words. */
export function edited(shapes, edit, kinds) {
  if (edit.op === "add") return added(shapes, edit, kinds);
  const shape = shapes.find(({ id }) => id === edit.id);
  if (!shape) return shapes;
  if (edit.op === "delete") return shapes.filter((other) => other !== shape);
  const changed = CHANGES[edit.op]?.(shape, edit, kinds.find(({ name }) => name === shape.kind), kinds);
  return changed ? shapes.map((other) => (other === shape ? changed : other)) : shapes;
}
