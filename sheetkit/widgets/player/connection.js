// What the page reports to Python, and the watch on who hears it.

export function save(model) {
  try { model.save_changes(); } catch { /* the watch on the connection reports it */ }
}

// Send an event with a running number; say so when no echo of it comes within 2 s.
export function connection(model, alarm, words) {
  let timer = 0;
  const heard = () => {
    if (model.get("echo") >= (model.get("event").n ?? 0)) { clearTimeout(timer); alarm.hidden = true; }
  };
  model.on("change:echo", heard);
  return {
    send(event) {
      const n = Math.max(model.get("event").n ?? 0, model.get("echo")) + 1;
      model.set("event", { ...event, n });
      clearTimeout(timer);
      timer = setTimeout(() => {
        if (model.get("echo") < n) { alarm.textContent = words; alarm.hidden = false; }
      }, 2000);
      save(model);
    },
    off() { clearTimeout(timer); model.off("change:echo", heard); },
  };
}
