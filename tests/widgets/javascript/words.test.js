// Times and temperatures as the player says them.
import assert from "node:assert/strict";
import { test } from "node:test";
import { clock, degrees, spoken } from "../../../sheetkit/base/words.js";

test("a clock counts minutes and seconds and stops at nought", () => {
  assert.equal(clock(0), "0:00");
  assert.equal(clock(59.6), "1:00");
  assert.equal(clock(605), "10:05");
  assert.equal(clock(-3), "0:00");
});

test("seconds in words", () => {
  assert.equal(spoken(42.4), "42 s");
  assert.equal(spoken(125), "2 min 5 s");
});

test("degrees of both kinds, from the two fixed points", () => {
  assert.equal(degrees(100, "C"), "100\u00a0°C");
  assert.equal(degrees(100, "F"), "212\u00a0°F");
  assert.equal(degrees(0, "F"), "32\u00a0°F");
});
