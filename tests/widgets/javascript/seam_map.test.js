// Which stitch a finger means.

import assert from "node:assert/strict";
import test from "node:test";
import { nearest, TARGET_PX } from "../../../sheetkit/widgets/player/seam_map.js";

const stitches = [
  { path: [[0, 0], [10, 0]] },
  { path: [[12, 0], [22, 0], [22, 10]] },
  { path: [[5, 3], [5, 3]] }, // a plug: no length
];

test("the nearest stitch within reach is meant", () => {
  assert.equal(nearest(stitches, [9, -1], 5), 0);
  assert.equal(nearest(stitches, [13, -1], 5), 1);
  assert.equal(nearest(stitches, [23, 7], 5), 1);
  assert.equal(nearest(stitches, [5, 2.5], 5), 2);
  assert.equal(nearest(stitches, [40, 40], 5), -1);
  assert.equal(nearest([], [0, 0], 5), -1);
});

test("what doesn't count is passed over", () => {
  assert.equal(nearest(stitches, [9, -1], 5, (n) => n !== 0), 1);
  assert.equal(nearest(stitches, [9, -1], 2, (n) => n !== 0), -1);
  assert.equal(TARGET_PX, 44);
});
