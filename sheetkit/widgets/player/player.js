// The heat-spread player: watch the heat of a plan, or step along it in the shop.

import { htmlNode, usedElsewhere } from "../elements.js";
import { afterLast } from "./after_last.js";
import { connection, save } from "./connection.js";
import { heatPanel } from "./heat_panel.js";
import { hotPlaces } from "./hot_places.js";
import { seamMap } from "./seam_map.js";
import { clock, degrees, spoken } from "../../base/words.js";

const DAY_S = 24 * 3600;
const COLDEST_C = -60;
const HOTTEST_C = 1600; // steel melts

function stepPanel(model, alarm) {
  const unit = () => model.get("unit");
  const scene = model.get("view");
  const count = scene.stitches.length;
  const map = seamMap(scene, { size: 1.6, label: "Where the next stitch is" });
  const line = connection(model, alarm, `Not connected, ${AGAIN}. `
    + "Until then the countdown goes on with the waits it has; readings change nothing.");
  const status = htmlNode("div", { class: "sk-status", "aria-live": "polite" });
  const next = htmlNode("div", { class: "sk-headline" });
  const countDown = htmlNode("div", { class: "sk-countdown", role: "timer", "aria-live": "off" });
  const ask = htmlNode("div", { class: "sk-ask" });
  const reading = htmlNode("input", {
    type: "number", step: "any", class: "sk-reading", "aria-label": "thermometer reading",
    onkeydown: (event) => { if (event.key === "Enter") { event.preventDefault(); read(); } },
  });
  const label = htmlNode("span", { class: "sk-reading-unit" });
  const use = htmlNode("button", { type: "button", class: "sk-use", onclick: () => read() }, "Use reading");
  const start = htmlNode("button", { type: "button", class: "sk-start", onclick: () => begin() },
    "Start: the last tack is in");
  const done = htmlNode("button", { type: "button", class: "sk-welded", onclick: () => welded() },
    "Done: it is welded (D)");
  const hot = htmlNode("button", { type: "button", class: "sk-hot", onclick: () => still() },
    "Still hot (H)");
  const back = htmlNode("button", { type: "button", class: "sk-back", onclick: () => undo() },
    "Back one stitch");
  const again = htmlNode("button", { type: "button", class: "sk-again", onclick: () => restart() },
    "Start over");
  const sound = htmlNode("input", {
    type: "checkbox", class: "sk-sound", checked: model.get("sound"),
    onchange: () => { model.set("sound", sound.checked); save(model); if (sound.checked) beep(0.05); },
  });
  const pace = htmlNode("select", { class: "sk-pace", "aria-label": "clock",
    onchange: () => { model.set("rehearse", Number(pace.value)); save(model); } },
  htmlNode("option", { value: 1 }, "shop clock"),
  htmlNode("option", { value: 10 }, "rehearse, 10 × as fast"),
  htmlNode("option", { value: 60 }, "rehearse, 60 × as fast"));
  const form = afterLast(model, {
    send: (kind, more) => send(kind, more),
    elapsed: () => now() - due().at(-1) - (scene.stitches.at(-1).end_s - scene.stitches.at(-1).start_s),
    rehearsed: () => model.get("rehearse") !== 1,
  });
  const node = htmlNode("div", { class: "sk-steps" },
    htmlNode("div", { class: "sk-side" }, next, countDown, ask,
      htmlNode("div", { class: "sk-buttons" }, start, done, hot),
      htmlNode("div", { class: "sk-measure" }, htmlNode("label", {}, "It reads ", reading), label, use),
      status, form.node,
      htmlNode("div", { class: "sk-small" }, back, again, pace,
        htmlNode("label", {}, sound, " sound when a wait is over"))),
    htmlNode("div", { class: "sk-map sk-plain" }, map.svg));
  let audio = null; let called = -1; let warned = -1; let ticking = 0;

  const turn = () => model.get("turn");
  const due = () => model.get("due_s");
  const running = () => model.get("began_ms") > 0;
  const now = () => ((Date.now() - model.get("began_ms")) / 1000) * model.get("rehearse");
  const left = () => due()[turn()] - now();
  const starts = () => due().slice(0, turn());

  function beep(seconds = 0.5) {
    try {
      audio ??= new AudioContext();
      const tone = audio.createOscillator(); const loud = audio.createGain();
      tone.frequency.value = 880; loud.gain.value = 0.2;
      tone.connect(loud).connect(audio.destination);
      tone.start(); tone.stop(audio.currentTime + seconds);
      node.dataset.beeps = Number(node.dataset.beeps ?? 0) + 1;
    } catch { /* a page without sound still shows the countdown */ }
  }

  /** A clock that ran on for a day while nobody welded is set to the next start: the sheet is cold. */
  function wake() {
    if (!running() || turn() >= count || now() < due().at(-1) + DAY_S) return;
    model.set("began_ms", Date.now() - (1000 * due()[turn()]) / model.get("rehearse"));
    save(model);
    called = turn();
    say("The clock had run on for more than a day. It is set to the next start.");
  }

  function send(kind, more = {}) {
    line.send({ kind, turn: turn(), at_s: now(), starts_s: starts(), ...more });
  }

  function begin() {
    model.set("began_ms", Date.now());
    called = warned = -1;
    send("start");
    say(`Go to ${place()}. Wait ${spoken(left())}.`);
    show();
    (done.disabled ? node : done).focus();
  }

  const first = () => scene.stitches[turn()];
  const place = () => `stitch ${turn() + 1}, patch ${first().patch}`;

  function welded() {
    if (!running() || turn() >= count) return;
    const was = turn(); const list = due().slice();
    const seconds = scene.stitches[was].end_s - scene.stitches[was].start_s;
    const free = was ? list[was - 1] + scene.stitches[was - 1].end_s - scene.stitches[was - 1].start_s : 0;
    const begun = Math.max(now() - seconds, free);
    const shift = begun - list[was];
    for (let n = was; n < count; n += 1) list[n] += shift;
    model.set("due_s", list); model.set("turn", was + 1);
    reading.value = "";
    send("done");
    say(was + 1 < count ? `Next: ${place()}. Wait ${spoken(left())}.`
      : "That was the last stitch.");
    show();
  }

  function later(seconds) {
    const list = due().slice(); const shift = Math.max(0, now() + seconds - list[turn()]);
    for (let n = turn(); n < count; n += 1) list[n] += shift;
    model.set("due_s", list); called = warned = -1;
  }

  function still() {
    if (!running() || turn() >= count) return;
    if (reading.value.trim() !== "") { read(); return; }
    later(15);
    send("hot");
    say("Wait 15 s more, then measure again. A reading would tell how long.");
    show();
  }

  function read() {
    if (!running() || turn() >= count) return;
    const typed = Number(reading.value.replace(",", "."));
    if (reading.value.trim() === "" || !Number.isFinite(typed)) {
      say("Type what the thermometer reads first."); reading.focus(); return;
    }
    const celsius = unit() === "F" ? (typed - 32) / 1.8 : typed;
    if (celsius < COLDEST_C || celsius > HOTTEST_C) {
      say(`No sheet reads ${typed} °${unit()}: it must be ${degrees(COLDEST_C, unit())} to ${degrees(HOTTEST_C, unit())}. Read it again.`);
      return;
    }
    if (celsius > scene.limit_c) later(15);
    send("reading", { reading_c: celsius });
    show();
  }

  function undo() {
    if (!running() || turn() < 1) return;
    model.set("turn", turn() - 1); called = warned = -1;
    send("back");
    say(`Back at ${place()}.`);
    show();
  }

  function restart() {
    model.set("began_ms", 0); model.set("turn", 0);
    send("restart", { at_s: 0, starts_s: [] });
    say(""); show(); start.focus();
  }

  function say(words) { status.textContent = words; }

  function show() {
    const at = turn(); const over = at >= count; const on = running() && !over;
    const states = scene.stitches.map((_, n) => (n < at ? "done" : n === at ? "next" : ""));
    map.show(states, scene.stitches.map((_, n) => (n === at ? n + 1 : "")));
    start.hidden = running(); pace.hidden = running(); back.hidden = !running() || at < 1;
    again.hidden = !running();
    for (const part of [done, hot, use, reading, ask, countDown]) part.hidden = !on;
    label.textContent = ` °${unit()} `;
    label.parentElement.hidden = !on;
    form.node.hidden = !over || !running();
    if (over) {
      next.textContent = "All stitches are in.";
      say("The seam shrinks while it cools: where a dolly reaches, planish it.");
      form.tick();
      return;
    }
    next.textContent = `${running() ? "Next" : "First"}: ${place()}`;
    map.svg.setAttribute("aria-label", `Where the next stitch is: ${place()}`);
    next.dataset.turn = at + 1;
    ask.textContent = `Hold the thermometer on it: below ${degrees(scene.limit_c, unit())}?`;
    showClock();
  }

  function showClock() {
    if (!running()) return;
    if (turn() >= count) { form.tick(); return; }
    wake();
    const rest = left();
    const ready = rest <= 0;
    countDown.textContent = ready ? "Measure it now" : `Wait ${clock(Math.ceil(rest))}`;
    node.classList.toggle("sk-ready", ready);
    if (!ready && rest <= 10 && due()[turn()] - (due()[turn() - 1] ?? 0) > 25 && warned !== turn()) {
      warned = turn(); say("Ten seconds more.");
    }
    if (ready && called !== turn()) {
      called = turn();
      say(`The wait is over. Measure ${place()}.`);
      if (model.get("sound")) beep();
    }
  }

  function key(event) {
    const act = { d: welded, h: still, r: () => (turn() >= count ? form : reading).focus() }[event.key.toLowerCase()];
    if (!act || !running()) return false;
    act();
    return true;
  }

  const heard = () => { if (model.get("note").text) say(model.get("note").text); };
  const retimed = () => { if (left() > 1) called = -1; show(); };
  model.on("change:note", heard);
  model.on("change:due_s change:turn change:unit", retimed);
  ticking = setInterval(showClock, 200);
  pace.value = model.get("rehearse");
  wake();
  show();
  return {
    node, key,
    off() {
      clearInterval(ticking); line.off(); form.off(); audio?.close();
      model.off("change:note", heard);
      model.off("change:due_s change:turn change:unit", retimed);
    },
  };
}

function render({ model, el }) {
  const alarm = htmlNode("div", { class: "sk-alarm", role: "alert", hidden: true });
  const heat = heatPanel(model, { label: "Heat in the sheet, with the turn of each stitch" });
  const steps = stepPanel(model, alarm);
  const tabs = [["watch", "Watch the heat"], ["step", "Step along in the shop"]].map(([name, words]) =>
    htmlNode("button", {
      type: "button", class: "sk-tab", "data-mode": name,
      onclick: () => { model.set("mode", name); save(model); },
    }, words));
  const hint = htmlNode("div", { class: "sk-hint" });
  const hot = hotPlaces(model);
  const root = htmlNode("div", {
    class: "sk-root sk-player", tabindex: 0, role: "group", "aria-label": "Heat-spread player",
    "data-lm-suppress-shortcuts": "true",
  }, htmlNode("div", { class: "sk-tabs" }, ...tabs), alarm, hot.node, heat.node, steps.node, hint);
  root.addEventListener("contextmenu", (event) => { event.preventDefault(); event.stopPropagation(); });
  root.addEventListener("keydown", (event) => {
    if (usedElsewhere(event, root)) return;
    const used = model.get("mode") === "watch" ? heat.key(event) : steps.key(event);
    if (used) { event.preventDefault(); event.stopPropagation(); }
  });

  function mode() {
    const watch = model.get("mode") === "watch";
    heat.node.hidden = !watch; steps.node.hidden = watch;
    if (!watch) heat.stop();
    for (const tab of tabs) tab.setAttribute("aria-pressed", tab.dataset.mode === model.get("mode"));
    hint.textContent = watch
      ? "Keys: space plays and pauses, arrows step, Home and End jump. The line is the limit."
      : "Keys: D done, H still hot, R reading. The order keeps heat from building up; "
        + "the weld still shrinks and is planished out.";
  }
  model.on("change:mode", mode);
  mode();
  heat.load();
  el.append(root);
  return () => { model.off("change:mode", mode); hot.off(); heat.off(); steps.off(); };
}

export default { render };
