// A panel's cross-section as rows: a flat piece, a bend, a flat piece.  Every change is sent whole.
// Rows stay as long as there are as many of them: what is being typed is never taken away by an
// answer to what was typed before.  What Python refuses stays as it was typed, with the reason.

import { Channel } from "../pad/channel.js";
import { htmlNode } from "../elements.js";

class EditorView {
  constructor(model, element) {
    this.model = model;
    this.client = `e${Math.random().toString(36).slice(2, 10)}`;
    this.fields = new Map(); // name -> its control and where its fault is told
    this.typing = new Set(); // names of the boxes typed in since they were last sent
    this.channel = new Channel(model, this.client, () => this.offline(true));
    this.lost = htmlNode("div", { class: "skq-lost", role: "alert", hidden: true }, `Not connected, ${AGAIN}.`);
    this.rows = htmlNode("div", { class: "skq-rows" });
    this.contour = this.contourBox();
    this.word = htmlNode("p", { class: "skq-word-line", role: "status" });
    this.picture = htmlNode("div", { class: "skq-section" });
    this.root = htmlNode("div", { class: "skq skq-editor", role: "group", "aria-label": "Cross-section of the panel" }, this.lost, this.rows, this.contour.node, this.word, this.picture);
    element.append(this.root);
    this.refresh();
  }

  offline(lost) { this.lost.hidden = !lost; }

  get told() { return this.model.get("told"); }

  send(message) { this.channel.send(message); }

  value(name) {
    const control = this.fields.get(name)?.control;
    return control?.type === "checkbox" ? control.checked : control?.value ?? "";
  }

  /** Every row as it stands in the page now. */
  typed() {
    const { flats, bends, strips } = this.told.shown;
    const of = (names, prefix) => Object.fromEntries(names.map((name) => [name, this.value(`${prefix}${name}`)]));
    return {
      flats: flats.map((_, n) => of(["length", "position", "closed"], `flats.${n}.`)),
      bends: bends.map((_, n) => of(["angle", "radius", "toward"], `bends.${n}.`)),
      strips: strips.map((strip, n) => of(Object.keys(strip), `strips.${n}.`)),
      crown: of(["curved", "over", "rise"], "crown."),
      ...of(["measured", "run", "start", "k"], ""),
    };
  }

  changed(name) {
    this.typing.delete(name);
    this.send({ type: "profile", profile: this.typed() });
  }

  field(name, label, control) {
    const id = `${this.client}-${name}`;
    control.id = id;
    control.dataset.name = name;
    control.addEventListener("input", () => this.typing.add(name));
    control.addEventListener("change", () => this.changed(name));
    control.addEventListener("blur", () => this.typing.delete(name)); // typed back to what it was
    const why = htmlNode("span", { class: "skq-why", id: `${id}-why`, role: "alert", hidden: true });
    const node = htmlNode("div", { class: "skq-field" }, htmlNode("label", { for: id }, label), control, why);
    this.fields.set(name, { control, why, node });
    return node;
  }

  text(name, label) {
    return this.field(name, label, htmlNode("input", { type: "text", autocomplete: "off", maxlength: 40, class: "skq-short" }));
  }

  choice(name, label, options) {
    return this.field(name, label, htmlNode("select", {}, ...options.map(([key, words]) => htmlNode("option", { value: key }, words))));
  }

  /** Where a contour's points are typed, or pasted; it stays whatever becomes of the rows. */
  contourBox() {
    const text = htmlNode("textarea", { id: `${this.client}-contour`, rows: 6, class: "skq-contour", autocomplete: "off", "data-lm-suppress-shortcuts": "true" });
    const label = htmlNode("label", { for: text.id });
    const word = htmlNode("p", { role: "status", class: "skq-traced" });
    const node = htmlNode("details", { class: "skq-details" }, htmlNode("summary", {}, "From a contour trace"), label, text,
      htmlNode("button", { type: "button", onclick: () => this.send({ type: "trace", text: text.value }) }, "Fit flats and bends to it"), word);
    return { node, label, word };
  }

  refresh() {
    const { told } = this;
    this.contour.label.textContent = `Press a contour gauge on the face, lay it on squared paper with the sheet below it, and read off points from left to right: x and y, ${told.trace.unit}, a pair on each line, at least 8, more of them in the bends.`;
    this.contour.word.textContent = told.trace.word;
    const isHeard = this.channel.heard(told.acks);
    if (isHeard) this.offline(false);
    this.word.textContent = told.word ?? "";
    if (this.picture.dataset.key !== told.picture) {
      this.picture.dataset.key = told.picture;
      this.picture.innerHTML = told.picture; // made by Python, everything typed escaped there
    }
    const { shown, choices, starts } = told;
    const key = JSON.stringify(shown ? [shown.flats.length, shown.bends.length, shown.strips.length, shown.crown.curved, shown.unit, choices] : starts);
    if (key !== this.key) {
      this.key = key;
      this.rebuild(shown);
    }
    if (isHeard && shown) this.follow(shown, told.refused ?? {});
  }

  /** Make the rows anew: there are more or fewer of them, or they speak of another unit. */
  rebuild(shown) {
    const had = this.rows.contains(document.activeElement);
    const name = had && document.activeElement.dataset.name;
    this.fields.clear();
    this.typing.clear();
    this.rows.replaceChildren(...(shown ? this.filled(shown) : this.empty()));
    if (!had) return;
    const next = this.fields.get(name)?.control ?? this.rows.querySelector(".skq-more") ?? this.rows.querySelector("button");
    next?.focus({ preventScroll: true });
  }

  /** Bring the rows in line with what Python knows, but for a box that is being typed in. */
  follow(shown, refused) {
    for (const [name, { control, why, node }] of this.fields) {
      const value = name.split(".").reduce((part, step) => part[step], shown);
      if (!this.typing.has(name)) {
        if (control.type === "checkbox") control.checked = value;
        else control.value = value;
      }
      const words = refused[name];
      node.classList.toggle("skq-refused", Boolean(words));
      for (const [mark, text] of [["aria-invalid", "true"], ["aria-describedby", why.id]]) {
        if (words) control.setAttribute(mark, text);
        else control.removeAttribute(mark);
      }
      why.hidden = !words;
      why.textContent = words ? `⚠ ${words}` : "";
    }
  }

  empty() {
    return [htmlNode("p", {}, "This panel is drawn flat. A sill, a flange, a lip or a box is drawn unrolled: give its cross-section first, then draw the rust on the unrolled sheet."),
      ...this.told.starts.map(([name, words]) => htmlNode("button", { type: "button", onclick: () => this.send({ type: "start", name }) }, words))];
  }

  filled(shown) {
    const { choices } = this.told;
    const made = [];
    shown.flats.forEach((_, n) => {
      made.push(htmlNode("div", { class: "skq-row skq-flat", role: "group", "aria-label": `Flat ${n + 1}` }, htmlNode("b", {}, `Flat ${n + 1}`),
        this.text(`flats.${n}.length`, shown.length_label), this.choice(`flats.${n}.position`, "on the car it is", choices.position),
        this.field(`flats.${n}.closed`, "closed behind", htmlNode("input", { type: "checkbox" }))));
      if (n >= shown.bends.length) return;
      made.push(htmlNode("div", { class: "skq-row skq-bend-row", role: "group", "aria-label": `Bend ${n + 1}` }, htmlNode("b", {}, `Bend ${n + 1}`),
        this.text(`bends.${n}.angle`, "from flat, degrees"), this.text(`bends.${n}.radius`, shown.radius_label),
        this.choice(`bends.${n}.toward`, "bent", choices.toward),
        htmlNode("button", { type: "button", class: "skq-less", "aria-label": `Take bend ${n + 1} away`, title: "Take this bend and the flat after it away",
          onclick: () => this.send({ type: "less", n }) }, "Remove")));
    });
    made.push(htmlNode("div", { class: "skq-row" }, htmlNode("button", { type: "button", class: "skq-more", onclick: () => this.send({ type: "more" }) }, "Add a bend"),
      htmlNode("button", { type: "button", onclick: () => this.send({ type: "flat" }) }, "It is flat after all")));
    made.push(htmlNode("div", { class: "skq-row" }, this.choice("measured", "lengths are measured", choices.measured),
      this.choice("run", "bend lines on the drawing", choices.run), this.text("start", shown.start_label), this.text("k", "K, if you know it")));
    made.push(htmlNode("div", { class: "skq-row" }, this.field("crown.curved", "it curves the other way too, along its bends", htmlNode("input", { type: "checkbox" })),
      ...(shown.crown.curved ? [this.text("crown.over", `straight edge along the bends, ${shown.unit}`), this.text("crown.rise", `light under it at most, ${shown.unit}`)] : [])));
    shown.strips.forEach((strip, n) => made.push(htmlNode("div", { class: "skq-row", role: "group", "aria-label": `Test strip ${n + 1}` }, htmlNode("b", {}, `Strip ${n + 1}`),
      ...Object.keys(strip).map((name) => this.text(`strips.${n}.${name}`, shown.strip_labels[name])),
      htmlNode("button", { type: "button", class: "skq-less", "aria-label": `Take strip ${n + 1} away`, onclick: () => this.send({ type: "strip", n }) }, "Remove"))));
    made.push(htmlNode("div", { class: "skq-row" }, htmlNode("button", { type: "button", onclick: () => this.send({ type: "strip" }) }, "Add a test strip"),
      htmlNode("span", {}, "K by a strip of this sheet: measure it flat, bend it, measure its legs outside to outside.")));
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
