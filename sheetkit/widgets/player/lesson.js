// The lesson's board: choose an order by clicking stitches, have it judged, see its heat, try again.

import { htmlNode, usedElsewhere } from "../elements.js";
import { CLASS_QUIET_MS, connection, save } from "./connection.js";
import { heatPanel } from "./heat_panel.js";
import { hotPlaces } from "./hot_places.js";
import { progressBar } from "./progress_bar.js";
import { seamMap } from "./seam_map.js";

const HEADS = ["order", "time for the fill", "of it waiting", "hottest start if you never waited", ""];

function triesTable(rows, play) {
  const worst = Math.max(...rows.map((row) => row.total_s));
  const lines = rows.map((row) => htmlNode("tr", { class: row.best ? "sk-mine" : "" },
    htmlNode("th", { scope: "row" }, row.best ? `${row.name}, your best` : row.name),
    htmlNode("td", {}, htmlNode("div", { class: "sk-length", style: `width:${(100 * row.total_s) / worst}%` }), row.total),
    htmlNode("td", {}, row.waiting), htmlNode("td", {}, row.hottest),
    htmlNode("td", {}, htmlNode("button", { type: "button", class: "sk-replay", "aria-label": `Play ${row.name}`,
      onclick: () => play(row) }, "▶ Play"))));
  return htmlNode("div", { class: "sk-scroll", tabindex: 0, role: "group", "aria-label": "Orders tried" },
    htmlNode("table", { class: "sk-verdict" },
      htmlNode("thead", {}, htmlNode("tr", {}, ...HEADS.map((head) => htmlNode(head ? "th" : "td", head ? { scope: "col" } : {}, head)))),
      htmlNode("tbody", {}, ...lines)));
}

function board(model, line, alarm) {
  const scene = model.get("stitches");
  const count = scene.stitches.length;
  const map = seamMap(scene, { label: "Stitches to choose from" });
  map.svg.setAttribute("role", "group");
  const status = htmlNode("div", { class: "sk-status", "aria-live": "polite" });
  const undo = htmlNode("button", { type: "button", class: "sk-undo", onclick: () => take() }, "Undo");
  const clear = htmlNode("button", { type: "button", class: "sk-clear", onclick: () => set([]) }, "Clear");
  const judge = htmlNode("button", { type: "button", class: "sk-judge", onclick: () => ask() }, "Judge it");
  const hint = htmlNode("button", { type: "button", class: "sk-hinted", onclick: () => hinted() }, "Hint");
  const tell = htmlNode("button", { type: "button", class: "sk-tell", hidden: true,
    onclick: () => line.send({ kind: "tell", order: order() }) }, "Tell me");
  const asked = htmlNode("div", { class: "sk-asked", "aria-live": "polite" });
  const words = htmlNode("div", { class: "sk-words", "aria-live": "polite" });
  const tried = htmlNode("div", { class: "sk-result" });
  const planner = htmlNode("button", { type: "button", class: "sk-planner", hidden: true,
    onclick: () => { planner.disabled = true; line.send({ kind: "planner" }); } }, "Show the planner's order");
  const heat = heatPanel(model, { label: "Heat of an order" });
  const hot = hotPlaces(model);
  const holder = htmlNode("div", { class: "sk-map sk-plain" }, map.svg);
  const seenTitle = htmlNode("b", {}, "Its heat");
  const seen = htmlNode("div", { class: "sk-seen", hidden: true }, seenTitle, heat.node);
  const chooser = htmlNode("div", { class: "sk-choose" }, htmlNode("b", {}, "Choose the order"), holder,
    htmlNode("div", { class: "sk-controls" }, undo, clear, hint, tell, judge), asked, status);
  const node = htmlNode("div", {}, alarm, hot.node, htmlNode("div", { class: "sk-halves" }, chooser, seen),
    words, tried, planner,
    htmlNode("div", { class: "sk-hint" }, "Click or touch the stitches in the order you would weld them. Keys: "
      + "arrows move, Enter takes, Backspace undoes, J judges, H gives a hint. The weld shrinks alike in every "
      + "order, and is planished out."));
  let at = 0; let guessing = false; let ringed = -1; let heard = model.get("hint").n ?? 0;

  const order = () => model.get("order");

  function set(list) { ringed = -1; model.set("order", list); save(model); }

  function add(n) {
    if (n < 0) return;
    if (order().includes(n)) { status.textContent = `Stitch is taken already, as turn ${order().indexOf(n) + 1}.`; return; }
    if (guessing) { line.send({ kind: "guess", order: order(), stitch: n }); return; }
    set([...order(), n]);
  }

  function take() { guess(false); if (order().length) set(order().slice(0, -1)); }

  function guess(on) {
    guessing = on;
    tell.hidden = !on;
    chooser.classList.toggle("sk-guessing", on);
    if (!on) asked.textContent = "";
  }

  function hinted() {
    if (guessing) { guess(false); show(); return; }
    if (order().length >= count - 1) { status.textContent = "Only one place is left: nothing to ask."; return; }
    line.send({ kind: "ask", order: order() });
  }

  function ask() {
    if (order().length < count) {
      status.textContent = `${count - order().length} to go: an order names every stitch once.`;
      return;
    }
    guess(false);
    status.textContent = "Working it out …";
    line.send({ kind: "judge", order: order() });
  }

  function show() {
    const chosen = order();
    map.show(scene.stitches.map((_, n) => (chosen.includes(n) ? "done" : n === ringed ? "next" : "")),
      scene.stitches.map((_, n) => (chosen.includes(n) ? chosen.indexOf(n) + 1 : "")));
    map.groups.forEach(({ group }, n) => {
      const said = chosen.includes(n) ? `turn ${chosen.indexOf(n) + 1}` : n === ringed ? "coolest, not chosen" : "not chosen";
      group.setAttribute("aria-label", `stitch ${n + 1} of ${count}, ${said}`);
      group.setAttribute("aria-pressed", chosen.includes(n));
    });
    undo.disabled = clear.disabled = !chosen.length;
    judge.classList.toggle("sk-all", chosen.length === count);
    hint.textContent = guessing ? "No hint" : "Hint";
    status.textContent = chosen.length === count ? "All chosen. Judge it." : `${chosen.length} of ${count} chosen.`;
  }

  function move(step) {
    map.groups[at].group.setAttribute("tabindex", -1);
    at = (at + step + count) % count;
    map.groups[at].group.setAttribute("tabindex", 0);
    map.groups[at].group.focus({ preventScroll: true });
  }

  map.groups.forEach(({ group }, n) => {
    group.setAttribute("role", "button");
    group.setAttribute("tabindex", n === 0 ? 0 : -1);
  });
  map.svg.addEventListener("click", (event) => {
    const n = map.meant(event, (one) => !order().includes(one));
    const found = n < 0 ? map.meant(event) : n;
    if (found < 0) return;
    move(found - at);
    add(found);
  });

  function key(event) {
    const choosing = chooser.contains(event.target) || event.target === node.parentElement;
    const on = choosing && event.target.tagName !== "BUTTON";
    if (event.key === "Backspace") take();
    else if (event.key.toLowerCase() === "j") ask();
    else if (event.key.toLowerCase() === "h") hinted();
    else if (on && ["ArrowRight", "ArrowDown"].includes(event.key)) move(1);
    else if (on && ["ArrowLeft", "ArrowUp"].includes(event.key)) move(-1);
    else if (on && (event.key === "Enter" || event.key === " ")) add(at);
    else return !choosing && heat.key(event);
    return true;
  }

  function judged() {
    const said = model.get("verdict").words ?? [];
    words.replaceChildren(...said.map((one) => htmlNode("p", {}, one)));
    if (said.length) status.textContent = "Judged.";
  }

  function history() {
    const rows = [...model.get("tries"), ...model.get("others")];
    tried.replaceChildren(...(rows.length ? [triesTable(rows, (row) => {
      seenTitle.textContent = `The heat of ${row.name}`;
      line.send({ kind: "play", order: row.order });
    })] : []));
    planner.hidden = !model.get("offers") || model.get("others").length > 0;
    planner.disabled = false;
  }

  function played() {
    const shown = model.get("view");
    seen.hidden = !shown.times_s;
    if (!seen.hidden) heat.load(shown.first ?? 0, true);
  }

  function told() {
    const now = model.get("hint");
    if ((now.n ?? 0) <= heard) { guess(false); return; }
    heard = now.n;
    guess(now.kind === "ask" || now.kind === "wrong");
    asked.textContent = now.text;
    ringed = now.kind === "told" ? now.stitch : -1;
    if (now.kind === "right") { const text = now.text; set([...order(), now.stitch]); asked.textContent = text; }
    show();
  }

  const judging = () => { if (model.get("verdict").words) seenTitle.textContent = "Its heat"; judged(); };
  const sized = new ResizeObserver(() => map.fit(holder.clientWidth));
  sized.observe(holder);
  const told_of = [["order", show], ["verdict", judging], ["tries", history], ["others", history], ["offers", history],
    ["frames", played], ["hint", told]];
  for (const [name, act] of told_of) model.on(`change:${name}`, act);
  show(); judged(); history();
  if (model.get("frames").byteLength) played();
  return {
    node, key,
    off() {
      for (const [name, act] of told_of) model.off(`change:${name}`, act);
      sized.disconnect(); hot.off(); heat.off();
    },
  };
}

function render({ model, el }) {
  const alarm = htmlNode("div", { class: "sk-alarm", role: "alert", hidden: true });
  const line = connection(model, alarm, `Not connected, ${AGAIN}.`, CLASS_QUIET_MS);
  const bar = progressBar(model);
  const root = htmlNode("div", {
    class: "sk-root sk-lesson", tabindex: -1, role: "group", "aria-label": "Choose an order",
    "data-lm-suppress-shortcuts": "true",
  }, bar.node);
  let made = null;
  root.addEventListener("contextmenu", (event) => { event.preventDefault(); event.stopPropagation(); });
  root.addEventListener("keydown", (event) => {
    if (made && !usedElsewhere(event, root) && made.key(event)) { event.preventDefault(); event.stopPropagation(); }
  });

  function show() {
    if (!model.get("stitches").stitches) return;
    made?.off();
    made?.node.remove();
    made = board(model, line, alarm);
    root.append(made.node);
  }
  model.on("change:stitches", show);
  show();
  el.append(root);
  if (!made) line.send({ kind: "here" }, true);
  return () => { model.off("change:stitches", show); made?.off(); bar.off(); line.off(); };
}

export default { render };
