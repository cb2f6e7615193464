// A panel's cross-section as rows: a flat piece, a bend, a flat piece.  Every change is sent whole;
// what Python refuses stays as it was typed, with the reason at its row.

import { Channel } from "../pad/channel.js";
import { htmlNode } from "../elements.js";

const FIELDS = "input, select, button";

class EditorView {
  constructor(model, element) {
    this.model = model;
    this.client = `e${Math.random().toString(36).slice(2, 10)}`;
    this.channel = new Channel(model, this.client, () => this.offline(true));
    this.lost = htmlNode("div", { class: "skq-lost", role: "alert", hidden: true }, `Not connected, ${AGAIN}.`);
    this.rows = htmlNode("div", { class: "skq-rows" });
    this.word = htmlNode("p", { class: "skq-word-line", role: "status" });
    this.picture = htmlNode("div", { class: "skq-section" });
    this.root = htmlNode("div", { class: "skq skq-editor", role: "group", "aria-label": "Cross-section of the panel" }, this.lost, this.rows, this.word, this.picture);
    element.append(this.root);
    this.refresh(true);
  }

  offline(lost) { this.lost.hidden = !lost; }

  get told() { return this.model.get("told"); }

  send(message) { this.channel.send(message); }

  /** Every row as it stands in the page now. */
  typed() {
    const value = (name) => this.rows.querySelector(`[data-name="${name}"]`)?.value ?? "";
    const shown = this.told.shown;
    return {
      flats: shown.flats.map((_, n) => ({ length: value(`flats.${n}.length`), position: value(`flats.${n}.position`),
        closed: this.rows.querySelector(`[data-name="flats.${n}.closed"]`).checked })),
      bends: shown.bends.map((_, n) => ({ angle: value(`bends.${n}.angle`), radius: value(`bends.${n}.radius`), toward: value(`bends.${n}.toward`) })),
      measured: value("measured"), run: value("run"), start: value("start"), k: value("k"),
    };
  }

  changed() {
    this.send({ type: "profile", profile: this.typed() });
  }

  field(name, label, control) {
    const why = this.told.refused?.[name];
    const id = `${this.client}-${name}`;
    control.id = id;
    control.dataset.name = name;
    control.addEventListener("change", () => this.changed());
    const parts = [htmlNode("label", { for: id }, label), control];
    if (why) {
      control.setAttribute("aria-invalid", "true");
      control.setAttribute("aria-describedby", `${id}-why`);
      parts.push(htmlNode("span", { class: "skq-why", id: `${id}-why`, role: "alert" }, `⚠ ${why}`));
    }
    return htmlNode("div", { class: `skq-field${why ? " skq-refused" : ""}` }, ...parts);
  }

  text(name, label, value) {
    return this.field(name, label, htmlNode("input", { type: "text", autocomplete: "off", value, maxlength: 40, class: "skq-short" }));
  }

  choice(name, label, value, options) {
    return this.field(name, label, htmlNode("select", {},
      ...options.map(([key, words]) => htmlNode("option", { value: key, selected: key === value }, words))));
  }

  refresh(first = false) {
    if (!first && this.channel.heard(this.told.acks)) this.offline(false);
    const key = JSON.stringify([this.told.shown, this.told.refused]);
    this.word.textContent = this.told.word ?? "";
    if (this.picture.dataset.key !== this.told.picture) {
      this.picture.dataset.key = this.told.picture;
      this.picture.innerHTML = this.told.picture; // made by Python, everything typed escaped there
    }
    if (key === this.key) return;
    this.key = key;
    const had = this.rows.contains(document.activeElement) ? document.activeElement : null;
    const at = had && [...this.rows.querySelectorAll(FIELDS)].indexOf(had);
    const name = had?.dataset.name;
    this.rows.replaceChildren(...(this.told.shown ? this.filled() : this.empty()));
    const now = [...this.rows.querySelectorAll(FIELDS)];
    if (had) (now.find((node) => name && node.dataset.name === name) ?? now[Math.min(at, now.length - 1)])?.focus({ preventScroll: true });
  }

  empty() {
    return [htmlNode("p", {}, "This panel is drawn flat. A sill, a flange, a lip or a box is drawn unrolled: give its cross-section first, then draw the rust on the unrolled sheet."),
      ...this.told.starts.map(([name, words]) => htmlNode("button", { type: "button", onclick: () => this.send({ type: "start", name }) }, words))];
  }

  filled() {
    const { shown, choices } = this.told;
    const made = [];
    shown.flats.forEach((flat, n) => {
      made.push(htmlNode("div", { class: "skq-row skq-flat", role: "group", "aria-label": `Flat ${n + 1}` }, htmlNode("b", {}, `Flat ${n + 1}`),
        this.text(`flats.${n}.length`, shown.length_label, flat.length), this.choice(`flats.${n}.position`, "on the car it is", flat.position, choices.position),
        this.field(`flats.${n}.closed`, "closed behind", htmlNode("input", { type: "checkbox", checked: flat.closed }))));
      const bend = shown.bends[n];
      if (!bend) return;
      made.push(htmlNode("div", { class: "skq-row skq-bend-row", role: "group", "aria-label": `Bend ${n + 1}` }, htmlNode("b", {}, `Bend ${n + 1}`),
        this.text(`bends.${n}.angle`, "from flat, degrees", bend.angle), this.text(`bends.${n}.radius`, shown.radius_label, bend.radius),
        this.choice(`bends.${n}.toward`, "bent", bend.toward, choices.toward),
        htmlNode("button", { type: "button", class: "skq-less", "aria-label": `Take bend ${n + 1} away`, title: "Take this bend and the flat after it away",
          onclick: () => this.send({ type: "less", n }) }, "Remove")));
    });
    made.push(htmlNode("div", { class: "skq-row" }, htmlNode("button", { type: "button", class: "skq-more", onclick: () => this.send({ type: "more" }) }, "Add a bend"),
      htmlNode("button", { type: "button", onclick: () => this.send({ type: "flat" }) }, "It is flat after all")));
    made.push(htmlNode("div", { class: "skq-row" }, this.choice("measured", "lengths are measured", shown.measured, choices.measured),
      this.choice("run", "bend lines on the drawing", shown.run, choices.run), this.text("start", shown.start_label, shown.start), this.text("k", "K from a test strip, if you have it", shown.k)));
    return made;
  }
}

export default {
  render({ model, el }) {
    const view = new EditorView(model, el);
    const heard = () => view.refresh();
    model.on("change:told", heard);
    return () => {
      view.channel.close();
      model.off("change:told", heard);
    };
  },
};
