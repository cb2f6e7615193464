// The figures over everything else, and a word about them; its height stays.

import { htmlNode } from "./elements.js";

export default {
  render({ model, el }) {
    const figures = htmlNode("div", { class: "skt-figures", role: "list" });
    const text = htmlNode("span", { class: "skt-text", role: "status", "aria-live": "polite" });
    const show = htmlNode("button", { type: "button", class: "skt-show", onclick: () => model.send({ show: model.get("word").id }) }, "Show me");
    const word = htmlNode("div", { class: "skt-word" }, text, show);
    const units = htmlNode("select", { "aria-label": "Units", onchange: () => {
      model.set("units", units.value);
      model.save_changes();
    } }, htmlNode("option", { value: "mm" }, "mm"), htmlNode("option", { value: "in" }, "inch"));
    const head = htmlNode("div", { class: "skt-head" }, figures, htmlNode("label", { class: "skt-units" }, units));
    el.append(htmlNode("section", { class: "skt", "aria-label": "The chief figures" }, head, word));

    function showFigures() {
      figures.replaceChildren(...model.get("figures").map((f) =>
        htmlNode("div", { role: "listitem", title: f.rests_on && `rests on: ${f.rests_on}` },
          htmlNode("span", {}, f.label), htmlNode("b", {}, f.amount), htmlNode("small", {}, f.range || "\u00a0"))));
    }
    function showWord() {
      const told = model.get("word");
      word.dataset.kind = told.kind;
      const mark = told.kind === "left out" || told.kind === "fault" ? "⚠ " : "";
      text.textContent = mark + told.text;
      text.title = told.text;
      show.style.visibility = told.id ? "visible" : "hidden";
    }
    const showUnits = () => { units.value = model.get("units"); };
    model.on("change:units", showUnits);
    showUnits();
    model.on("change:figures", showFigures);
    model.on("change:word", showWord);
    showFigures();
    showWord();
    return () => {
      model.off("change:units", showUnits);
      model.off("change:figures", showFigures);
      model.off("change:word", showWord);
    };
  },
};
