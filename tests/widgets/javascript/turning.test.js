// The folded piece is turned and put in order as Python does it.
import assert from "node:assert/strict";
import { test } from "node:test";
import { turns } from "./told.js";
import { backToFront, turnMatrix } from "../../../sheetkit/widgets/bent/turning.js";

const PLAIN = [[1, 0, 0], [0, 1, 0], [0, 0, 1]];

test("a piece is turned as Python turns it", () => {
  for (const { sides, turn } of turns) {
    turnMatrix(PLAIN, ...sides).forEach((row, i) => row.forEach((value, k) => assert.ok(Math.abs(value - turn[i][k]) < 1e-12)));
  }
});

test("what hides what is found as Python finds it", () => {
  assert.ok(turns.length >= 30);
  for (const { strips, turn, order } of turns) assert.deepEqual(backToFront(strips, [1, 0, 0], turn), order);
});

test("seen end on nothing hides anything", () => {
  const strips = [[[0, 0, 0], [0, 9, 0]], [[0, 9, 0], [0, 9, 9]]];
  assert.deepEqual(backToFront(strips, [0, 0, 1], PLAIN), [0, 1]);
});
