// The jobs of a book as a table with small pictures; one row is chosen.

import { htmlNode, svgNode } from "../elements.js";

const STEPS = { ArrowDown: 1, ArrowUp: -1 };

class TableView {
  constructor(model, element) {
    this.model = model;
    this.head = htmlNode("tr");
    this.body = htmlNode("tbody");
    this.told = htmlNode("div", { class: "skb-told", role: "status", "aria-live": "polite" });
    this.table = htmlNode("table", { class: "skb-jobs", onkeydown: (event) => this.key(event) }, htmlNode("caption", {}, "Jobs of this book"),
      htmlNode("thead", {}, this.head), this.body);
    element.append(htmlNode("section", { class: "skb-book", "aria-label": "Jobs of this book" }, this.table, this.told));
    this.show();
  }

  key(event) {
    const buttons = [...this.body.querySelectorAll(".skb-pick")];
    const at = buttons.indexOf(event.target);
    if (at < 0) return;
    const end = { Home: 0, End: buttons.length - 1 }[event.key];
    const to = end ?? at + (STEPS[event.key] ?? 0);
    if (to === at || !buttons[to]) return;
    event.preventDefault();
    event.stopPropagation();
    buttons[to].focus();
  }

  show() {
    const focused = this.body.contains(document.activeElement) ? document.activeElement.dataset.key : "";
    const heads = this.model.get("heads");
    this.head.replaceChildren(htmlNode("th", { scope: "col" }, "Job"), ...heads.map((head) => htmlNode("th", { scope: "col" }, head)),
      htmlNode("td"));
    const rows = this.model.get("rows");
    this.body.replaceChildren(...(rows.length ? rows.map((row) => this.row(row, heads)) : [htmlNode("tr", {}, htmlNode("td", { colspan: heads.length + 2 },
      "No job in this folder yet."))]));
    this.told.textContent = this.model.get("told").text;
    if (focused) this.body.querySelector(`[data-key="${focused}"]`)?.focus();
  }

  row(row, heads) {
    const { width, height } = TOLD;
    const is = row.name === this.model.get("chosen");
    const send = (what) => () => this.model.send({ do: what, name: row.name });
    const picture = svgNode("svg", { viewBox: `0 0 ${width} ${height}`, width: 60, height: 42, "aria-hidden": "true" },
      ...row.marks.map((m) => svgNode("path", { d: m.d, fill: m.fill, stroke: m.line, "stroke-dasharray": m.dashes || "none", "stroke-width": 1.6 })));
    const pick = htmlNode("button", { type: "button", class: "skb-pick", "data-key": `pick ${row.n}`, "aria-pressed": String(is), onclick: send("choose") },
      picture, htmlNode("span", {}, htmlNode("b", {}, row.title || row.name), row.title ? htmlNode("small", {}, row.name) : ""));
    const cells = row.why ? [htmlNode("td", { colspan: heads.length, class: "skb-why" }, `⚠ ${row.why}`)]
      : row.cells.map((text, n) => htmlNode("td", { "data-head": heads[n], class: n ? "skb-figure" : "" }, text));
    const open = htmlNode("button", { type: "button", class: "skb-open", "data-key": `open ${row.n}`, onclick: send("open"), "aria-label": `Open ${row.title || row.name}` }, "Open");
    return htmlNode("tr", { class: is ? "skb-chosen" : "" }, htmlNode("th", { scope: "row" }, pick), ...cells, htmlNode("td", { class: "skb-act" }, open));
  }
}

export default {
  render({ model, el }) {
    const view = new TableView(model, el);
    const act = () => view.show();
    const names = ["rows", "chosen", "heads", "told"].map((name) => `change:${name}`);
    for (const name of names) model.on(name, act);
    return () => {
      for (const name of names) model.off(name, act);
    };
  },
};
