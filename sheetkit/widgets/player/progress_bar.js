// A bar with words while something is made ready.

import { htmlNode } from "../elements.js";

/** Shows the trait `bar`: words and share; `over` for words alone. */
export function progressBar(model) {
  const words = htmlNode("span", { role: "status" });
  const bar = htmlNode("progress", { max: 1, "aria-label": "how far it is" });
  const node = htmlNode("div", { class: "sk-progress" }, bar, words);
  const show = () => {
    const now = model.get("bar");
    node.hidden = !now.words;
    bar.hidden = Boolean(now.over);
    bar.value = now.share ?? 0;
    if (words.textContent !== (now.words ?? "")) words.textContent = now.words ?? "";
  };
  model.on("change:bar", show);
  show();
  return { node, off: () => model.off("change:bar", show) };
}
