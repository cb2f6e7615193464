// The folder's jobs as pictures to choose from, and the bar of the one that is open.

import { htmlNode, svgNode } from "../elements.js";

const ASKED = { new: "Name of the new job", save_as: "Name of the copy", rename: "New name" };
const DONE = { new: "Begin it", save_as: "Go on in the copy", rename: "Rename" };

class ShelfView {
  constructor(model, element) {
    this.model = model;
    this.asking = "";
    this.bar = htmlNode("div", { class: "skj-bar", role: "group", "aria-label": "Jobs" });
    this.word = htmlNode("div", { class: "skj-word", role: "status", "aria-live": "polite" });
    this.form = htmlNode("div", { class: "skj-ask" });
    this.list = htmlNode("ul", { class: "skj-list", "aria-label": "Jobs in this folder, the last one first" });
    this.root = htmlNode("section", { class: "skj", "aria-label": "Jobs" }, this.bar, this.form, this.word, this.list);
    element.append(this.root);
    this.show();
  }

  button(text, act, extra = {}) {
    return htmlNode("button", { type: "button", onclick: act, ...extra }, text);
  }

  ask(what) {
    this.asking = this.asking === what ? "" : what;
    this.show();
    this.form.querySelector("input")?.select();
    this.form.querySelector("input")?.focus();
  }

  send(what, name = "") {
    this.model.send({ do: what, name });
  }

  show() {
    const { model } = this;
    const [at, listing, kept] = ["at", "listing", "kept"].map((name) => model.get(name));
    const title = at ? htmlNode("b", { class: "skj-at", title: at }, at) : htmlNode("b", { class: "skj-at" }, `Jobs in ${model.get("folder")}`);
    const parts = [title, this.button("New", () => this.ask("new"), { "aria-expanded": String(this.asking === "new") })];
    if (at) {
      parts.push(this.button(listing ? "Back to it" : "Open", () => this.send(listing ? "back" : "list")));
      if (kept) {
        parts.push(this.button("Save as", () => this.ask("save_as"), { "aria-expanded": String(this.asking === "save_as") }),
          this.button("Rename", () => this.ask("rename"), { "aria-expanded": String(this.asking === "rename") }),
          this.button("Other side of the car", () => this.send("other_side"), { title: "Go on in this job mirrored, bends and all" }));
      }
    }
    this.bar.replaceChildren(...parts);
    this.showForm();
    const { text } = model.get("told");
    this.word.textContent = text;
    this.list.hidden = !listing;
    if (listing) this.showList();
  }

  showForm() {
    const offered = this.model.get("offered");
    const what = this.asking || (offered ? "new" : "");
    if (this.form.dataset.what === `${what} ${offered}`) return;
    this.form.dataset.what = `${what} ${offered}`;
    if (!what) return this.form.replaceChildren();
    const done = () => {
      this.asking = "";
      this.send(what, input.value);
    };
    const input = htmlNode("input", { type: "text", maxlength: 80, value: what === "new" ? offered : this.model.get("at"),
      "aria-label": ASKED[what], placeholder: "left wing", onkeydown: (event) => event.key === "Enter" && done() });
    const words = offered && !this.asking ? `${offered} isn't here yet.` : `${ASKED[what]}:`;
    this.form.replaceChildren(htmlNode("span", {}, words), input, this.button(DONE[what], done, { class: "skj-go" }));
  }

  showList() {
    const jobs = this.model.get("jobs");
    this.list.replaceChildren(...(jobs.length ? jobs.map((job) => this.item(job)) : [htmlNode("li", { class: "skj-none" },
      "No job in this folder yet. Press New, give it a name, and draw round the rust.")]));
  }

  item(job) {
    const { width, height } = TOLD;
    const picture = svgNode("svg", { viewBox: `0 0 ${width} ${height}`, width, height, "aria-hidden": "true" },
      ...job.marks.map((m) => svgNode("path", { d: m.d, fill: m.fill, stroke: m.line, "stroke-dasharray": m.dashes || "none", "stroke-width": 1.4 })));
    const drawn = job.shapes ? `${job.shapes} shape${job.shapes === 1 ? "" : "s"}` : "nothing drawn yet";
    const when = job.changed_s ? new Date(job.changed_s * 1000).toLocaleString([], { dateStyle: "medium", timeStyle: "short" }) : "";
    const text = htmlNode("span", { class: "skj-text" }, htmlNode("b", {}, job.title || job.name),
      htmlNode("small", {}, job.title && job.title !== job.name ? `${job.name}; ${drawn}` : drawn), htmlNode("small", {}, when));
    if (job.why) text.append(htmlNode("small", { class: "skj-why" }, `⚠ ${job.why}`));
    const open = this.button("", () => this.send("open", job.name), { class: "skj-open", "aria-label": `Open ${job.title || job.name}`, disabled: Boolean(job.why) });
    open.append(picture, text);
    return htmlNode("li", {}, open, this.button("Duplicate", () => this.send("duplicate", job.name), { "aria-label": `Duplicate ${job.name}` }));
  }
}

export default {
  render({ model, el }) {
    const view = new ShelfView(model, el);
    const act = () => view.show();
    const names = ["jobs", "folder", "at", "kept", "listing", "offered", "told"].map((name) => `change:${name}`);
    for (const name of names) model.on(name, act);
    return () => {
      for (const name of names) model.off(name, act);
    };
  },
};
