// The phone's marks, readings and log row, as far as they need no page.
import assert from "node:assert/strict";
import { test } from "node:test";
import { readingOf } from "../../../sheetkit/paper/phone/keypad.js";
import { cell, csvOf, entryName, rowOf } from "../../../sheetkit/paper/phone/log_entry.js";
import { back, fresh, keeping, nextAt, putOff, stageOf, tackDue, tacked, welded } from "../../../sheetkit/paper/phone/marks.js";
import { believed } from "../../../sheetkit/paper/phone/pace.js";
import { toldOf } from "../../../sheetkit/paper/phone/told.js";

const plan = {
  tackOrder: [0, 1, 2], tackStart_s: [0, 10, 25], tackSeconds: [1, 1, 1], order: [2, 0, 1],
  start_s: [5, 40, 90], seconds: [4, 4, 4], limit_c: 60, ambient_c: 20,
};
const thermometer = { least_c: -60, most_c: 1600 };
const ratios = { ratios: [0.4, 2.5], alone: 0.8, agree: 0.15 };

test("tacks come due as planned; a slow hand moves the rest, a quick one doesn't", () => {
  let marks = fresh(plan);
  assert.equal(tackDue(plan, marks, 2), 25);
  marks = tacked(plan, marks, 1, 0.5);
  assert.equal(tackDue(plan, marks, 1), 10);
  marks = tacked(plan, marks, 2, 31);
  assert.equal(tackDue(plan, marks, 2), 45);
});

test("a stitch that is in began its own seconds ago, and moves those to come", () => {
  let marks = { ...fresh(plan), began_ms: 1 };
  marks = welded(plan, marks, 19);
  assert.deepEqual([marks.starts, marks.due], [[15], [15, 50, 100]]);
  marks = welded(plan, marks, 20); // pressed twice: it can't have begun before the one before ended
  assert.deepEqual(marks.starts, [15, 19]);
  assert.equal(stageOf(plan, marks), "fill");
  assert.equal(stageOf(plan, welded(plan, marks, 90)), "after");
  assert.deepEqual(back(marks).starts, [15]);
});

test("a start that never comes stays so until it is reckoned anew", () => {
  const marks = { ...fresh(plan), began_ms: 1, due: [5, Infinity, Infinity], starts: [5] };
  assert.deepEqual(putOff(marks, 10, 15).due, [5, Infinity, Infinity]);
  assert.deepEqual(nextAt(marks, 70).due, [5, 70, Infinity]);
  assert.deepEqual(welded(plan, marks, 104).due, [5, 100, Infinity]);
});

test("still hot puts the next start off by what is asked and never brings it nearer", () => {
  const marks = { ...fresh(plan), began_ms: 1 };
  assert.deepEqual(putOff(marks, 30, 15).due, [45, 80, 130]);
  assert.deepEqual(putOff(marks, 0, 1).due, [5, 40, 90]);
});

test("marks outlive a reload, in the tab's name where storage is refused", () => {
  const refuse = () => { throw new Error("refused"); };
  const marks = { ...fresh(plan), began_ms: 7, starts: [5], due: [5, 44, Infinity], front: "left" };
  const tab = { name: "" };
  const refused = keeping(plan, "k", tab, refuse);
  assert.match(refused.save(marks), /this tab only/);
  assert.deepEqual(refused.load(), marks);
  const items = new Map();
  const store = () => ({ getItem: (key) => items.get(key) ?? null, setItem: (key, text) => items.set(key, text) });
  assert.equal(keeping(plan, "k", { name: "" }, store).save(marks), "");
  assert.deepEqual(keeping(plan, "k", { name: "" }, store).load(), marks);
  items.set("k", '{"starts": [1, 2, 3, 4, 5], "due": []}'); // another plan's, or torn
  assert.deepEqual(keeping(plan, "k", { name: "" }, store).load(), fresh(plan));
});

test("readings no sheet can have are refused in words", () => {
  assert.equal(readingOf("60,5", "C", thermometer).celsius, 60.5);
  assert.equal(readingOf("212", "F", thermometer).celsius, 100);
  assert.equal(readingOf("−5", "C", thermometer).celsius, -5);
  for (const [text, words] of [["", "Type what"], ["1-2", "no number"], ["9999", "No sheet reads"], ["-300", "No sheet reads"]]) {
    assert.match(readingOf(text, "C", thermometer).fault, new RegExp(words));
  }
});

test("what becomes of a reading", () => {
  assert.deepEqual(believed(1.3, null, 1, ratios), [1.3, "used"]);
  assert.deepEqual(believed(0.6, null, 1, ratios), [0.8, "half used"]);
  assert.deepEqual(believed(0.6, 0.62, 1, ratios), [0.62, "used"]);
  assert.deepEqual(believed(3, null, 1.1, ratios), [1.1, "slip"]);
  assert.deepEqual(believed(null, 0.9, 1.2, ratios), [1.2, "too cool"]);
  const told = (reading, ratio, measured, start) => toldOf({ reading, ratio, expected_c: 50 }, { measured, now: 0, start, plan, unit: "C" });
  assert.match(told("used", 1.3, 58, 40), /longer now.*wait for the countdown/);
  assert.match(told("slip", 1, 200, 40), /not used.*measure again/);
  assert.match(told("used", 1, 50, 1), /Weld it/);
});

const log = {
  columns: ["entry", "date", "job", "welding_h", "wire_g", "pressure_before_bar", "pressure_after_bar", "note"],
  fields: [
    { name: "welding_h", label: "Welding", unit: "h", factor: 1, offset: 0, least: 0, most: 200 },
    { name: "wire_g", label: "Wire", unit: "oz", factor: 1 / 28.349523125, offset: 0, least: 0, most: 20000 },
    { name: "pressure_before_bar", label: "Gauge before", unit: "bar", factor: 1, offset: 0, least: 0, most: 300 },
    { name: "pressure_after_bar", label: "Gauge after", unit: "bar", factor: 1, offset: 0, least: 0, most: 300 },
  ],
};

test("a row is written in the log's units, and no cell is a formula", () => {
  const { row, faults } = rowOf(log, { date: "2026-05-31", job: 'a "b", c', welding_h: "1,5", wire_g: "2", note: "=1+1\nmore" });
  assert.deepEqual(faults, []);
  assert.deepEqual(csvOf(log, { ...row, entry: "j1" })[1].split("2026-05-31,")[1], '"a ""b"", c",1.5,56.699,,,1+1 more');
  assert.equal(cell("+-@x"), "x");
});

test("every fault of a row is told", () => {
  const { faults } = rowOf(log, {
    date: "2026-02-30", job: " ", welding_h: "many", wire_g: "9999", pressure_before_bar: "100", pressure_after_bar: "120",
  });
  assert.equal(faults.length, 5);
  assert.match(faults.join(" "), /no number.*can't be.*swap/);
  assert.match(rowOf(log, { date: "2026-05-31", job: "x" }).faults[0], /at least one/);
});

test("an entry's name begins with a letter", () => {
  assert.match(entryName((bytes) => bytes.fill(31)), /^j[0-9a-f]{11}$/);
});
