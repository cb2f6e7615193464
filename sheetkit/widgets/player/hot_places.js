// Places that get hotter than they may, above the order they belong to.

import { htmlNode } from "../elements.js";
import { unbroken } from "../../base/words.js";

export function hotPlaces(model) {
  const node = htmlNode("ul", { class: "sk-places", "aria-label": "Read before you weld" });
  const show = () => {
    const lines = model.get("too_hot");
    node.hidden = !lines.length;
    node.replaceChildren(...lines.map((words) => htmlNode("li", {}, unbroken(words))));
  };
  model.on("change:too_hot", show);
  show();
  return { node, off: () => model.off("change:too_hot", show) };
}
