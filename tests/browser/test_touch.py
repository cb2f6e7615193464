"""The bench on a phone of 400 x 800 px: swiped along, read, and pressed with a thumb."""

from __future__ import annotations

import shutil

import pytest
from pad_pages import PadPage, voila_page, write_notebook
from test_pad_touch import Fingers

CELL = """\
from sheetkit.widgets import Bench
bench = Bench("phone/wheel_arch.json", draw=True)
bench
"""
TARGET_PX = 44
SMALL = """(least) => [...document.querySelectorAll('button, select, input, summary, a, .jupyter-widget-Collapse-header')]
  .filter((node) => node.checkVisibility() && !node.disabled)
  .map((node) => [node, (["checkbox", "file", "radio"].includes(node.type) ? node.closest("label") ?? node : node).getBoundingClientRect()])
  .filter(([, box]) => box.width > 0 && (box.width < least - 0.5 || box.height < least - 0.5))
  .map(([node, box]) => `${node.tagName} ${node.className} ${node.textContent.slice(0, 30)}: ${box.width} x ${box.height}`)"""
OVERLAPS = """(nodes) => {
  const boxes = nodes.filter((n) => n.checkVisibility({ visibilityProperty: true }) && n.textContent)
    .map((n) => [n.textContent, n.getBoundingClientRect()]);
  const over = (a, b) => a.left + 1 < b.right && b.left + 1 < a.right && a.top + 2 < b.bottom && b.top + 2 < a.bottom;
  return boxes.flatMap(([text, a], i) => boxes.slice(i + 1).filter(([, b]) => over(a, b)).map(([other]) => [text, other]));
}"""
SCROLLED = """() => { let node = document.querySelector(".skp"); let sum = 0;
  for (; node; node = node.parentElement) sum += node.scrollTop; return sum; }"""


@pytest.fixture
def phone(voila, workspace, browser):
    folder = voila.folder / "phone"
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir()
    shutil.copy(workspace / "data" / "wheel_arch.json", folder)
    write_notebook(voila.folder / "phone.ipynb", CELL)
    options = {"viewport": {"width": 400, "height": 800}, "has_touch": True}
    page, watch = voila_page(voila, browser, "phone.ipynb", **options)
    pad = PadPage(page, folder / "wheel_arch.json")
    page.locator(".skt b", has_text="mm").first.wait_for()
    yield page, pad
    watch.check()
    page.context.close()


def view(pad):
    return pad.svg.evaluate("(svg) => [svg.dataset.x, svg.dataset.y, svg.dataset.scale].join(' ')")


def test_a_swipe_scrolls_the_page_until_a_tool_is_taken(phone):
    page, pad = phone
    fingers = Fingers(page)
    box = pad.svg.bounding_box()
    left = box["x"] + 10  # beside whatever is drawn
    pad.button("Show the whole drawing").tap()
    pad.settled()
    seen, drawn = view(pad), pad.data()
    start = page.evaluate(SCROLLED)

    def swipe():
        pad.svg.scroll_into_view_if_needed()
        box = pad.svg.bounding_box()
        low = min(box["y"] + box["height"], 800) - 20  # on the pad and on the screen
        fingers.drag((left, low), (left, low - 200))

    pad.until(lambda: swipe() or page.evaluate(SCROLLED) > start + 100)
    assert view(pad) == seen, "the drawing stays where it is"
    pad.button("Choose and change shapes").tap()
    pad.settled()
    pad.svg.scroll_into_view_if_needed()
    at = page.evaluate(SCROLLED)
    pad.until(lambda: swipe() or view(pad) != seen)  # what still rolls swallows a touch
    assert page.evaluate(SCROLLED) == at
    pad.button("Show the whole drawing").click()  # a tap only stops what a swipe set going
    pad.until(lambda: view(pad) == seen)
    pad.button("Choose and change shapes").click()  # and puts it away
    pad.settled()
    at = page.evaluate(SCROLLED)
    pad.until(lambda: swipe() or page.evaluate(SCROLLED) != at)
    assert pad.data() == drawn


def test_the_drawing_fills_the_pad_and_a_touch_takes_it_up(phone):
    page, pad = phone
    stage = pad.svg.bounding_box()
    outline = page.locator(".skp-panel_outline .skp-line").bounding_box()
    share = max(outline["width"] / stage["width"], outline["height"] / stage["height"])
    assert 0.7 < share <= 1
    page.locator(".skp-list .skp-item").first.tap()
    edit = pad.button("Choose and change shapes")
    pad.until(lambda: edit.get_attribute("aria-pressed") == "true")
    wide = page.evaluate("Math.max(...[...document.querySelectorAll('button, select, input, table, .skt')]"
                         ".map((n) => n.getBoundingClientRect().right))")  # fmt: skip
    assert wide <= 400


def test_thumbs_hit_every_control_and_scales_can_be_read(phone):
    page, _ = phone
    for group in ("Welding", "Near the weld", "The job", "Hours and money", "The offer"):
        page.locator(".skf summary", has_text=group).tap()
    assert page.evaluate(SMALL, TARGET_PX) == []
    folds = page.locator(".jupyter-widget-Collapse-header")
    for title in ("All figures", "Two ways side by side", "Pages to print", "Plan the order"):
        folds.filter(has_text=title).tap()
        page.locator(".jupyter-widget-Collapse-open", has_text=title).wait_for()
        assert page.evaluate(SMALL, TARGET_PX) == [], title
    page.get_by_role("button", name="Plan the order").last.tap()
    page.locator(".sk-ticks .sk-limit").wait_for()
    assert page.evaluate(SMALL, TARGET_PX) == []
    for degrees in ("F", "C"):
        page.locator(".skt").get_by_label("Units").select_option("in" if degrees == "F" else "mm")
        page.locator(".sk-limit", has_text=f"°{degrees}").wait_for()
        ticks = page.locator(".sk-ticks span")
        assert ticks.evaluate_all(OVERLAPS) == []
    numbers = page.locator(".sk-watch .sk-stitch text")
    assert numbers.evaluate_all(OVERLAPS) == []
    high = numbers.evaluate_all(
        "(all) => all.filter((n) => n.checkVisibility()).map((n) => n.getBoundingClientRect().height)"
    )
    assert len(high) >= 5
    assert min(high) >= 10
    page.get_by_role("button", name="Step along in the shop").tap()
    assert page.evaluate(SMALL, TARGET_PX) == []
