// How far the work is: what was done when, what is due, and how all that outlives a reload.

/** Marks of a plan nobody has begun. */
export const fresh = (plan) => ({
  tackBegan_ms: 0, tacksDone: 0, tackShift_s: 0, tacking_s: 0,
  began_ms: 0, starts: [], due: plan.start_s.slice(), ratio: 1, before: null, ended_ms: 0,
  sound: true, front: "", close: false, entry: "", typed: {},
});

/** Where the work stands: "before", "tacks", "fill" or "after". */
export function stageOf(plan, marks) {
  if (marks.began_ms) return marks.starts.length < plan.order.length ? "fill" : "after";
  return marks.tackBegan_ms ? "tacks" : "before";
}

/** When tack number `n` is due, s after the first; a slow hand moves those to come, a quick one doesn't. */
export const tackDue = (plan, marks, n) => plan.tackStart_s[n] - plan.tackStart_s[0] + marks.tackShift_s;

/** Mark all tacks up to `count` as in; `now` in s after the first one's start. */
export function tacked(plan, marks, count, now) {
  const last = count - 1;
  const begun = now - plan.tackSeconds[last];
  const late = begun - (plan.tackStart_s[last] - plan.tackStart_s[0]);
  return { ...marks, tacksDone: count, tackShift_s: Math.max(marks.tackShift_s, late) };
}

/** Mark the next stitch as in at `now`, s after the end of tacking; those to come move with it. */
export function welded(plan, marks, now) {
  const n = marks.starts.length; const seconds = plan.seconds;
  const free = n ? marks.starts[n - 1] + seconds[n - 1] : 0;
  const begun = Math.max(now - seconds[n], free);
  const shift = Number.isFinite(marks.due[n]) ? begun - marks.due[n] : 0;
  const due = marks.due.map((start, k) => (k < n ? start : k === n ? begun : start + shift));
  return { ...marks, starts: [...marks.starts, begun], due };
}

/** Put the next start off until `seconds` after `now`, and those after it as much. */
export function putOff(marks, now, seconds) {
  const n = marks.starts.length;
  const late = Math.max(0, now + seconds - marks.due[n]);
  return { ...marks, due: marks.due.map((start, k) => (k < n ? start : start + late)) };
}

/** Take the next start from the reckoning; those after it move with it until they are reckoned too. */
export function nextAt(marks, start) {
  const n = marks.starts.length;
  const late = Number.isFinite(marks.due[n]) && Number.isFinite(start) ? start - marks.due[n] : 0;
  return { ...marks, due: marks.due.map((was, k) => (k < n ? was : k === n ? start : was + late)) };
}

/** Take the last stitch's mark away again. */
export const back = (marks) => ({ ...marks, starts: marks.starts.slice(0, -1), ended_ms: 0 });

const isMarks = (plan, found) => found && Array.isArray(found.starts) && Array.isArray(found.due)
  && found.due.length === plan.order.length && found.starts.length <= plan.order.length
  && found.starts.every(Number.isFinite) && found.tacksDone <= plan.tackOrder.length;

function readMarks(plan, text) {
  try {
    const found = JSON.parse(text);
    if (!isMarks(plan, found)) return null;
    found.due = found.due.map((start) => start ?? Infinity); // JSON has no word for never
    return { ...fresh(plan), ...found };
  } catch { return null; }
}

/**
 * What keeps marks over a reload: the browser's storage, or, where that is refused, the tab's own
 * name, which lasts as long as the tab.
 */
export function keeping(plan, key, tab = window, store = () => window.localStorage) {
  const own = `${key} `;
  return {
    load() {
      try {
        const text = store().getItem(key);
        if (text) return readMarks(plan, text) ?? fresh(plan);
      } catch { /* refused: the tab's name may hold them */ }
      const named = String(tab.name ?? "");
      return (named.startsWith(own) && readMarks(plan, named.slice(own.length))) || fresh(plan);
    },
    /** Keep them; gives "" or what to tell the user. */
    save(marks) {
      const text = JSON.stringify(marks);
      try { store().setItem(key, text); return ""; } catch { /* refused or full */ }
      tab.name = own + text;
      return "This browser keeps marks in this tab only: a reload keeps them, closing the tab does not.";
    },
  };
}
