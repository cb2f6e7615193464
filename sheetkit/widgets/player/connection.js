// What the page reports to Python, and the watch on who hears it.

export function save(model) {
  try { model.save_changes(); } catch { /* the watch on the connection reports it */ }
}

const QUIET_MS = 2000;
/** A server that a whole class works takes longer now and then. */
export const CLASS_QUIET_MS = 10_000;

// Send an event with a running number; say so when no echo of it comes in time.
export function connection(model, alarm, words, quietMs = QUIET_MS) {
  let timer = 0;
  const heard = () => {
    if (model.get("echo") >= (model.get("event").n ?? 0)) { clearTimeout(timer); alarm.hidden = true; }
  };
  model.on("change:echo", heard);
  return {
    /** `patient`: what the page may wait for as long as it takes. */
    send(event, patient = false) {
      const n = Math.max(model.get("event").n ?? 0, model.get("echo")) + 1;
      model.set("event", { ...event, n });
      clearTimeout(timer);
      if (!patient) {
        timer = setTimeout(() => {
          if (model.get("echo") < n) { alarm.textContent = words; alarm.hidden = false; }
        }, quietMs);
      }
      save(model);
    },
    off() { clearTimeout(timer); model.off("change:echo", heard); },
  };
}
