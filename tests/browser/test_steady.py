"""Nothing that is worked with jumps while the figures change: layout shift, as the browser counts it."""

from __future__ import annotations

import shutil

import pytest
from pad_pages import PadPage, voila_page, write_notebook

CELL = """\
from sheetkit.widgets import Bench
bench = Bench("steady/trunk_floor.json", draw=True)
bench
"""
WATCH = """() => {
  window.jumps = [];
  new PerformanceObserver((list) => list.getEntries().forEach((entry) => entry.sources.forEach(({ node, previousRect: a, currentRect: b }) => {
    const at = node?.nodeType === 3 ? node.parentElement : node;
    if (at?.closest?.(".skt, .skp, .skf, .skj") || at?.querySelector?.(".skt, .skp, .skf"))
      window.jumps.push(`${at.tagName} ${at.getAttribute("class")} ${at.textContent.slice(0, 30)}: ${a.x},${a.y} to ${b.x},${b.y}`);
  }))).observe({ type: "layout-shift" });
}"""


@pytest.fixture
def bench(voila, workspace, browser):
    folder = voila.folder / "steady"
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir()
    shutil.copy(workspace / "data" / "trunk_floor.json", folder)
    write_notebook(voila.folder / "steady.ipynb", CELL)
    page, watch = voila_page(
        voila, browser, "steady.ipynb", viewport={"width": 1400, "height": 900}
    )
    pad = PadPage(page, folder / "trunk_floor.json")
    page.locator(".skt b", has_text="mm").first.wait_for()
    pad.settled()
    yield page, pad
    watch.check()
    page.context.close()


def test_the_controls_stay_where_they_are(bench):
    page, pad = bench
    page.evaluate(WATCH)
    before = pad.data()

    def changed():
        nonlocal before
        pad.until(lambda: pad.data() != before)
        pad.settled()
        before = pad.data()

    page.locator('[data-path="patch__margin"] .skf-range').focus()
    for _ in range(3):
        page.keyboard.press("ArrowRight")
        changed()
    pad.svg.focus()
    page.keyboard.press("[")
    page.keyboard.press(".")
    for _ in range(3):
        page.keyboard.press("ArrowRight")
        changed()
    page.keyboard.press("Escape")
    for key in ("]", "]", "]", "]"):  # a line and a point have other things to fill in
        page.keyboard.press(key)
        pad.settled()
    pad.button("Draw new shapes").click()
    page.get_by_label("What to draw").select_option("rust_pitted")
    pad.draw_ring([(600, 400), (700, 400), (700, 480)])
    changed()
    pad.button("Draw new shapes").click()
    pad.draw_ring([(300, 400), (360, 480), (360, 400), (300, 470)])  # it crosses itself
    page.get_by_text("1 drawn ring is not in these figures").wait_for()
    pad.settled()
    page.locator('[data-path="patch__margin"] .skf-box').fill("a hand")
    page.keyboard.press("Enter")
    page.locator(".skf-refused").wait_for()
    pad.settled()
    jumps = page.evaluate("window.jumps")
    assert jumps == [], "\n".join(jumps)


def test_a_jump_would_be_seen(bench):
    page, pad = bench
    page.evaluate(WATCH)
    page.evaluate("document.querySelector('.skt').style.marginTop = '40px'")
    pad.until(lambda: page.evaluate("window.jumps.length") > 0)
