// Waits that follow the work: actual starts and a thermometer reading move the starts to come.
//
// The same judgement as `sequence/thermometer.py`, on the same grid.

import { cold, cool, copyOf, highest, play, timeWelds } from "./march.js";

/** Say what becomes of a reading: the ratio to go on with, and why. */
export function believed(found, before, ratio, rules) {
  if (found === null) return [ratio, "too cool"];
  if (!(rules.ratios[0] <= found && found <= rules.ratios[1])) return [ratio, "slip"];
  if (found >= ratio) return [found, "used"];
  if (before !== null && Math.abs(found - before) <= rules.agree * before) {
    return [Math.min(ratio, Math.max(found, before)), "used"];
  }
  const floor = Math.min(ratio, rules.alone);
  return [Math.max(found, floor), found >= floor ? "used" : "half used"];
}

/** The sheet as it stood after the tacks and after each stitch done: the march goes on from there. */
export function keeper() {
  return { tacked: null, starts: [], states: [] };
}

function* stateAt(plan, sheet, kept, starts, now) {
  const tacks = plan.tackOrder.length;
  if (!kept.tacked) {
    const state = cold(sheet);
    yield* play(sheet, state, plan.tackOrder, plan.tackStart_s);
    kept.tacked = state;
  }
  let same = 0;
  while (same < Math.min(starts.length, kept.starts.length) && starts[same] === kept.starts[same]) same += 1;
  const state = copyOf(same ? kept.states[same - 1] : kept.tacked);
  [kept.starts, kept.states] = [kept.starts.slice(0, same), kept.states.slice(0, same)];
  for (let n = same; n < starts.length; n += 1) {
    const begin = Math.max(starts[n] + plan.tack_s, state.clock);
    yield* play(sheet, state, [tacks + plan.order[n]], [begin]);
    kept.starts.push(starts[n]);
    kept.states.push(copyOf(state));
  }
  const left = now + plan.tack_s - state.clock;
  if (left > 0) {
    yield* cool(sheet, state, left);
    state.clock += left;
  }
  return state;
}

/** With places that must stay cool the waits only grow: the plan waited for these. */
function keepingPlan(plan, done, lastEnd) {
  let [place, late, free] = [done, 0, lastEnd];
  return (found) => {
    const endThen = place ? plan.start_s[place - 1] + plan.seconds[place - 1] : 0;
    const start = Math.max(found + late, free + plan.start_s[place] - endThen);
    late = Math.max(late, start - found);
    free = start + plan.seconds[place];
    place += 1;
    return start;
  };
}

function* rest(plan, sheet, state, { done, ratio, tell }) {
  const tacks = plan.tackOrder.length; const held = plan.heldTo;
  const rules = { ...held, limit_k: (held.limit_c - plan.ambient_c) / ratio };
  const kept = plan.keepsPlan ? keepingPlan(plan, done, state.clock - plan.tack_s) : (start) => start;
  const order = plan.order.slice(done).map((n) => tacks + n);
  const due = [];
  yield* timeWelds(sheet, state, order, {
    rules, after: done ? plan.order[done - 1] + tacks : plan.lastTack,
    found(at) {
      due.push(kept(at - plan.tack_s));
      tell(due.at(-1), due.length - 1);
    },
  });
  while (due.length < order.length) due.push(Infinity); // by the reckoning it never cools that far
  return due;
}

/**
 * Time the rest of a plan again from what was done and what the thermometer reads.
 *
 * `starts`: actual starts of the stitches done, s after the end of tacking; `now` the same
 * clock; `first` hears the next start as soon as it is found, with what became of the reading.
 */
export function* paced(plan, sheet, kept, { starts, now, ratio = 1, measured = null, before = null, first = () => {} }) {
  const rules = plan.thermometer; const done = starts.length;
  if (done >= plan.order.length) return { due: starts.slice(), ratio, expected_c: plan.ambient_c, reading: "none", found: null };
  const state = yield* stateAt(plan, sheet, kept, starts, now);
  const at = Math.max(now, state.clock - plan.tack_s);
  const rise = highest(sheet, state, plan.tackOrder.length + plan.order[done]);
  const expected_c = plan.ambient_c + ratio * rise;
  let [used, reading, found] = [ratio, "none", null];
  if (measured !== null) {
    found = rise < rules.leastRise_k ? null : (measured - plan.ambient_c) / rise;
    [used, reading] = believed(found, before, ratio, rules);
    if (measured < plan.ambient_c - rules.belowAir_k) [reading, found] = ["below air", null];
  }
  let late = 0;
  const due = yield* rest(plan, sheet, state, {
    done, ratio: used,
    tell(start, n) {
      if (n > 0) return;
      if (measured !== null && measured > plan.limit_c) late = Math.max(0, at + rules.touchAgain_s - start);
      first({ start: start + late, ratio: used, expected_c, reading, found });
    },
  });
  return { due: [...starts, ...due.map((start) => start + late)], ratio: used, expected_c, reading, found };
}
