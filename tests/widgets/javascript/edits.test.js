// The page's edits do what Python's do: one list of drawings, edits and results for both.
import assert from "node:assert/strict";
import { test } from "node:test";
import { cases, kinds } from "./told.js";
import { edited, isEnough } from "../../../sheetkit/widgets/pad/edits.js";

for (const { title, before, edit, after } of cases) {
  test(title, () => {
    const kept = structuredClone(before);
    const result = edited(before, edit, kinds);
    assert.deepEqual(result, after ?? kept);
    assert.deepEqual(before, kept, "the old drawing is left alone");
    if (!after) assert.equal(result, before, "a refused edit gives the very list back");
  });
}

const ring = { id: "a", kind: "rust_holed", points: [[0, 0], [9, 0], [0, 9]], done: true, name: "", value: null };

test("there is a most of shapes and of points", () => {
  const many = Array.from({ length: TOLD.most_shapes }, (_, n) => ({ ...ring, id: String(n) }));
  assert.equal(edited(many, { op: "add", id: "more", kind: "fold", points: [[0, 0]] }, kinds), many);
  const full = [{ ...ring, points: Array.from({ length: TOLD.most_points }, (_, n) => [n, 0]) }];
  assert.equal(edited(full, { op: "insert", id: "a", index: 0, at: [0, 1] }, kinds), full);
});

test("a number that is none never gets in", () => {
  for (const odd of [NaN, Infinity, -Infinity]) {
    assert.deepEqual(edited([ring], { op: "move_point", id: "a", index: 0, to: [odd, 0] }, kinds), [ring]);
    assert.deepEqual(edited([ring], { op: "move", id: "a", by: [0, odd] }, kinds), [ring]);
  }
});

test("points enough are different points", () => {
  assert.equal(isEnough([[0, 0], [1, 0], [0, 0]], "ring"), false);
  assert.equal(isEnough([[0, 0], [1, 0], [0, 1]], "ring"), true);
  assert.equal(isEnough([[0, 0], [1, 0]], "line"), true);
  assert.equal(isEnough([[0, 0]], "point"), true);
});
