// The lesson: choose an order by clicking stitches, have it judged, see its heat.

import { htmlNode, usedElsewhere } from "../elements.js";
import { connection, save } from "./connection.js";
import { heatPanel } from "./heat_panel.js";
import { hotPlaces } from "./hot_places.js";
import { seamMap } from "./seam_map.js";

function verdictTable(verdict) {
  const worst = Math.max(...verdict.rows.map((row) => row.total_s));
  const heads = ["order", "time for the fill", "of it waiting", "hottest start without any wait",
    "heat off balance"];
  const rows = verdict.rows.map((row) => htmlNode("tr", { class: row.mine ? "sk-mine" : "" },
    htmlNode("th", { scope: "row" }, row.name),
    htmlNode("td", {}, htmlNode("div", { class: "sk-length", style: `width:${(100 * row.total_s) / worst}%` }),
      row.total),
    htmlNode("td", {}, row.waiting), htmlNode("td", {}, row.hottest), htmlNode("td", {}, row.balance)));
  return htmlNode("table", { class: "sk-verdict" },
    htmlNode("thead", {}, htmlNode("tr", {}, ...heads.map((head) => htmlNode("th", { scope: "col" }, head)))),
    htmlNode("tbody", {}, ...rows));
}

function render({ model, el }) {
  const scene = model.get("stitches");
  const count = scene.stitches.length;
  const alarm = htmlNode("div", { class: "sk-alarm", role: "alert", hidden: true });
  const line = connection(model, alarm, `Not connected, ${AGAIN}.`);
  const map = seamMap(scene, { label: "Stitches to choose from" });
  map.svg.setAttribute("role", "group");
  const status = htmlNode("div", { class: "sk-status", "aria-live": "polite" });
  const undo = htmlNode("button", { type: "button", class: "sk-undo", onclick: () => take() }, "Undo");
  const clear = htmlNode("button", { type: "button", class: "sk-clear", onclick: () => set([]) }, "Clear");
  const judge = htmlNode("button", { type: "button", class: "sk-judge", onclick: () => ask() }, "Judge it");
  const result = htmlNode("div", { class: "sk-result", "aria-live": "polite" });
  const heat = heatPanel(model, { label: "Heat of your order" });
  const hot = hotPlaces(model);
  const holder = htmlNode("div", { class: "sk-map sk-plain" }, map.svg);
  const chooser = htmlNode("div", { class: "sk-choose" }, htmlNode("b", {}, "Choose the order"), holder,
    htmlNode("div", { class: "sk-controls" }, undo, clear, judge), status,
    htmlNode("div", { class: "sk-hint" }, "Click the stitches in the order you would weld them. Keys: "
      + "arrows move, Enter takes, Backspace undoes, J judges."));
  const seen = htmlNode("div", { class: "sk-seen", hidden: true }, htmlNode("b", {}, "Its heat"), heat.node);
  const root = htmlNode("div", {
    class: "sk-root sk-lesson", tabindex: -1, role: "group", "aria-label": "Choose an order",
    "data-lm-suppress-shortcuts": "true",
  }, alarm, hot.node, htmlNode("div", { class: "sk-halves" }, chooser, seen), result);
  let at = 0;

  const order = () => model.get("order");

  function set(list) { model.set("order", list); save(model); }

  function add(n) {
    if (order().includes(n)) { status.textContent = `Stitch is taken already, as turn ${order().indexOf(n) + 1}.`; return; }
    set([...order(), n]);
  }

  function take() { if (order().length) set(order().slice(0, -1)); }

  function ask() {
    if (order().length < count) {
      status.textContent = `${count - order().length} to go: an order names every stitch once.`;
      return;
    }
    status.textContent = "Working it out …";
    line.send({ kind: "judge", order: order() });
  }

  function show() {
    const chosen = order();
    map.show(scene.stitches.map((_, n) => (chosen.includes(n) ? "done" : "")),
      scene.stitches.map((_, n) => (chosen.includes(n) ? chosen.indexOf(n) + 1 : "")));
    map.groups.forEach(({ group }, n) => {
      const words = chosen.includes(n) ? `turn ${chosen.indexOf(n) + 1}` : "not chosen";
      group.setAttribute("aria-label", `stitch ${n + 1} of ${count}, ${words}`);
      group.setAttribute("aria-pressed", chosen.includes(n));
    });
    undo.disabled = clear.disabled = !chosen.length;
    judge.classList.toggle("sk-all", chosen.length === count);
    status.textContent = chosen.length === count ? "All chosen. Judge it."
      : `${chosen.length} of ${count} chosen.`;
  }

  function move(step) {
    map.groups[at].group.setAttribute("tabindex", -1);
    at = (at + step + count) % count;
    map.groups[at].group.setAttribute("tabindex", 0);
    map.groups[at].group.focus();
  }

  map.groups.forEach(({ group }, n) => {
    group.setAttribute("role", "button");
    group.setAttribute("tabindex", n === 0 ? 0 : -1);
    group.addEventListener("click", () => { move(n - at); add(n); });
  });

  root.addEventListener("contextmenu", (event) => { event.preventDefault(); event.stopPropagation(); });
  root.addEventListener("keydown", (event) => {
    if (usedElsewhere(event, root)) return;
    const choosing = chooser.contains(event.target) || event.target === root;
    const on = choosing && event.target.tagName !== "BUTTON";
    let used = true;
    if (event.key === "Backspace") take();
    else if (event.key.toLowerCase() === "j") ask();
    else if (on && ["ArrowRight", "ArrowDown"].includes(event.key)) move(1);
    else if (on && ["ArrowLeft", "ArrowUp"].includes(event.key)) move(-1);
    else if (on && (event.key === "Enter" || event.key === " ")) add(at);
    else used = !choosing && heat.key(event);
    if (used) { event.preventDefault(); event.stopPropagation(); }
  });

  function judged() {
    const verdict = model.get("verdict");
    result.replaceChildren();
    seen.hidden = !verdict.rows;
    if (!verdict.rows) return;
    result.append(verdictTable(verdict), htmlNode("p", { class: "sk-words" }, verdict.words));
    status.textContent = "Judged.";
    heat.load(verdict.frame);
  }

  model.on("change:order", show);
  model.on("change:verdict", judged);
  show();
  judged();
  el.append(root);
  return () => {
    model.off("change:order", show); model.off("change:verdict", judged);
    hot.off(); heat.off(); line.off();
  };
}

export default { render };
