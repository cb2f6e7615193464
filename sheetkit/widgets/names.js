// Give each slider's handle its label as its name, for screen readers.

export default {
  render({ el }) {
    el.style.display = "none";
    let seen;
    const start = requestAnimationFrame(() => {
      const box = el.parentElement;
      const name = () => {
        for (const slider of box?.querySelectorAll(".widget-slider") ?? []) {
          const text = slider.querySelector(".widget-label")?.textContent ?? "";
          for (const part of slider.querySelectorAll("[role=slider], [contenteditable]")) {
            if (text && part.getAttribute("aria-label") !== text) part.setAttribute("aria-label", text);
          }
        }
      };
      seen = new MutationObserver(name);
      if (box) seen.observe(box, { childList: true, subtree: true, characterData: true });
      name();
    });
    return () => {
      cancelAnimationFrame(start);
      seen?.disconnect();
    };
  },
};
