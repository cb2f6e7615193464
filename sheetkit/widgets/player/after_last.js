// The form after the last stitch: thermometer readings and the burnt strip's width.

import { htmlNode } from "../elements.js";
import { clock, unbroken } from "../../base/words.js";

const number = (text) => Number(text.replace(",", "."));

export function afterLast(model, { send, elapsed, rehearsed }) {
  const shown = () => model.get("after_last");
  const unit = () => model.get("unit");
  const onEnter = (act) => (event) => {
    if (event.key === "Enter") { event.preventDefault(); act(); }
  };
  const field = (label, name, act, more = {}) => htmlNode("input", {
    type: "text", inputmode: "decimal", class: name, // a comma is a point, whatever the page's language
    "aria-label": label, onkeydown: onEnter(act), ...more,
  });
  const due = htmlNode("div", { class: "sk-ask", "aria-live": "polite" });
  const after = field("minutes after the last stitch", "sk-after", () => add(),
    { oninput: () => { typed = after.value.trim() !== ""; } });
  const reading = field("thermometer on the last stitch", "sk-cooling", () => add());
  const degree = htmlNode("span");
  const strip = field("width of the burnt strip across the seam", "sk-strip", () => width());
  const length = htmlNode("span");
  const lines = htmlNode("ul", { class: "sk-readings" });
  const words = htmlNode("div", { class: "sk-learned", "aria-live": "polite" });
  const said = htmlNode("div", { class: "sk-said", "aria-live": "polite" });
  const own = htmlNode("div", { class: "sk-hint" });
  const keep = htmlNode("button", { type: "button", class: "sk-keep", onclick: () => store() });
  const node = htmlNode("div", { class: "sk-after-last", role: "group", "aria-label": "For the next plan", hidden: true },
    htmlNode("b", {}, "For the next plan"), due,
    htmlNode("div", { class: "sk-measure" },
      htmlNode("span", { class: "sk-field" }, "After", after, "min"),
      htmlNode("span", { class: "sk-field" }, "it reads", reading, degree),
      htmlNode("button", { type: "button", class: "sk-add", onclick: () => add() }, "Add reading")),
    htmlNode("div", { class: "sk-measure" },
      htmlNode("span", { class: "sk-field" }, "Burnt strip's width", strip, length),
      htmlNode("button", { type: "button", class: "sk-add-strip", onclick: () => width() }, "Add width")),
    lines, words, htmlNode("div", { class: "sk-buttons" }, keep), said, own);
  let typed = false;
  const say = (text) => { said.textContent = text; };

  function add() {
    const minutes = after.value.trim() === "" ? elapsed() / 60 : number(after.value);
    const value = number(reading.value);
    if (reading.value.trim() === "" || !Number.isFinite(value)) {
      say("Type what the thermometer reads first."); reading.focus(); return;
    }
    const celsius = unit() === "F" ? (value - 32) / 1.8 : value;
    send("cooling", { after_s: 60 * minutes, reading_c: celsius });
    reading.value = ""; after.value = ""; typed = false;
    reading.focus();
  }

  function width() {
    const value = number(strip.value);
    if (strip.value.trim() === "" || !Number.isFinite(value)) {
      say("Type the strip's width first."); strip.focus(); return;
    }
    send("strip", { width_mm: value * shown().mm_per_unit });
    strip.value = "";
  }

  function store() {
    if (rehearsed()) { say("A rehearsal teaches nothing: it isn't kept."); return; }
    send("keep");
  }

  function show() {
    const now = shown();
    degree.textContent = `°${unit()}`;
    length.textContent = now.length;
    lines.replaceChildren(...now.lines.map((line, n) => htmlNode("li", {}, htmlNode("span", {}, unbroken(line)),
      htmlNode("button", {
        type: "button", class: "sk-forget", "aria-label": `Leave out: ${line}`,
        onclick: () => { send("forget", { line: n }); reading.focus(); },
      }, "Leave out"))));
    words.textContent = now.words;
    own.textContent = now.own;
    keep.textContent = `${now.kept ? "Keep again" : "Keep"} in ${now.log}`;
    keep.disabled = !now.lines.length;
    say(now.said);
  }

  /** Tell when to read next; fill in the minutes unless somebody typed them. */
  function tick() {
    const at = elapsed(); const times = shown().due_s;
    const next = times.find((time) => time > at - 20);
    const ask = next === undefined ? `Read at ${shown().due} after it, or whenever you can.`
      : next > at ? `Next reading in ${clock(Math.ceil(next - at))}: thermometer on the last stitch.`
        : "Read it now, on the last stitch.";
    if (due.textContent !== ask) due.textContent = ask;
    if (!typed && document.activeElement !== after) after.placeholder = (at / 60).toFixed(1);
  }

  model.on("change:after_last change:unit", show);
  show();
  return { node, tick, focus: () => reading.focus(), off: () => model.off("change:after_last change:unit", show) };
}
