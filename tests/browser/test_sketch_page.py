"""The sketching bench as its user meets it: in the notebook, and as a page without code."""

from __future__ import annotations

import re
import shutil

from pad_pages import PadPage, choose_name, voila_page

READABLE = """() => {
    const boxes = [...document.querySelectorAll(".skp-labels text")].map((t) => t.getBoundingClientRect());
    const over = (a, b) => a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
    return boxes.length && !boxes.some((a, i) => boxes.some((b, k) => k > i && over(a, b)));
}"""


def seam_of(page) -> float:
    text = page.locator(".skt-figures").last.inner_text()
    return float(re.search(r"Seam\s*([0-9.]+) mm", text).group(1))


def test_the_bench_is_a_page_without_code(voila, workspace, browser):
    page, watch = voila_page(voila, browser, "notebooks/sketch_patch.ipynb")
    choose_name(page, "Anna")
    own = workspace / "notebooks" / "visitors" / "Anna"
    pad = PadPage(page, own / "my_patch.json")
    assert "import sheetkit" not in page.locator("body").inner_text()
    scale = pad.root.locator(".skp-scale").inner_text()
    assert re.search(r"1 px = [\d.]+ mm, error about [\d.]+ % \(card 1, .* far from it\)", scale)
    assert page.evaluate(READABLE)
    before = seam_of(page)
    assert f"seam {before:.0f} mm" in pad.svg.text_content().replace(".0 mm", " mm")
    assert not pad.job.exists()
    pad.svg.focus()
    page.keyboard.press("[")  # the last shape: the pitted ring
    page.keyboard.press(".")
    for _ in range(8):
        page.keyboard.press("ArrowRight")
    pad.until(lambda: seam_of(page) != before)
    page.locator('[data-path="patch__margin"] .skf-range').focus()
    moved = seam_of(page)
    page.keyboard.press("ArrowRight")
    pad.until(lambda: seam_of(page) > moved)
    pad.until(lambda: pad.data().get("patch", {}).get("margin") == "16 mm")
    watch.check()
    page.reload()
    page.get_by_text("You draw as Anna").wait_for()
    again = PadPage(page, pad.job)
    assert "Saved in my_patch.json" in again.root.locator(".skp-saved").inner_text()
    page.context.close()
    assert not (workspace / "notebooks" / "my_patch.json").exists()
    shutil.rmtree(own.parent)
