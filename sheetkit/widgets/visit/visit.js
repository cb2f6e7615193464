// Who draws: a box for a name before the pad, a bar above it afterwards.  The page says every
// few seconds that it is still open; a tab that is loaded again goes on under its name.

import { htmlNode } from "../elements.js";

const KEPT = "sheetkit visitor";
const HERE_MS = 15_000;

/** What this tab keeps for itself: a word of its own, and its visitor's name. */
function kept() {
  try {
    const told = JSON.parse(sessionStorage.getItem(KEPT) ?? "{}");
    if (typeof told.tab === "string") return { name: "", ...told };
  } catch { /* a page that may keep nothing */ }
  return { tab: Array.from(crypto.getRandomValues(new Uint32Array(3)), (n) => n.toString(36)).join(""), name: "" };
}

function keep(told) {
  try {
    sessionStorage.setItem(KEPT, JSON.stringify(told));
  } catch { /* it asks for the name again after a reload */ }
}

class VisitView {
  constructor(model, element) {
    this.model = model;
    this.own = kept();
    this.input = htmlNode("input", { type: "text", id: `skv-${this.own.tab}`, maxlength: TOLD.most_letters, autocomplete: "off",
      placeholder: "first name", onkeydown: (event) => event.key === "Enter" && this.enter() });
    this.go = this.button("Begin", () => this.enter(), { class: "skv-go" });
    this.look = this.button("Look on", () => this.send("look", this.input.value));
    this.word = htmlNode("div", { class: "skv-word", role: "status", "aria-live": "polite" });
    this.ask = htmlNode("div", { class: "skv-row" }, htmlNode("label", { for: this.input.id }, "Your name"), this.input, this.go, this.look);
    this.who = htmlNode("b", { class: "skv-who" });
    this.refresh = this.button("Show the latest", () => this.send("refresh"));
    this.other = this.button("Another name", () => this.send("leave"));
    this.bar = htmlNode("div", { class: "skv-row" }, this.who, this.refresh, this.other);
    element.append(htmlNode("section", { class: "skv", "aria-label": "Your name" }, this.ask, this.bar, this.word));
    this.input.value = this.own.name;
    this.timer = setInterval(() => this.here(), HERE_MS);
    this.onSeen = () => document.visibilityState === "visible" && this.here();
    document.addEventListener("visibilitychange", this.onSeen);
    this.show();
    if (this.own.name && model.get("phase") === "ask") this.enter();
  }

  button(text, act, extra = {}) {
    return htmlNode("button", { type: "button", onclick: act, ...extra }, text);
  }

  send(what, name = "") {
    this.model.send({ do: what, name, tab: this.own.tab });
  }

  enter() {
    this.word.textContent = "One moment …";
    this.send("enter", this.input.value);
  }

  here() {
    if (this.model.get("phase") === "in") this.send("here");
  }

  show() {
    const { model } = this;
    const [phase, name] = [model.get("phase"), model.get("name")];
    const asks = phase === "ask";
    const had = !this.bar.hidden && this.bar.contains(document.activeElement);
    this.ask.hidden = !asks;
    this.bar.hidden = asks;
    this.look.hidden = !model.get("taken") || !model.get("looks");
    this.refresh.hidden = phase !== "looking";
    this.who.textContent = phase === "looking" ? `You look on at ${name}` : `${model.get("doing")} ${name}`;
    this.word.textContent = model.get("told").text;
    if (!asks) {
      this.own.name = phase === "in" ? name : "";
      keep(this.own);
    } else if (had) {
      this.own.name = "";
      keep(this.own);
      this.input.select();
      this.input.focus();
    }
  }

  close() {
    clearInterval(this.timer);
    document.removeEventListener("visibilitychange", this.onSeen);
  }
}

export default {
  render({ model, el }) {
    const view = new VisitView(model, el);
    const act = () => view.show();
    const names = ["phase", "name", "taken", "told"].map((name) => `change:${name}`);
    for (const name of names) model.on(name, act);
    return () => {
      view.close();
      for (const name of names) model.off(name, act);
    };
  },
};
