// The phone's heat march on sheets small enough to reckon by hand.
import assert from "node:assert/strict";
import { test } from "node:test";
import { cold, cool, copyOf, highest, play, sheetOf, timeWelds } from "../../../sheetkit/paper/phone/march.js";

const SIZE = 14;
const CAPACITY = 0.06; // J/K of a 4 mm cell of 1 mm steel
const CONDUCTANCE = 0.05; // W/K

function run(steps) {
  for (;;) {
    const { done, value } = steps.next();
    if (done) return value;
  }
}

/** A square sheet in a ring of ghosts with one weld in its middle, another one a cell from its corner. */
function square({ loss = 0, energy = 100 } = {}) {
  const cells = SIZE * SIZE; const at = (j, i) => j * SIZE + i;
  const [east, north, perCapacity] = [0, 1, 2].map(() => new Float32Array(cells));
  for (let j = 1; j < SIZE - 1; j += 1) {
    for (let i = 1; i < SIZE - 1; i += 1) {
      perCapacity[at(j, i)] = 1 / CAPACITY;
      if (i < SIZE - 2) east[at(j, i)] = CONDUCTANCE;
      if (j < SIZE - 2) north[at(j, i)] = CONDUCTANCE;
    }
  }
  const spots = [at(6, 6), at(2, 2)];
  const four = (spot) => [spot, spot, spot, spot];
  return sheetOf({
    rows: SIZE, columns: SIZE, lossRows: 1, binCount: 1, explicit_s: 0.99 / ((4 * CONDUCTANCE) / CAPACITY + loss),
    firstStep_s: 0.6, growth: 1.2, longestStep_s: 20, energy_j: [energy, energy], duration_s: [1, 1],
    ends_mm: [[20, 20, 20, 20], [4, 4, 4, 4]],
  }, {
    east, north, perCapacity, loss: new Float32Array(SIZE).fill(loss),
    linkCells: new Int32Array(0), linkConductance: new Float32Array(0),
    binFace: new Int32Array(1), faceNorth: new Int32Array(1), faceCell: new Int32Array(1), faceShare: new Float32Array(1),
    binsBegin: new Int32Array(3), bins: new Int32Array(0), begin: Int32Array.of(0, 1, 2),
    sampleCells: Int32Array.from(spots.flatMap(four)), sampleWeights: new Float32Array(8).fill(0.25),
    probeBegin: Int32Array.of(0, 1, 2), probeCells: Int32Array.from(spots.flatMap(four)),
    probeWeights: new Float32Array(8).fill(0.25),
  });
}

const heat = (state) => state.field.reduce((sum, rise) => sum + rise * CAPACITY, 0);
const near = (a, b, share) => assert.ok(Math.abs(a - b) <= share * Math.abs(b), `${a} is not ${b}`);

test("a sheet that loses nothing keeps all the heat and evens it out", () => {
  const sheet = square(); const state = cold(sheet);
  run(play(sheet, state, [0], [0]));
  near(heat(state), 100, 1e-4);
  assert.equal(state.clock, 1);
  run(cool(sheet, state, 2000));
  near(heat(state), 100, 1e-4);
  const even = 100 / (CAPACITY * (SIZE - 2) ** 2);
  near(highest(sheet, state, 1), even, 0.01);
});

test("the middle cell cools as a sum of cosines says", () => {
  const sheet = { ...square(), firstStep_s: 0.05, growth: 1 }; const state = cold(sheet);
  state.field[6 * SIZE + 6] = 100; // one cell alone is as sharp as can be: short steps
  run(cool(sheet, state, 6));
  const n = SIZE - 2; const rate = CONDUCTANCE / CAPACITY;
  const share = (k) => (k === 0 ? 1 : 2) / n;
  let one = 0; // by hand: the same row of cells, diagonalised
  for (let k = 0; k < n; k += 1) {
    one += share(k) * Math.cos((Math.PI * k * 5.5) / n) ** 2 * Math.exp(-rate * (2 - 2 * Math.cos((Math.PI * k) / n)) * 6);
  }
  near(state.field[6 * SIZE + 6], 100 * one * one, 0.01);
});

test("losses take heat away at their rate", () => {
  const sheet = square({ loss: 0.01 }); const state = cold(sheet);
  state.field.forEach((_, n) => { if (sheet.perCapacity[n] > 0) state.field[n] = 50; });
  run(cool(sheet, state, 60));
  near(highest(sheet, state, 0), 50 * Math.exp(-0.6), 0.002);
});

test("a start waits until the place is under the limit and stays so", () => {
  const sheet = square({ loss: 0.01 }); const state = cold(sheet);
  run(play(sheet, state, [0], [0]));
  const rules = { limit_k: 9, less_k: [1, 0], lookAhead_s: 20, settle_s: 4, move_mm_s: 100 };
  const starts = [];
  const before = copyOf(state);
  run(timeWelds(sheet, state, [0], { rules, after: 0, found: (start) => starts.push(start) }));
  assert.ok(starts[0] > 5, "it must wait for a place just welded");
  run(cool(sheet, before, starts[0] - 1));
  near(highest(sheet, before, 0), 8, 0.02);
  const free = cold(sheet); const others = [];
  run(timeWelds(sheet, free, [1], { rules: { ...rules, limit_k: 500 }, after: 0, found: (start) => others.push(start) }));
  near(others[0], 4 + Math.hypot(16, 16) / 100, 1e-9);
});
