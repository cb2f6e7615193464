// What a finished job took: the book's figures stand in the empty boxes, Python judges while one types.

import { Channel } from "../pad/channel.js";
import { htmlNode } from "../elements.js";

const TYPED_MS = 180; // who types on is not interrupted

class LogFormView {
  constructor(model, element) {
    this.model = model;
    this.client = `l${Math.random().toString(36).slice(2, 10)}`;
    this.rows = new Map();
    this.waiting = new Map();
    this.timer = 0;
    this.channel = new Channel(model, this.client, () => { this.lost.hidden = false; });
    this.lost = htmlNode("div", { class: "skl-lost", role: "alert", hidden: true }, `Not connected, ${AGAIN}.`);
    this.heading = htmlNode("h3", { class: "skl-head" });
    this.body = htmlNode("div", { class: "skl-body" });
    this.total = htmlNode("output", { class: "skl-total" });
    this.go = htmlNode("button", { type: "button", class: "skl-go", onclick: () => this.press() }, "Log this job");
    this.said = htmlNode("div", { class: "skl-said", role: "status", "aria-live": "polite" });
    this.root = htmlNode("section", { class: "skl", "aria-label": "Log a finished job" }, this.lost, this.heading, this.body,
      htmlNode("div", { class: "skl-end" }, this.total, this.go), this.said);
    element.append(this.root);
    this.build();
  }

  build() {
    this.rows.clear();
    this.body.replaceChildren(...this.model.get("groups").map((group) => htmlNode("fieldset", { class: "skl-group" },
      htmlNode("legend", {}, group.name), ...group.fields.map((field) => this.row(field)))));
    this.show();
  }

  row({ name, label }) {
    const id = `${this.client}-${name}`;
    const words = ["date", "note"].includes(name);
    const input = htmlNode("input", { id, type: "text", autocomplete: "off", inputmode: words ? "text" : "decimal", "data-field": name,
      "aria-describedby": `${id}-note`, oninput: () => this.typed(name), onblur: () => this.next(),
      onkeydown: (event) => event.key === "Enter" && this.onward(event, name) });
    const unit = htmlNode("span", { class: "skl-unit" });
    const note = htmlNode("span", { class: "skl-note", id: `${id}-note` });
    const node = htmlNode("div", { class: `skl-row skl-${words ? "words" : "number"}` }, htmlNode("label", { for: id }, label), input, unit, note);
    this.rows.set(name, { node, input, unit, note });
    return node;
  }

  /** Enter goes on to the next box; the last one leads to the button. */
  onward(event, name) {
    event.preventDefault();
    const open = [...this.rows].filter(([, row]) => !row.input.disabled).map(([each]) => each);
    const after = open[open.indexOf(name) + 1];
    (after ? this.rows.get(after).input : this.go).focus();
  }

  typed(name) {
    this.waiting.set(name, this.rows.get(name).input.value);
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.next(), TYPED_MS);
  }

  /** Send what was typed; one message a field, always its newest text. */
  next() {
    clearTimeout(this.timer);
    const job = this.model.get("job");
    for (const [name, text] of this.waiting) this.channel.send({ name, text, job });
    this.waiting.clear();
  }

  press() {
    this.next();
    this.channel.send({ press: this.model.get("job") });
  }

  heard() {
    if (this.channel.heard(this.model.get("answer").acks)) this.lost.hidden = true;
    this.show();
  }

  show() {
    const { model } = this;
    const job = model.get("job");
    const rows = model.get("rows");
    const known = Object.keys(rows).length > 0;
    this.heading.textContent = known ? `What it took: ${job}` : "Choose a job to log it";
    this.body.hidden = this.total.parentElement.hidden = !known;
    // what was just typed counts, until Python has heard all of it
    const busy = this.waiting.size > 0 || !this.channel.heard(model.get("answer").acks);
    for (const [name, row] of this.rows) showRow(row, rows[name] ?? {}, busy);
    this.total.textContent = model.get("total");
    this.go.setAttribute("aria-disabled", String(!model.get("ready")));
    const { text, kind } = model.get("said");
    this.said.textContent = text && kind === "fault" ? `⚠ ${text}` : text;
  }

  close() {
    clearTimeout(this.timer);
    this.channel.close();
  }
}

/** Show what Python says of one row; what is being typed in it stays. */
function showRow(row, told, busy) {
  const { text = "", hint = "", unit = "", note = "", fault, remark } = told;
  const wrong = fault || remark;
  if (!busy && row.input.value !== text) row.input.value = text;
  row.input.placeholder = hint;
  row.input.disabled = Boolean(told.off);
  row.input.setAttribute("aria-invalid", String(Boolean(fault)));
  row.unit.textContent = unit;
  row.note.textContent = wrong ? `⚠ ${wrong}` : note;
  row.note.title = row.note.textContent;
  row.node.classList.toggle("skl-wrong", Boolean(fault));
  row.node.classList.toggle("skl-odd", Boolean(remark && !fault));
}

export default {
  render({ model, el }) {
    const view = new LogFormView(model, el);
    const show = () => view.show();
    const events = [["change:groups", () => view.build()], ["change:answer", () => view.heard()],
      ...["job", "rows", "ready", "total", "said"].map((name) => [`change:${name}`, show])];
    for (const [name, act] of events) model.on(name, act);
    return () => {
      view.close();
      for (const [name, act] of events) model.off(name, act);
    };
  },
};
