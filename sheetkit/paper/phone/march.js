// The thin-sheet heat solver on the plan's own grid: the notebook's kernel, step for step.
//
// Fields are rises above the air, K, as flat arrays with a ring of ghost cells; what the
// arrays are is told in `heat/conduction.py` and `heat/placing.py`, the method in
// `heat/kernel.py`.  Generators yield between steps, so that a page can breathe.

const GIVE_UP_S = 4 * 3600;

/** Make the sheet of a plan from its data and unpacked arrays, every kerf open. */
export function sheetOf(data, arrays) {
  const { rows, columns } = data;
  const [from, to] = [new Int32Array(rows), new Int32Array(rows)];
  for (let j = 1; j < rows - 1; j += 1) { // off the panel a row has nothing to reckon
    let [low, high] = [columns, 0];
    for (let i = 1; i < columns - 1; i += 1) {
      if (arrays.perCapacity[j * columns + i] > 0) { low = Math.min(low, i); high = i + 1; }
    }
    [from[j], to[j]] = [low, high];
  }
  const size = rows * columns;
  return { ...data, ...arrays, from, to, work: [0, 1, 2].map(() => new Float32Array(size)) };
}

/** Return a cold state: nothing welded. */
export const cold = (sheet) => ({
  field: new Float32Array(sheet.rows * sheet.columns), clock: 0,
  east: sheet.east.slice(), north: sheet.north.slice(), closed: new Uint8Array(sheet.binCount),
});

export const copyOf = (state) => ({
  field: state.field.slice(), clock: state.clock,
  east: state.east.slice(), north: state.north.slice(), closed: state.closed.slice(),
});

function cross(sheet, out, field, factor) {
  const { linkCells, linkConductance, perCapacity } = sheet;
  for (let n = 0; n < linkConductance.length; n += 1) {
    const [a, b] = [linkCells[2 * n], linkCells[2 * n + 1]];
    const flux = factor * linkConductance[n] * (field[b] - field[a]);
    out[a] += perCapacity[a] * flux;
    out[b] -= perCapacity[b] * flux;
  }
}

/** Put what `field` changes by, K/s, into `out`. */
function rateOfChange(sheet, state, out, field) {
  const { rows, columns, perCapacity, loss, lossRows, from, to } = sheet;
  const { east, north } = state;
  for (let j = 1; j < rows - 1; j += 1) {
    const lost = Math.min(j, lossRows - 1) * columns;
    const row = j * columns;
    for (let i = from[j]; i < to[j]; i += 1) {
      const n = row + i; const c = field[n];
      out[n] = perCapacity[n] * (east[n] * (field[n + 1] - c) - east[n - 1] * (c - field[n - 1])
        + north[n] * (field[n + columns] - c) - north[n - columns] * (c - field[n - columns]))
        - loss[lost + i] * c;
    }
  }
  if (sheet.linkConductance.length) cross(sheet, out, field, 1);
}

/** One stage: older <- (mu - mt loss) last + nu older + mt fluxes of last + gt rate. */
function stage(sheet, state, older, last, { mu, nu, mt, gt }) {
  const { rows, columns, perCapacity, loss, lossRows, from, to } = sheet;
  const { east, north } = state; const rate = sheet.work[2];
  for (let j = 1; j < rows - 1; j += 1) {
    const lost = Math.min(j, lossRows - 1) * columns;
    const row = j * columns;
    for (let i = from[j]; i < to[j]; i += 1) {
      const n = row + i; const c = last[n];
      const flux = east[n] * (last[n + 1] - c) - east[n - 1] * (c - last[n - 1])
        + north[n] * (last[n + columns] - c) - north[n - columns] * (c - last[n - columns]);
      older[n] = (mu - mt * loss[lost + i]) * c + nu * older[n] + mt * perCapacity[n] * flux + gt * rate[n];
    }
  }
  if (sheet.linkConductance.length) cross(sheet, older, last, mt);
}

/** Advance the state by dt; work[2] already holds its rate of change. */
function step(sheet, state, dt) {
  let stages = Math.ceil((Math.sqrt(25 + (24 * dt) / sheet.explicit_s) - 3) / 2);
  stages = Math.max(3, stages + 1 - (stages % 2)); // odd: an even number damps no shortest waves
  let [first, second] = sheet.work; const rate = sheet.work[2];
  const w1 = 6 / ((stages - 1) * (stages + 4));
  first.fill(0);
  for (let n = 0; n < rate.length; n += 1) second[n] = 0.4 * w1 * dt * rate[n];
  let [b2, b1] = [0.4, 0.4];
  for (let n = 2; n <= stages; n += 1) {
    const b = (2 * (n - 1) * (n + 4)) / (3 * n * (n + 3));
    const mu = (((2 * n + 1) / (n + 2)) * b) / b1;
    const nu = (-((n - 1) / (n + 2)) * b) / b2;
    const mt = mu * w1 * dt;
    stage(sheet, state, first, second, { mu, nu, mt, gt: b1 * mt });
    [first, second] = [second, first];
    [b2, b1] = [b1, b];
  }
  const { field } = state;
  for (let n = 0; n < field.length; n += 1) field[n] += second[n];
}

/** March over `span` s without an arc in growing steps; gives the next step's length. */
export function* cool(sheet, state, span, firstStep = sheet.firstStep_s) {
  let [left, dt] = [span, firstStep];
  while (left > 1e-9) {
    let now = Math.min(dt, left);
    if (left - now < 0.25 * now) now = left;
    rateOfChange(sheet, state, sheet.work[2], state.field);
    step(sheet, state, now);
    left -= now;
    dt = Math.min(Math.max(now, dt) * sheet.growth, sheet.longestStep_s);
    yield;
  }
  return dt;
}

/** Let the kerf conduct where a weld bridges it; what is closed stays closed. */
function closeKerf(sheet, state, weld) {
  for (let n = sheet.binsBegin[weld]; n < sheet.binsBegin[weld + 1]; n += 1) {
    const bin = sheet.bins[n];
    if (state.closed[bin]) continue;
    state.closed[bin] = 1;
    const face = sheet.binFace[bin];
    const faces = sheet.faceNorth[face] ? state.north : state.east;
    faces[sheet.faceCell[face]] += sheet.faceShare[face];
  }
}

/** Put a weld's heat in along its samples, one after the other, over its seconds. */
function* arc(sheet, state, weld) {
  const { begin, sampleCells, sampleWeights, perCapacity } = sheet;
  const [first, seconds] = [begin[weld], sheet.duration_s[weld]];
  const count = begin[weld + 1] - first;
  const parts = Math.max(1, Math.ceil(seconds / sheet.firstStep_s - 1e-9));
  const dt = seconds / parts; const rate = sheet.work[2];
  for (let part = 0; part < parts; part += 1) {
    rateOfChange(sheet, state, rate, state.field);
    const [low, high] = [(part * count) / parts, ((part + 1) * count) / parts];
    for (let n = Math.floor(low); n < Math.min(count, Math.ceil(high)); n += 1) {
      const share = ((Math.min(high, n + 1) - Math.max(low, n)) / count) * (sheet.energy_j[weld] / dt);
      for (let m = 4 * (first + n); m < 4 * (first + n) + 4; m += 1) {
        const cell = sampleCells[m];
        rate[cell] += share * sampleWeights[m] * perCapacity[cell];
      }
    }
    step(sheet, state, dt);
    yield;
  }
}

/** The highest rise along a weld, K. */
export function highest(sheet, state, weld) {
  const { probeBegin, probeCells, probeWeights } = sheet; const { field } = state;
  let top = -1e30;
  for (let n = probeBegin[weld]; n < probeBegin[weld + 1]; n += 1) {
    let value = 0;
    for (let m = 4 * n; m < 4 * n + 4; m += 1) value += probeWeights[m] * field[probeCells[m]];
    top = Math.max(top, value);
  }
  return top;
}

/** Seconds until the arm is at `weld`, coming from weld `from` (-1: it is in place). */
function move(sheet, from, weld, rules) {
  if (from < 0) return 0;
  const [x, y] = sheet.ends_mm[weld]; const [, , u, v] = sheet.ends_mm[from];
  return rules.settle_s + Math.hypot(x - u, y - v) / rules.move_mm_s;
}

function* made(sheet, state, weld, start) {
  closeKerf(sheet, state, weld);
  yield* arc(sheet, state, weld);
  state.clock = start + sheet.duration_s[weld];
}

/** Weld `order` at given starts, s on the state's clock (in place). */
export function* play(sheet, state, order, starts) {
  for (let n = 0; n < order.length; n += 1) {
    yield* cool(sheet, state, starts[n] - state.clock);
    yield* made(sheet, state, order[n], starts[n]);
  }
}

/** Look ahead from where `weld` could begin: gives its start, and leaves the state as it was then. */
function* soonest(sheet, state, weld, { begin, rules, ahead_s }) {
  const [limit, ahead] = [rules.limit_k - rules.less_k[weld], rules.lookAhead_s];
  const saved = state.field.slice();
  let [savedAt, start, now, ahead_dt] = [begin, begin, begin, ahead_s];
  let excess = highest(sheet, state, weld) - limit;
  let waiting = excess > 0;
  while (waiting || now < start + ahead - 1e-9) {
    const length = waiting ? ahead_dt : Math.min(ahead_dt, Math.max(start + ahead - now, 0.05));
    yield* cool(sheet, state, length, length);
    now += length;
    ahead_dt = Math.min(ahead_dt * sheet.growth, (waiting ? 0.5 : 0.25) * ahead);
    const before = excess;
    excess = highest(sheet, state, weld) - limit;
    if (excess > 0) {
      [waiting, savedAt] = [true, now];
      saved.set(state.field);
      if (now - begin > GIVE_UP_S) return { start: Infinity, savedAt };
    } else if (waiting) {
      waiting = false;
      const high = Math.log((before + limit) / limit);
      const low = Math.log(Math.max(excess + limit, 1e-3) / limit);
      start = Math.min(now, now - (length * (0 - low)) / Math.max(high - low, 1e-9) + 0.02);
    }
  }
  state.field.set(saved);
  return { start, savedAt };
}

/** Weld `order` as early as the rules allow (in place); tells each start as it is found. */
export function* timeWelds(sheet, state, order, { rules, after, found }) {
  let [dt, previous] = [sheet.firstStep_s, after];
  for (const weld of order) {
    const begin = state.clock + move(sheet, previous, weld, rules);
    dt = yield* cool(sheet, state, begin - state.clock, dt);
    const ahead_s = Math.min(dt, 0.25 * rules.lookAhead_s);
    const { start, savedAt } = yield* soonest(sheet, state, weld, { begin, rules, ahead_s });
    found(start);
    if (start === Infinity) return;
    if (start > savedAt) yield* cool(sheet, state, start - savedAt, start - savedAt);
    yield* made(sheet, state, weld, start);
    [dt, previous] = [sheet.firstStep_s, weld];
  }
}
