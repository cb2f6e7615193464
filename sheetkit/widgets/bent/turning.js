// A folded piece seen from any side: views/turning.py again, step for step.

const ALIKE_MM = 1e-6;
const radians = (degrees) => (degrees * Math.PI) / 180;
export const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
const times = (a, b) => a.map((line) => [0, 1, 2].map((k) => line[0] * b[0][k] + line[1] * b[1][k] + line[2] * b[2][k]));

/** The rows that turn mm of a piece to right, up and toward the viewer. */
export function turnMatrix(base, yawDeg, pitchDeg) {
  const [yaw, pitch] = [radians(yawDeg), radians(pitchDeg)];
  const aboutUp = [[Math.cos(yaw), 0, Math.sin(yaw)], [0, 1, 0], [-Math.sin(yaw), 0, Math.cos(yaw)]];
  const aboutLevel = [[1, 0, 0], [0, Math.cos(pitch), -Math.sin(pitch)], [0, Math.sin(pitch), Math.cos(pitch)]];
  return times(times(aboutLevel, aboutUp), base);
}

/** The order to draw strips in, so that each stands over what it hides; each is two points of its edges. */
export function backToFront(strips, run, turn) {
  const along = run.map((value) => value / Math.hypot(...run));
  const slant = dot(turn[2], along);
  const flat = turn[2].map((value, k) => value - slant * along[k]);
  const size = Math.hypot(...flat);
  const all = strips.map((_, i) => i);
  if (size < 1e-9) return all;
  const deep = flat.map((value) => value / size);
  const side = cross(along, deep);
  const aside = strips.map((ends) => ends.map((point) => dot(point, side)));
  const depth = strips.map((ends) => ends.map((point) => dot(point, deep)));
  const at = (n, middle) => {
    const share = (middle - aside[n][0]) / (aside[n][1] - aside[n][0]);
    return depth[n][0] + share * (depth[n][1] - depth[n][0]);
  };
  const hides = (i, j) => {
    const low = Math.max(Math.min(...aside[i]), Math.min(...aside[j]));
    const high = Math.min(Math.max(...aside[i]), Math.max(...aside[j]));
    if (high - low <= ALIKE_MM) return false;
    return at(i, (low + high) / 2) > at(j, (low + high) / 2) + ALIKE_MM;
  };
  const nearer = all.map((i) => all.map((j) => i !== j && hides(i, j)));
  const middle = (i) => (depth[i][0] + depth[i][1]) / 2;
  const order = [];
  let left = all;
  while (left.length) {
    const here = left;
    const free = here.find((i) => !here.some((j) => j !== i && nearer[i][j]));
    // strips that pass through each other have no order: the farthest first then
    const found = free ?? here.reduce((best, i) => (middle(i) < middle(best) ? i : best));
    order.push(found);
    left = here.filter((i) => i !== found);
  }
  return order;
}
