// The march in slices, so that the countdown runs on while waits are reckoned.

import { sheetOf } from "./march.js";
import { keeper, paced } from "./pace.js";
import { unpacked } from "./unpack.js";

const SLICE_MS = 12;

/**
 * Reckon waits for a plan.  `ask` drops what was asked before; `next` hears the next start
 * as soon as it is known, `all` the whole answer, `lost` that this browser can't reckon.
 */
export function reckoner(plan, data, { next, all, lost }) {
  const kept = keeper();
  let [sheet, run, timer, wanted] = [null, null, 0, null];
  const here = { pending: false, reading: false, able: true, ask, stop };

  function slice() {
    const until = performance.now() + SLICE_MS;
    while (run && performance.now() < until) {
      const { done, value } = run.next();
      if (!done) continue;
      run = null;
      here.pending = here.reading = false;
      all(value);
    }
    if (run) timer = setTimeout(slice, 0);
  }

  function ask(question) {
    stop();
    if (!here.able) { lost(); return; }
    here.pending = true;
    here.reading = question.measured !== undefined;
    if (!sheet) { wanted = question; return; }
    run = paced(plan, sheet, kept, {
      ...question,
      first(found) { here.pending = here.reading = false; next(found); },
    });
    timer = setTimeout(slice, 0);
  }

  function stop() {
    clearTimeout(timer);
    [run, wanted] = [null, null];
    here.pending = here.reading = false;
  }

  unpacked(data).then((arrays) => {
    sheet = sheetOf(data, arrays);
    if (wanted) ask(wanted);
  }).catch(() => {
    here.able = here.pending = here.reading = false;
    lost();
  });
  return here;
}
