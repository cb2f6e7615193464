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
import sheetkit
from sheetkit.widgets import Pad
pad = Pad("speed.json")
def show(_drawing):
    result = sheetkit.estimate(pad.job)
    pad.overlays = [{
        "kind": "cut_line",
        "rings": [list(map(list, patch.cut_line.exterior.coords)) for patch in result.patches],
        "label": f"seam {sum(patch.seam_length_mm for patch in result.patches):.1f} mm",
    }]
pad.on_change(show)
show(None)
pad
"""
WATCH = """(svg) => {
  window.waits = [];
  let up = 0;
  svg.addEventListener("pointerup", () => { up = performance.now(); }, true);
  new MutationObserver(() => {
    const text = svg.querySelector(".skp-overlays text")?.textContent;
    if (up && text !== window.seam) { window.waits.push(performance.now() - up); up = 0; }
    window.seam = text;
  }).observe(svg.querySelector(".skp-overlays"), { childList: true });
  window.seam = svg.querySelector(".skp-overlays text")?.textContent;
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
    print(f"\npointer up to seam length: median {statistics.median(waits):.0f} ms of {len(waits)}")
    print("all:", " ".join(f"{wait:.0f}" for wait in waits))
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
