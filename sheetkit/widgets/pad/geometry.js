// Plane geometry of the pad: points in mm with y upward, screen points in px
// with y downward.  Nothing here knows the page.

export const MM_PER_INCH = TOLD.mm_per_inch;
const PARTS = 10 ** TOLD.digits;

export const rounded = (value) => Math.round(value * PARTS) / PARTS + 0;
export const distance = (a, b) => Math.hypot(b[0] - a[0], b[1] - a[1]);
export const middle = (a, b) => [rounded((a[0] + b[0]) / 2), rounded((a[1] + b[1]) / 2)];

export function toScreen(view, point) {
  return [
    (point[0] - view.x) * view.scale + view.width / 2,
    view.height / 2 - (point[1] - view.y) * view.scale,
  ];
}

export function toDrawing(view, px) {
  return [
    (px[0] - view.width / 2) / view.scale + view.x,
    (view.height / 2 - px[1]) / view.scale + view.y,
  ];
}

export function snapped(point, step) {
  const put = step > 0 ? (v) => Math.round(v / step) * step : (v) => v;
  return [rounded(put(point[0])), rounded(put(point[1]))];
}

/** Zoom by `factor` so that the drawing under the screen point `px` stays there. */
export function zoomed(view, factor, px) {
  const fixed = toDrawing(view, px);
  const scale = Math.min(200, Math.max(0.01, view.scale * factor));
  const x = fixed[0] - (px[0] - view.width / 2) / scale;
  const y = fixed[1] - (view.height / 2 - px[1]) / scale;
  return { ...view, scale, x, y };
}

/** The view that shows all `points` with a margin. */
export function fitted(view, points) {
  const all = points.length ? points : [[0, 0], [600, 400]];
  const xs = all.map((p) => p[0]);
  const ys = all.map((p) => p[1]);
  const [x0, x1, y0, y1] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
  const scale = Math.min(
    (view.width - Math.min(110, 0.2 * view.width)) / Math.max(x1 - x0, 20),
    (view.height - Math.min(100, 0.25 * view.height)) / Math.max(y1 - y0, 20),
  );
  return { ...view, x: (x0 + x1) / 2, y: (y0 + y1) / 2, scale: Math.max(scale, 0.01) };
}

/** Distance from `p` to the segment a-b, and the nearest point on it. */
export function toSegment(p, a, b) {
  const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
  const length2 = dx * dx + dy * dy;
  const t = length2 ? ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / length2 : 0;
  const k = Math.min(1, Math.max(0, t));
  const at = [a[0] + k * dx, a[1] + k * dy];
  return { distance: distance(p, at), at };
}

export function inside(p, ring) {
  let odd = false;
  for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
    const [a, b] = [ring[i], ring[j]];
    if (a[1] > p[1] !== b[1] > p[1] &&
        p[0] < ((b[0] - a[0]) * (p[1] - a[1])) / (b[1] - a[1]) + a[0]) odd = !odd;
  }
  return odd;
}

/** Edges of a shape as [index of first point, first point, second point]. */
export function edges(shape, form) {
  const found = [];
  for (let i = 0; i + 1 < shape.points.length; i++) {
    found.push([i, shape.points[i], shape.points[i + 1]]);
  }
  if (form === "ring" && shape.done && shape.points.length > 2) {
    found.push([shape.points.length - 1, shape.points.at(-1), shape.points[0]]);
  }
  return found;
}

export function area(ring) {
  let sum = 0;
  for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
    sum += ring[j][0] * ring[i][1] - ring[i][0] * ring[j][1];
  }
  return Math.abs(sum) / 2;
}

/** A point inside or near a ring where its label reads well. */
export function labelPoint(points) {
  const n = points.length;
  const mean = [0, 1].map((k) => points.reduce((sum, p) => sum + p[k], 0) / n);
  return n < 3 || inside(mean, points) ? mean : points[0];
}

export function lengthText(mm, units) {
  const value = units === "in" ? mm / MM_PER_INCH : mm;
  return `${Number(value.toFixed(units === "in" ? 3 : 1))} ${units}`;
}

export function areaText(mm2, units) {
  return units === "in" ? `${(mm2 / MM_PER_INCH ** 2).toFixed(2)} in²` : `${(mm2 / 100).toFixed(1)} cm²`;
}

export function pointText(point, units) {
  const scale = units === "in" ? MM_PER_INCH : 1;
  const digits = units === "in" ? 3 : 1;
  const [x, y] = point.map((v) => Number((v / scale).toFixed(digits)));
  return `${x}, ${y} ${units}`;
}

/** Direction from a to b in degrees, anticlockwise from the right. */
export function angleText(a, b) {
  const degrees = (Math.atan2(b[1] - a[1], b[0] - a[0]) * 180) / Math.PI;
  return `${Number(((degrees + 360) % 360).toFixed(1))}°`;
}
