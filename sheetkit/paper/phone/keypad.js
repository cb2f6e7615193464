// A thermometer reading typed with a glove on: large keys, and why a reading is refused.

import { degrees } from "../../base/words.js";
import { button, node } from "./elements.js";

/** Read what was typed as deg C, or say in words why it can't be a reading. */
export function readingOf(text, unit, { least_c, most_c }) {
  const plain = text.trim().replace(",", ".").replace("−", "-");
  if (plain === "") return { fault: "Type what the thermometer reads first." };
  const typed = Number(plain);
  if (!Number.isFinite(typed)) return { fault: `"${text}" is no number. Type what the thermometer reads.` };
  const celsius = unit === "F" ? (typed - 32) / 1.8 : typed;
  if (celsius < least_c || celsius > most_c) {
    return { fault: `No sheet reads ${plain} °${unit}: it must be ${degrees(least_c, unit)} to ${degrees(most_c, unit)}. Read it again.` };
  }
  return { celsius };
}

/** The pad; `use(text)` is called with what was typed. */
export function keypad(unit, use) {
  const box = node("input", {
    type: "text", inputmode: "none", class: "reading", "aria-label": `thermometer reading, °${unit}`, autocomplete: "off",
    onkeydown: (event) => { if (event.key === "Enter") use(box.value); },
  });
  const keys = [..."789456123", "−", "0", "⌫"].map((key) => button("key", key, () => {
    if (key === "⌫") box.value = box.value.slice(0, -1);
    else if (box.value.length < 6) box.value += key;
  }));
  return {
    node: node("div", { class: "keypad" },
      node("div", { class: "readout" }, "It reads ", box, ` °${unit}`), node("div", { class: "keys" }, ...keys),
      button("use", "Use reading", () => use(box.value))),
    clear() { box.value = ""; },
    typed: () => box.value.trim() !== "",
  };
}
