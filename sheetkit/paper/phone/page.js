// The bench page for a phone: where to weld next, when, and what the thermometer changes.

import { clock, spoken } from "../../base/words.js";
import { button, fold, node } from "./elements.js";
import { keypad, readingOf } from "./keypad.js";
import { day, entryName, logForm } from "./log_entry.js";
import { back, fresh, keeping, nextAt, putOff, stageOf, tackDue, tacked, welded } from "./marks.js";
import { reckoner } from "./reckon.js";
import { sounder, waker } from "./signals.js";
import { toldOf } from "./told.js";
import { weldMap } from "./weld_map.js";

const PAGE = JSON.parse(document.getElementById("plan").textContent);
const plan = PAGE.plan;
const told = PAGE.told;
const map = PAGE.map;
const unit = told.degrees;
const kept = keeping(plan, PAGE.key);
const DAY_S = 24 * 3600;
let marks = kept.load();
let called = -1;
let warned = -1;

const head = node("h2", { class: "headline" });
const face = node("div", { class: "countdown", role: "timer", "aria-live": "off" });
const ask = node("p", { class: "ask" });
const heed = node("div", { class: "near" });
const status = node("p", { class: "status", "aria-live": "polite" });
const lasting = node("p", { class: "small" });
const begin = button("begin", "Start tacking", () => tacking());
const ready = button("begin-fill", "The tacks are in: start the fill", () => filling());
const done = button("done", "", () => (at() === "tacks" ? tackIn(marks.tacksDone + 1) : stitchIn()));
const roundDone = button("round", "", () => tackIn(roundEnd()));
const reads = button("reads", "It reads …", () => { pad.node.hidden = !pad.node.hidden; });
const hot = button("hot", "Still hot", () => still());
const undo = button("back", "Back one", () => undone());
const zoom = button("zoom", "", () => change({ ...marks, close: !marks.close }));
const sound = button("sound", "", () => change({ ...marks, sound: !marks.sound }));
const again = button("again", "Start over", () => { sure.hidden = !sure.hidden; });
const sure = node("div", { hidden: true, class: "sure" }, node("p", {}, "Forget every mark on this page?"),
  button("forget", "Yes, forget them", () => { reckon.stop(); sure.hidden = true; calls(); change(fresh(plan)); say(""); }),
  button("keep", "No, keep them", () => { sure.hidden = true; }));
const pad = keypad(unit, (text) => read(text));
const picture = weldMap(map);
const form = logForm(PAGE.log, {
  typed: () => marks.typed, keep: (typed) => { marks = { ...marks, typed }; keep(); }, entry: () => marks.entry,
});
const sides = node("div", { class: "sides" }, ...["left", "right", "top", "bottom"].map((side) =>
  button(`side side-${side}`, side, () => change({ ...marks, front: side }))));
const lines = (texts) => node("ul", {}, ...texts.map((text) => node("li", { dir: "auto" }, text)));
const before = node("div", { class: "first" }, ...told.hot.map((text) => node("p", { class: "alarm", dir: "auto" }, text)),
  node("p", {}, told.first));
const more = node("div", { class: "more" },
  fold("Settings", node("dl", {}, ...told.settings.flatMap(([name, value]) => [node("dt", {}, name), node("dd", { dir: "auto" }, value)])),
    node("p", { class: "small" }, told.origin)),
  fold("What to heed", lines(told.heed)),
  fold("About these waits", lines(told.about)),
  fold("This page", node("p", {}, "Where is the vehicle's front on this map?"), sides, sound, again, sure, lasting));
const root = node("main", {},
  node("h1", { dir: "auto" }, told.title), node("div", { class: "top" }, head, face), ask, heed, before,
  node("div", {}, begin, ready, done, roundDone, node("div", { class: "two" }, reads, hot)),
  status, pad.node, form.node, picture.node, node("div", { class: "two" }, zoom, undo), more);
const signals = sounder(root);
const awake = waker();

const at = () => stageOf(plan, marks);
const tackNow = () => (Date.now() - marks.tackBegan_ms) / 1000;
const now = () => (Date.now() - marks.began_ms) / 1000;
const turn = () => marks.starts.length;
const left = () => (at() === "tacks" ? tackDue(plan, marks, marks.tacksDone) - tackNow() : marks.due[turn()] - now());
const calls = () => { [called, warned] = [-1, -1]; };
const say = (words) => { status.textContent = words; };
const keep = () => { lasting.textContent = kept.save(marks); };
/** Show what to do now from its top: a caution must not lie under the countdown. */
const toTop = () => window.scrollTo(0, 0);
function change(next) { marks = next; keep(); show(); }

const reckon = reckoner(plan, PAGE.sheet, {
  next(found) {
    marks = { ...nextAt(marks, found.start), ratio: found.ratio };
    if (found.reading !== "none") {
      marks.before = found.found;
      say(toldOf(found, { ...asked, start: marks.due[turn()], plan, unit, last: turn() >= plan.order.length }));
    }
    if (left() > 1) calls();
    change(marks);
  },
  all(found) { if (found.due.length === plan.order.length) change({ ...marks, due: found.due }); },
  lost() { say("This browser can't reckon waits anew: they stay as planned. The thermometer decides."); show(); },
});
let asked = {};
function retime(more_ = {}) {
  asked = { now: now(), ...more_ };
  reckon.ask({ starts: marks.starts.slice(), ratio: marks.ratio, before: marks.before, ...asked });
}

/** How many tacks are in when the round under way is. */
const roundEnd = () => map.tacks.filter(({ round }) => round <= map.tacks[marks.tacksDone].round).length;

function tacking() {
  calls();
  change({ ...marks, tackBegan_ms: Date.now() });
  say("");
  toTop();
}

function tackIn(count) {
  marks = tacked(plan, marks, count, tackNow());
  calls();
  if (count >= plan.tackOrder.length) { marks.tacking_s = tackNow(); filling(); return; }
  const [was, next] = [map.tacks[count - 1], map.tacks[count]];
  say(next.round > was.round ? `Round ${was.round} is in: check the fit all round before you go on.` : "");
  change(marks);
  toTop();
}

function filling() {
  calls();
  change({ ...marks, began_ms: Date.now(), starts: [], due: plan.start_s.slice() });
  say("");
  retime();
  toTop();
}

function stitchIn() {
  if (reckon.reading) { say("The reading is still being reckoned with: press again in a moment."); return; }
  calls();
  marks = welded(plan, marks, now());
  pad.clear(); pad.node.hidden = true;
  say("");
  if (at() === "after") ended(); else retime();
  change(marks);
  toTop();
}

function ended() {
  reckon.stop();
  const hours = (seconds) => (seconds > 0 && seconds < DAY_S ? String(Number((seconds / 3600).toFixed(3))) : "");
  marks.ended_ms = Date.now();
  marks.entry ||= entryName((bytes) => crypto.getRandomValues(bytes));
  marks.typed = {
    ...marks.typed, date: day(new Date()), job: marks.typed.job ?? PAGE.log.job,
    tacking_h: hours(marks.tacking_s), welding_h: hours(now()),
  };
}

function undone() {
  calls();
  if (at() === "tacks") { change({ ...marks, tacksDone: Math.max(0, marks.tacksDone - 1) }); return; }
  marks = back(marks);
  change(marks);
  retime();
  say(`Back at ${map.stitches[turn()].name}.`);
}

function still() {
  if (pad.typed()) { read(); return; }
  calls();
  change(putOff(marks, now(), plan.thermometer.touchAgain_s));
  say("Wait 15 s more, then measure again. A reading tells how long: press It reads.");
}

function read(text = pad.node.querySelector("input").value) {
  const { celsius, fault } = readingOf(text, unit, plan.thermometer);
  if (fault) { say(fault); return; }
  if (celsius > plan.limit_c) marks = putOff(marks, now(), plan.thermometer.touchAgain_s);
  pad.clear(); pad.node.hidden = true;
  say("Reckoning …");
  retime({ measured: celsius });
  change(marks);
  toTop();
}

const headline = (where, welds, n) => {
  if (where === "before") return "Before the first arc";
  if (where === "after") return `All ${plan.order.length} welds are in`;
  const { patch, round } = welds[n];
  const parts = [`${where === "fill" ? told.weld : "Tack"} ${n + 1} of ${welds.length}`];
  if (where === "tacks") parts.push(`round ${round}`);
  if (map.patches > 1) parts.push(`patch ${patch}`);
  return parts.map((part) => part.replaceAll(" ", "\u00a0")).join(", ");
};

function showParts(where) {
  const on = where === "tacks" || where === "fill";
  const shown = {
    [where]: true, on, tacked: where === "before", fresh: where === "before" && map.tacks.length > 0,
    undo: Boolean(where === "tacks" ? marks.tacksDone : turn()),
  };
  for (const [part, when] of [
    [face, "on"], [ask, "on"], [heed, "on"], [done, "on"], [reads, "fill"], [hot, "fill"], [before, "before"],
    [begin, "fresh"], [ready, "tacked"], [roundDone, "tacks"], [undo, "undo"], [form.node, "after"],
  ]) part.hidden = !shown[when];
  if (where !== "fill") pad.node.hidden = true;
  awake(on);
}

function showSteps(where, weld) {
  const fill = where === "fill";
  done.textContent = fill ? `${told.weld} ${weld.name} is in` : `${weld.name} is in`;
  ask.textContent = fill ? told.ask : "Tack it, then look at the gap.";
  heed.replaceChildren(...weld.near.map((words) => node("p", { class: "alarm", dir: "auto" }, words)));
  if (!fill) roundDone.textContent = `All of round ${weld.round} is in`;
}

function show() {
  const where = at(); const side = marks.front || map.front;
  const early = (where === "before" || where === "tacks") && map.tacks.length > 0;
  const welds = early ? map.tacks : map.stitches;
  const n = early ? marks.tacksDone : turn();
  showParts(where);
  head.textContent = headline(where, welds, n);
  if (where === "tacks" || where === "fill") showSteps(where, welds[n]);
  picture.show(welds, n, { close: marks.close && n < welds.length, side, words: `Map: ${head.textContent}` });
  zoom.textContent = marks.close ? "Whole map" : "Close-up";
  sound.textContent = `Sound is ${marks.sound ? "on: turn it off" : "off: turn it on"}`;
  for (const one of sides.children) one.setAttribute("aria-pressed", String(one.textContent === side));
  form.show();
  tick();
}

/** A clock that ran on for a day while nobody welded is set to the next start: the sheet is cold. */
function woken() {
  if (at() !== "fill" || !Number.isFinite(marks.due[turn()]) || now() < marks.due[turn()] + DAY_S) return;
  marks = { ...marks, began_ms: Date.now() - 1000 * marks.due[turn()] };
  called = turn();
  keep();
  say("The clock had run on for more than a day. It is set to the next start.");
}

function faced(where, rest, open) {
  if (rest === Infinity) return "By thermometer";
  if (open) return where === "tacks" ? "Tack it now" : "Measure it now";
  return rest <= 0 ? "Reckoning …" : `Wait ${clock(Math.ceil(rest))}`;
}

/** A tone before a wait is over, three when it is, once each. */
function signal(n, rest, open) {
  if (!open && rest <= 10 && rest > 0 && warned !== n) {
    warned = n;
    if (marks.sound && rest > 5) signals.sound(1);
  }
  if (open && called !== n) {
    called = n;
    if (marks.sound) signals.sound(3);
  }
}

function tick() {
  const where = at();
  if (where === "after") {
    const gone = (Date.now() - marks.ended_ms) / 60_000;
    say(gone < told.watch[1] ? `${told.watched} ${Math.floor(gone)} min gone.` : "");
  }
  if (where !== "tacks" && where !== "fill") return;
  woken();
  const rest = left(); const open = rest <= 0 && !reckon.pending;
  root.classList.toggle("open", open);
  face.textContent = faced(where, rest, open);
  signal(where === "tacks" ? marks.tacksDone : plan.tackOrder.length + turn(), rest, open);
}

document.body.prepend(root);
pad.node.hidden = true;
document.addEventListener("pointerdown", () => signals.touched());
if (at() === "fill") { say(`Marks are as you left them: ${spoken(Math.max(0, now()))} since the tacks.`); retime(); }
show();
setInterval(tick, 200);
window.addEventListener("pagehide", keep);
