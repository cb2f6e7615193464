// Lengths, areas and places worked out by hand.
import assert from "node:assert/strict";
import { test } from "node:test";
import "./told.js";
import * as plane from "../../../sheetkit/widgets/pad/geometry.js";

const view = { x: 300, y: 200, scale: 2, width: 600, height: 400 };
const SQUARE = [[0, 0], [40, 0], [40, 30], [0, 30]];
const close = (a, b, by = 1e-9) => assert.ok(Math.abs(a - b) <= by, `${a} is not ${b}`);
const near = (a, b) => a.forEach((value, k) => close(value, b[k]));

test("the middle of the view is the middle of the screen, up is up", () => {
  assert.deepEqual(plane.toScreen(view, [300, 200]), [300, 200]);
  assert.deepEqual(plane.toScreen(view, [310, 210]), [320, 180]);
});

test("there and back again", () => {
  for (const point of [[0, 0], [123.4, -56.7], [-2000, 900]]) near(plane.toDrawing(view, plane.toScreen(view, point)), point);
});

test("zooming leaves what is under the pointer where it is", () => {
  const px = [450, 120];
  const under = plane.toDrawing(view, px);
  for (const factor of [0.2, 1.4, 30]) {
    const closer = plane.zoomed(view, factor, px);
    close(closer.scale, 2 * factor);
    near(plane.toDrawing(closer, px), under);
  }
  close(plane.zoomed(view, 1e6, px).scale, 200);
  close(plane.zoomed(view, 1e-6, px).scale, 0.01);
});

test("all points fit into the view, and one point too", () => {
  for (const points of [SQUARE, [[-900, 0], [900, 10]], [[7, 7]], []]) {
    const all = plane.fitted(view, points);
    for (const point of points) {
      const [x, y] = plane.toScreen(all, point);
      assert.ok(x >= 50 && x <= 550 && y >= 45 && y <= 355, `${x}, ${y}`);
    }
  }
});

test("points snap to the nearest crossing of the grid, and to four digits", () => {
  assert.deepEqual(plane.snapped([12.4, -7.6], 5), [10, -10]);
  assert.deepEqual(plane.snapped([12.51, 7.4], 5), [15, 5]);
  assert.deepEqual(plane.snapped([1.23456, 2], 0), [1.2346, 2]);
  assert.deepEqual(plane.snapped([6.3, 12.8], 6.35), [6.35, 12.7]);
  assert.ok(Object.is(plane.rounded(-0.00001), 0), "no minus zero");
});

test("distance to a segment, at its side and beyond its ends", () => {
  assert.deepEqual(plane.toSegment([5, 3], [0, 0], [10, 0]), { distance: 3, at: [5, 0] });
  assert.deepEqual(plane.toSegment([13, 4], [0, 0], [10, 0]), { distance: 5, at: [10, 0] });
  assert.deepEqual(plane.toSegment([3, 4], [0, 0], [0, 0]), { distance: 5, at: [0, 0] });
});

test("inside and outside, in a notch too, either way round", () => {
  const notched = [[0, 0], [40, 0], [40, 30], [20, 10], [0, 30]];
  for (const ring of [notched, notched.toReversed?.() ?? [...notched].reverse()]) {
    assert.equal(plane.inside([20, 5], ring), true);
    assert.equal(plane.inside([20, 20], ring), false);
    assert.equal(plane.inside([-1, 5], ring), false);
  }
});

test("area by hand, whichever way round, wherever it lies", () => {
  close(plane.area(SQUARE), 1200);
  close(plane.area([...SQUARE].reverse()), 1200);
  close(plane.area(SQUARE.map(([x, y]) => [x + 1e4, y - 1e4])), 1200, 1e-6);
  close(plane.area([[0, 0], [6, 0], [0, 8]]), 24);
});

test("a closed ring has as many edges as points, an open one and a line one less", () => {
  const shape = { points: SQUARE, done: true };
  assert.deepEqual(plane.edges(shape, "ring").map(([index]) => index), [0, 1, 2, 3]);
  assert.deepEqual(plane.edges(shape, "ring").at(-1), [3, [0, 30], [0, 0]]);
  assert.equal(plane.edges({ ...shape, done: false }, "ring").length, 3);
  assert.equal(plane.edges(shape, "line").length, 3);
  assert.equal(plane.edges({ points: [[0, 0]], done: true }, "point").length, 0);
});

test("a label stands inside its ring, or at its first point", () => {
  assert.deepEqual(plane.labelPoint(SQUARE), [20, 15]);
  const hook = [[0, 0], [100, 0], [100, 100], [90, 100], [90, 10], [0, 10]];
  assert.deepEqual(plane.labelPoint(hook), [0, 0]);
});

test("lengths, areas, points and angles in words", () => {
  assert.equal(plane.lengthText(141.42, "mm"), "141.4 mm");
  assert.equal(plane.lengthText(304.8, "in"), "12 in");
  assert.equal(plane.areaText(1200, "mm"), "12.0 cm²");
  assert.equal(plane.areaText(25.4 * 25.4, "in"), "1.00 in²");
  assert.equal(plane.pointText([25.4, -12.7], "in"), "1, -0.5 in");
  assert.equal(plane.pointText([1.26, 2], "mm"), "1.3, 2 mm");
  for (const [to, words] of [[[1, 0], "0°"], [[0, 1], "90°"], [[-1, 0], "180°"], [[0, -1], "270°"], [[1, 1], "45°"]]) {
    assert.equal(plane.angleText([0, 0], to), words);
  }
});
