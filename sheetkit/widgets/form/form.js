// The job's fields in groups to fold.  What Python sets is shown as it is, off a slider's steps
// too; only what the user does goes back.  While Python is at work the last change of a field
// waits, so that a slider drawn quickly is never a queue.

import { Channel } from "../pad/channel.js";
import { htmlNode } from "../elements.js";

class FormView {
  constructor(model, element) {
    this.model = model;
    this.client = `f${Math.random().toString(36).slice(2, 10)}`;
    this.rows = new Map();
    this.waiting = new Map();
    this.sent = new Map(); // field -> number of its last message
    this.channel = new Channel(model, this.client, () => this.offline(true));
    this.lost = htmlNode("div", { class: "skf-lost", role: "alert", hidden: true }, `Not connected, ${AGAIN}.`);
    this.body = htmlNode("div", { class: "skf-body" });
    this.root = htmlNode("div", { class: "skf", role: "group", "aria-label": "Settings of the job" }, this.lost, this.body);
    element.append(this.root);
    this.build();
  }

  offline(lost) { this.lost.hidden = !lost; }

  build() {
    const open = new Set([...this.body.querySelectorAll("details[open]")].map((d) => d.dataset.group));
    const first = !this.body.children.length;
    const focused = document.activeElement?.closest?.("[data-path]")?.dataset.path;
    this.rows.clear();
    this.body.replaceChildren(...this.model.get("groups").map((group) => {
      const isOpen = first ? group.open : open.has(group.name);
      return htmlNode("details", { class: "skf-group", "data-group": group.name, open: isOpen },
        htmlNode("summary", {}, group.name), ...group.entries.map((entry) => this.row(entry)));
    }));
    this.show();
    if (focused) this.rows.get(focused)?.control.focus();
  }

  row(entry) {
    const id = `${this.client}-${entry.path}`;
    const row = { entry, control: null, box: null, range: null };
    const parts = [];
    if (entry.kind === "choice") {
      row.control = htmlNode("select", { id, onchange: () => this.send(entry.path, row.control.value) },
        ...entry.options.map((words, n) => htmlNode("option", { value: n }, words)));
      parts.push(row.control);
    } else {
      this.typed(row, id, parts);
    }
    row.note = htmlNode("span", { class: "skf-note", id: `${id}-note` });
    row.control.setAttribute("aria-describedby", `${id}-note`);
    row.back = htmlNode("button", { type: "button", class: "skf-back", title: "Back to the usual", "aria-label": `${entry.label}: back to the usual`,
      onclick: () => this.send(entry.path, "") }, "usual");
    row.node = htmlNode("div", { class: `skf-row skf-${entry.kind}`, "data-path": entry.path },
      htmlNode("label", { for: id, title: entry.label }, entry.label), htmlNode("div", { class: "skf-control" }, ...parts),
      htmlNode("div", { class: "skf-under" }, row.note), row.back);
    this.rows.set(entry.path, row);
    return row.node;
  }

  typed(row, id, parts) {
    const { entry } = row;
    const commit = () => {
      delete row.box.dataset.dirty;
      const typed = Number(row.box.value.replace(",", "."));
      if (row.range && row.box.value.trim() && Number.isFinite(typed)) {
        // the slider is there at once, beyond its end too
        Object.assign(row.range, { min: Math.min(row.range.min, typed), max: Math.max(row.range.max, typed) });
        row.range.value = typed;
      }
      // no more is taken over than was typed: the box may show fewer digits than there are
      if (row.box.value !== this.shown(entry.path).text) this.send(entry.path, row.box.value);
      else if (this.model.get("answer").refused?.[entry.path]) this.send(entry.path, null);
    };
    const lines = entry.kind === "lines";
    row.box = htmlNode(lines ? "textarea" : "input", {
      id, type: "text", autocomplete: "off", "data-lm-suppress-shortcuts": "true", rows: 3, class: "skf-box", onchange: commit, oninput: () => { row.box.dataset.dirty = "1"; },
      onkeydown: (event) => !lines && event.key === "Enter" && commit(),
    });
    row.control = row.box;
    if (entry.slides) {
      row.range = htmlNode("input", { type: "range", "aria-label": `${entry.label}, slider`, class: "skf-range",
        oninput: () => this.slide(entry.path, row.range.value) });
      parts.push(row.range);
    }
    parts.push(row.box);
    if (entry.picks.length) {
      row.picks = htmlNode("select", { "aria-label": `${entry.label}, as sold`, class: "skf-picks", onchange: () => {
        if (row.picks.value) this.send(entry.path, row.picks.value);
        row.picks.value = "";
      } }, htmlNode("option", { value: "" }, "sold as"), ...entry.picks.map(([words, text]) => htmlNode("option", { value: text }, words)));
      parts.push(row.picks);
    }
    row.unit = htmlNode("span", { class: "skf-unit" });
    parts.push(row.unit);
  }

  shown(path) { return this.model.get("rows")[path] ?? {}; }

  slide(path, value) {
    this.rows.get(path).box.value = value;
    this.send(path, value);
  }

  send(path, text) {
    this.waiting.set(path, text);
    this.next();
  }

  /** Send what waits once Python has dealt with what was sent before. */
  next() {
    if (!this.waiting.size || !this.channel.heard(this.model.get("answer").acks)) return;
    const [path, text] = this.waiting.entries().next().value;
    this.waiting.delete(path);
    this.channel.send({ path, text });
    this.sent.set(path, this.channel.number);
  }

  /** Whether Python has yet to deal with the last change of a field: what it says is older. */
  isAhead(path) {
    const heard = this.model.get("answer").acks?.[this.client] ?? 0;
    return this.waiting.has(path) || (this.sent.get(path) ?? 0) > heard;
  }

  heard() {
    if (this.channel.heard(this.model.get("answer").acks)) this.offline(false);
    this.next();
    this.show();
  }

  show() {
    const { refused = {} } = this.model.get("answer");
    for (const [path, row] of this.rows) {
      const told = this.shown(path);
      const why = refused[path];
      row.node.classList.toggle("skf-refused", Boolean(why));
      row.node.classList.toggle("skf-yours", Boolean(told.given));
      row.note.textContent = why ? `⚠ ${why}` : told.note ?? "";
      row.note.title = why ?? [told.note, told.limits && `can be set: ${told.limits}`].filter(Boolean).join("; ");
      row.note.setAttribute("role", why ? "alert" : "note");
      row.back.hidden = !(told.given && told.usual);
      this.setControl(row, told, why);
    }
  }

  setControl(row, told, why) {
    const { entry } = row;
    if (row.unit) row.unit.textContent = told.unit ?? "";
    for (const node of [row.control, row.range, row.picks]) if (node) node.disabled = Boolean(told.off);
    if (why || row.box?.dataset.dirty || this.isAhead(entry.path)) return;
    if (entry.kind === "choice") {
      row.control.value = String(told.choice);
    } else {
      row.box.value = told.text ?? "";
    }
    if (row.range && told.slider) {
      const [value, min, max, step] = told.slider;
      Object.assign(row.range, { min, max, step });
      row.range.value = value;
      row.range.setAttribute("aria-valuetext", `${told.text} ${told.unit}`);
    }
  }
}

export default {
  render({ model, el }) {
    const view = new FormView(model, el);
    const events = [["change:groups", () => view.build()], ["change:rows", () => view.show()], ["change:answer", () => view.heard()]];
    for (const [name, act] of events) model.on(name, act);
    return () => {
      view.channel.close();
      for (const [name, act] of events) model.off(name, act);
    };
  },
};
