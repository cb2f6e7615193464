// A slider and a box to type in, for one number.  What Python sets is shown as it is, off the
// slider's steps too; only what the user does goes back.

import { htmlNode } from "./elements.js";

export default {
  render({ model, el }) {
    const send = (value) => {
      if (value === model.get("value")) return;
      model.set("value", value);
      model.save_changes();
    };
    const range = htmlNode("input", { type: "range", class: "sks-range", oninput: () => send(Number(range.value)) });
    const commit = () => {
      const typed = Number(box.value.replace(",", "."));
      // no more is taken over than was typed: the box may show fewer digits than there are
      if (box.value.trim() && Number.isFinite(typed) && box.value !== shown()) send(typed);
      show();
    };
    const box = htmlNode("input", {
      type: "text", inputmode: "decimal", autocomplete: "off", class: "sks-box",
      onchange: commit, onkeydown: (event) => event.key === "Enter" && commit(),
    });
    const label = htmlNode("label", { class: "sks-label" });

    function shown() { return String(Number(model.get("value").toFixed(model.get("digits")))); }

    function show() {
      // a typed number beyond the ends is in the slider at once
      const value = model.get("value");
      Object.assign(range, { min: Math.min(model.get("min"), value), max: Math.max(model.get("max"), value), step: model.get("step") });
      range.value = value;
      range.disabled = box.disabled = model.get("disabled");
      const name = model.get("description");
      label.textContent = label.title = name;
      range.setAttribute("aria-label", name);
      range.setAttribute("aria-valuetext", shown());
      box.setAttribute("aria-label", `${name}, typed`);
      box.value = shown();
    }

    model.on("change", show);
    show();
    el.append(htmlNode("div", { class: "sks" }, label, range, box));
    return () => model.off("change", show);
  },
};
