// The test: which stitch next, and why?  Click a place, choose a reason; the map then shows the heat.

import { htmlNode, usedElsewhere } from "../elements.js";
import { CLASS_QUIET_MS, connection } from "./connection.js";
import { inflate, paintHeat } from "./heat_panel.js";
import { progressBar } from "./progress_bar.js";
import { seamMap } from "./seam_map.js";
import { degrees, unbroken } from "../../base/words.js";

const AGO = (seconds) => (seconds < 1 ? "now" : `${seconds} s`);

function render({ model, el }) {
  const alarm = htmlNode("div", { class: "sk-alarm", role: "alert", hidden: true });
  const line = connection(model, alarm, `Not connected, ${AGAIN}.`, CLASS_QUIET_MS);
  const bar = progressBar(model);
  const begin = htmlNode("button", { type: "button", class: "sk-begin", onclick: () => start() }, "Begin the test");
  const head = htmlNode("b", { class: "sk-question" });
  const hint = htmlNode("p", {});
  const canvas = htmlNode("canvas", { class: "sk-heat", "aria-hidden": "true" });
  const holder = htmlNode("div", { class: "sk-map" }, canvas);
  const why = htmlNode("fieldset", { class: "sk-why" });
  const answer = htmlNode("button", { type: "button", class: "sk-answer", onclick: () => give() }, "Answer");
  const next = htmlNode("button", { type: "button", class: "sk-next-question", onclick: () => line.send({ kind: "next" }) });
  const status = htmlNode("div", { class: "sk-status", role: "status" });
  const words = htmlNode("div", { class: "sk-words", "aria-live": "polite" });
  const side = htmlNode("div", { class: "sk-side" }, why, htmlNode("div", { class: "sk-controls" }, answer, next), status, words);
  const caption = htmlNode("div", { class: "sk-hint" });
  const test = htmlNode("div", { hidden: true }, head, hint,
    htmlNode("div", { class: "sk-halves" }, htmlNode("div", { class: "sk-choose" }, holder, caption), side));
  const marks = htmlNode("div", { class: "sk-marks" });
  const said = htmlNode("div", { class: "sk-words" });
  const end = htmlNode("div", { class: "sk-final", hidden: true, "aria-live": "polite" }, marks, said,
    htmlNode("div", { class: "sk-controls" }, ...[["png", "Card to keep, picture"], ["pdf", "Card to keep, PDF"]].map(([form, name]) =>
      htmlNode("button", { type: "button", class: `sk-card-${form}`, onclick: () => line.send({ kind: "card", form }) }, name)),
    htmlNode("button", { type: "button", class: "sk-again", onclick: () => start() }, "Another shape")));
  const root = htmlNode("div", {
    class: "sk-root sk-test", tabindex: -1, role: "group", "aria-label": "Which stitch next, and why",
    "data-lm-suppress-shortcuts": "true",
  }, alarm, begin, bar.node, test, end);
  const urls = [];
  let map = null; let chosen = -1; let at = -1; let paints = 0;

  const asked = () => model.get("asked");
  const answered = () => model.get("answered");
  const over = () => answered().marks !== undefined;
  const scene = () => model.get("stitches");
  const isDone = (n) => asked().done.some((one) => one.stitch === n);
  const reason = () => why.querySelector("input:checked")?.value;

  function start() {
    begin.hidden = true; end.hidden = true; test.hidden = true;
    line.send({ kind: "begin" });
  }

  function give() {
    if (chosen < 0) { status.textContent = "Click the place where the next stitch goes first."; return; }
    if (!reason()) { status.textContent = "Choose a reason, too."; return; }
    answer.disabled = true;
    line.send({ kind: "answer", stitch: chosen, reason: reason() });
  }

  function fresh() {
    if (!scene().stitches) { map?.svg.remove(); map = null; return; }
    map?.svg.remove();
    map = seamMap(scene(), { label: "The seam: where does the next stitch go?" });
    map.svg.setAttribute("role", "group");
    const [left, bottom, right, top] = scene().box;
    holder.style.aspectRatio = `${right - left} / ${top - bottom}`;
    holder.append(map.svg);
    map.fit(holder.clientWidth);
    map.svg.addEventListener("click", (event) => choose(map.meant(event, (n) => !isDone(n))));
  }

  function choose(n) {
    if (n < 0 || over() || isDone(n)) return;
    chosen = n; at = n;
    status.textContent = "";
    show();
    map.groups[n].group.focus({ preventScroll: true });
  }

  function move(step) {
    const left = scene().stitches.map((_, n) => n).filter((n) => !isDone(n));
    at = left[(left.indexOf(at) + step + left.length) % left.length];
    show();
    map.groups[at].group.focus({ preventScroll: true });
  }

  function label(n) {
    const done = asked().done.find((one) => one.stitch === n);
    if (done) return AGO(done.ago_s);
    const mark = n === asked().decoy ? "?" : "";
    return over() ? unbroken(`${mark} ${answered().temps[n]}`.trim()) : mark;
  }

  function spokenLabel(n) {
    const done = asked().done.find((one) => one.stitch === n);
    const place = `place ${n + 1} of ${scene().stitches.length}`;
    if (done) return `${place}, welded ${done.ago_s < 1 ? "just now" : `${done.ago_s} seconds ago`}`;
    const mark = n === asked().decoy ? ", marked with a question mark" : "";
    const warm = over() ? `, gets ${unbroken(answered().temps[n])}` : "";
    const best = over() && answered().coolest.includes(n) ? ", coolest" : "";
    return `${place}, free${mark}${warm}${best}${n === chosen ? ", chosen" : ""}`;
  }

  function show() {
    const on = asked().n !== undefined && map !== null;
    test.hidden = !on;
    if (!on) return;
    head.textContent = `Question ${asked().n} of ${asked().of}: which stitch next?`;
    hint.textContent = "Black stitches are welded; beside each, how long ago it ended. "
      + "Click the place that comes next: the one that stays coolest for the next 20 seconds.";
    map.show(scene().stitches.map((_, n) => (isDone(n) ? "done" : over()
      ? (answered().coolest.includes(n) ? "next" : n === chosen ? "wrong" : "") : n === chosen ? "now" : "")),
    scene().stitches.map((_, n) => label(n)));
    map.groups.forEach(({ group }, n) => {
      group.classList.toggle("sk-decoy", n === asked().decoy);
      group.setAttribute("aria-label", spokenLabel(n));
      group.setAttribute("role", isDone(n) ? "img" : "button");
      if (isDone(n)) {
        group.removeAttribute("tabindex"); group.removeAttribute("aria-pressed");
      } else {
        group.setAttribute("tabindex", n === at ? 0 : -1);
        group.setAttribute("aria-pressed", n === chosen);
      }
    });
    caption.textContent = over()
      ? `Beside each place: the hottest there, from when you get to it until 20 seconds later. Yellow is hot; the line is the limit, ${degrees(asked().limit_c, model.get("unit"))}.`
      : "Keys: arrows move between the places left, Enter takes one.";
    answer.hidden = over();
    answer.disabled = over();
    answer.classList.toggle("sk-all", chosen >= 0 && Boolean(reason()));
    next.hidden = !over();
    next.textContent = over() && answered().last ? "See your mark" : "Next question";
  }

  function question() {
    if (asked().n === undefined) { show(); return; }
    chosen = -1;
    at = scene().stitches.findIndex((_, n) => !isDone(n));
    begin.hidden = true; end.hidden = true;
    status.textContent = ""; words.replaceChildren();
    canvas.getContext("2d").clearRect(0, 0, canvas.width, canvas.height);
    const name = `why-${asked().seed}-${asked().n}`;
    why.disabled = false;
    why.replaceChildren(htmlNode("legend", {}, "Why not at the place marked ?"),
      ...Object.entries(TOLD.reasons).map(([key, text]) => htmlNode("label", {},
        htmlNode("input", { type: "radio", name, value: key, onchange: () => show() }), text)));
    show();
  }

  async function result() {
    show();
    if (!over()) return;
    why.disabled = true;
    status.textContent = `${answered().marks} of ${answered().full} marks; ${answered().sum} so far.`;
    words.replaceChildren(...answered().words.map((text) => htmlNode("p", {}, text)));
    paints += 1;
    const mine = paints;
    const flat = await inflate(model.get("frames"), scene());
    if (mine === paints && over()) paintHeat(canvas, scene(), flat, model.get("colours"));
    next.focus({ preventScroll: true });
  }

  function final() {
    const now = model.get("final");
    end.hidden = now.full === undefined;
    begin.hidden = !end.hidden || asked().n !== undefined || Boolean(model.get("bar").words);
    if (end.hidden) return;
    test.hidden = true;
    marks.textContent = `${now.marks} / ${now.full}`;
    said.replaceChildren(...now.words.map((text) => htmlNode("p", {}, text)));
  }

  function got(message, buffers) {
    if (!message.card) return;
    const view = buffers[0];
    const url = URL.createObjectURL(new Blob([view.buffer ? view : new Uint8Array(view)], { type: message.kind }));
    urls.push(url);
    htmlNode("a", { href: url, download: message.card }).click();
  }

  root.addEventListener("contextmenu", (event) => { event.preventDefault(); event.stopPropagation(); });
  root.addEventListener("keydown", (event) => {
    if (usedElsewhere(event, root) || !holder.contains(event.target) || over()) return;
    const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
    if (step) move(step);
    else if (event.key === "Enter" || event.key === " ") choose(at);
    else return;
    event.preventDefault(); event.stopPropagation();
  });
  const sized = new ResizeObserver(() => map?.fit(holder.clientWidth));
  sized.observe(holder);
  const heard = [["stitches", fresh], ["asked", question], ["answered", result], ["final", final], ["bar", final], ["unit", show]];
  for (const [name, act] of heard) model.on(`change:${name}`, act);
  model.on("msg:custom", got);
  fresh(); question(); final();
  if (over()) result();
  el.append(root);
  return () => {
    for (const [name, act] of heard) model.off(`change:${name}`, act);
    model.off("msg:custom", got);
    sized.disconnect(); bar.off(); line.off();
    urls.forEach((url) => URL.revokeObjectURL(url));
  };
}

export default { render };
