// Files by whom they are for; Python sends the one that is clicked, so that it opens wherever
// the page comes from.

import { htmlNode } from "./elements.js";

const SHOWN = ["application/pdf", "text/html", "image/svg+xml"];

export default {
  render({ model, el }) {
    const word = htmlNode("p", { class: "skd-word", role: "status" });
    const list = htmlNode("div", { class: "skd", role: "group", "aria-label": "Files written" });
    const opened = new Map();
    const urls = [];
    el.append(htmlNode("div", { class: "skd-root" }, list, word));

    function ask(name) {
      // a page may open a tab only while it is clicked, so the tab comes before the file
      opened.set(name, globalThis.open("", "_blank"));
      word.textContent = `Opening ${name} …`;
      model.send({ open: name });
    }
    function show() {
      list.replaceChildren(...model.get("groups").map((group) => htmlNode("div", {}, htmlNode("h4", {}, group.whom),
        htmlNode("ul", {}, ...group.files.map((file) => htmlNode("li", {},
          htmlNode("button", { type: "button", onclick: () => ask(file.name) }, file.name), ` ${file.words}`))))));
    }
    function got(message, buffers) {
      const tab = opened.get(message.name);
      opened.delete(message.name);
      word.textContent = message.fault ?? "";
      if (message.fault) return tab?.close();
      const view = buffers[0];
      const blob = new Blob([view.buffer ? view : new Uint8Array(view)], { type: message.kind });
      const url = URL.createObjectURL(blob);
      urls.push(url);
      if (tab && SHOWN.includes(message.kind)) {
        tab.location = url;
        return undefined;
      }
      tab?.close();
      htmlNode("a", { href: url, download: message.name }).click();
      return undefined;
    }
    model.on("change:groups", show);
    model.on("msg:custom", got);
    show();
    return () => {
      model.off("change:groups", show);
      model.off("msg:custom", got);
      urls.forEach((url) => URL.revokeObjectURL(url));
    };
  },
};
