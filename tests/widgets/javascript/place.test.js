// Photo pixels and millimetres: pixels count downward from the upper left corner.
import assert from "node:assert/strict";
import { test } from "node:test";
import "./told.js";
import { fromPhoto, toPhoto } from "../../../sheetkit/widgets/pad/place.js";

const place = { size_px: [800, 600], mm_per_px: 0.5, origin_mm: [-100, 20] };

test("the photo's corners lie where they should", () => {
  assert.deepEqual(fromPhoto(place, [0, 600]), [-100, 20]);
  assert.deepEqual(fromPhoto(place, [800, 0]), [300, 320]);
  assert.deepEqual(toPhoto(place, [-100, 320]), [0, 0]);
});

test("there and back again", () => {
  for (const px of [[0, 0], [123.25, 456.5], [-10, 900]]) assert.deepEqual(toPhoto(place, fromPhoto(place, px)), px);
});
