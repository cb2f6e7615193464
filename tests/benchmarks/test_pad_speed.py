"""How fast the pad answers: run by hand, printed, never asserted.

pytest tests/benchmarks/test_pad_speed.py -s
"""

from __future__ import annotations

import itertools
import json
import math
import statistics
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "browser"))

from pad_pages import (
    PadPage,
    browser,
    lab,
    open_lab,
    run_all,
    surroundings,
    watched,
    write_notebook,
)

__all__ = ["browser", "lab", "surroundings"]

CELL = """\
from sheetkit.widgets import Bench
bench = Bench("speed.json", draw=True)
bench
"""
WATCH = """(svg) => {
  const cards = [...document.querySelectorAll(".widget-html-content")].find((node) =>
    node.textContent.includes("Seam to weld"));
  const seam = () => cards.textContent.match(/Seam to weld\\s*([0-9.,]+ \\w+)/)?.[1];
  window.waits = { card: [], "cut line": [] };
  let up = {};
  svg.addEventListener("pointerup", () => { up = { card: performance.now(), "cut line": performance.now() }; }, true);
  const ended = (what) => { if (up[what]) window.waits[what].push(performance.now() - up[what]); up[what] = 0; };
  let last = seam();
  new MutationObserver(() => { if (seam() !== last) ended("card"); last = seam(); })
    .observe(cards, { childList: true, subtree: true, characterData: true });
  new MutationObserver(() => ended("cut line"))
    .observe(svg.querySelector(".skp-overlays"), { childList: true });
  window.frames = [];
  const tick = (now) => { window.frames.push(now); requestAnimationFrame(tick); };
  requestAnimationFrame(tick);
}"""


def test_pointer_up_to_seam_length_and_drag(lab, browser):
    ring = [
        [300 + 120 * math.cos(k / 30 * math.pi), 200 + 90 * math.sin(k / 30 * math.pi)]
        for k in range(60)
    ]
    job = lab.folder / "speed.json"
    job.write_text(
        json.dumps(
            {
                "format": "sheetkit-job/1",
                "sheet": {"thickness": 0.9},
                "panel": {"outline": [[0, 0], [600, 0], [600, 400], [0, 400]]},
                "rust": [{"ring": ring}],
            }
        )
    )
    write_notebook(lab.folder / "speed.ipynb", CELL)
    page, _ = watched(browser)
    open_lab(page, lab, "speed.ipynb")
    run_all(page)
    pad = PadPage(page, job)
    pad.click(300, 200)
    page.wait_for_timeout(2000)
    pad.svg.evaluate(WATCH)
    for k in range(20):
        low, high = (300, 100), (300, 110)
        pad.drag(*((high, low) if k % 2 == 0 else (low, high)))
        page.wait_for_timeout(400)
    waits = page.evaluate("() => window.waits")
    for what, ms in waits.items():
        print(f"\npointer up to new {what}: median {statistics.median(ms):.0f} ms of {len(ms)}")
        print("all:", " ".join(f"{wait:.0f}" for wait in ms))
    x, y = pad.px(300, 200)
    page.mouse.move(x, y)
    page.mouse.down()
    page.evaluate("() => { window.frames.length = 0 }")
    for k in range(120):
        page.mouse.move(x + 40 * math.sin(k / 10), y + 25 * math.cos(k / 10))
    frames = page.evaluate("() => window.frames")
    page.mouse.up()
    gaps = [b - a for a, b in itertools.pairwise(frames)]
    print(
        f"drag of a 60-point ring: {1000 / statistics.mean(gaps):.0f} frames a second, "
        f"slowest frame {max(gaps):.0f} ms"
    )
    page.context.close()
