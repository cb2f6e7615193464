"""A finger draws, drags, pans and pinches; the targets are a finger wide."""

from __future__ import annotations

import json

import pytest
from pad_pages import opened
from test_pad_drawing import RING, START, close_to


class Fingers:
    def __init__(self, page):
        self.page = page
        self.channel = page.context.new_cdp_session(page)

    def send(self, kind, *points):
        touches = [{"x": x, "y": y, "id": n} for n, (x, y) in enumerate(points)]
        self.channel.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": touches})

    def tap(self, point):
        self.send("touchStart", point)
        self.send("touchEnd")

    def drag(self, start, end):
        self.send("touchStart", start)
        for k in (0.3, 0.6, 1.0):
            self.send("touchMove", tuple(a + k * (b - a) for a, b in zip(start, end, strict=True)))
        self.send("touchEnd")

    def pinch(self, one, two, one_end, two_end):
        self.send("touchStart", one)
        self.send("touchStart", one, two)
        self.send("touchMove", one_end, two_end)
        self.send("touchEnd")


def test_taps_draw_a_ring_and_a_far_off_finger_closes_it(second, tmp_path):
    second.told(tmp_path / "job.json")
    pad = second.run(tmp_path / "job.json")
    fingers = Fingers(pad.page)
    pad.button("Draw new shapes").tap()
    for point in RING:
        fingers.tap(pad.px(*point))
    x, y = pad.px(*RING[0])
    fingers.tap((x - 13, y + 13))
    pad.until(lambda: pad.rings())
    assert close_to(pad.rings()[0], RING)
    second.watch.check()


def test_finger_drags_a_point_pans_and_pinches(second, tmp_path):
    job = tmp_path / "job.json"
    job.write_text(json.dumps(START))
    second.told(job)
    pad = second.run(job)
    fingers = Fingers(pad.page)
    pad.button("Choose and change shapes").tap()
    fingers.tap(pad.px(150, 150))
    x, y = pad.px(200, 200)
    fingers.drag((x + 12, y - 12), pad.px(230, 240))
    pad.until(lambda: close_to(pad.rings()[0], [[100, 100], [200, 100], [230, 240], [100, 200]]))
    before = pad.px(300, 300)
    fingers.drag(pad.px(500, 300), pad.px(560, 340))
    pad.until(lambda: pad.px(300, 300)[0] > before[0] + 30)
    one, two = pad.px(300, 200), pad.px(400, 200)
    fingers.pinch(one, two, (one[0] - 50, one[1]), (two[0] + 50, two[1]))
    pad.until(lambda: pad.px(400, 200)[0] - pad.px(300, 200)[0] > 1.6 * (two[0] - one[0]))
    middle = (one[0] + two[0]) / 2
    assert abs(pad.px(350, 200)[0] - middle) < 3
    assert close_to(pad.rings()[0], [[100, 100], [200, 100], [230, 240], [100, 200]])
    second.watch.check()


@pytest.fixture
def narrow(lab, browser, tmp_path):
    """A pad some 390 px wide, as on a phone."""
    notebook = opened(lab, browser, "narrow", viewport={"width": 760, "height": 900})
    notebook.told(tmp_path / "job.json")
    yield notebook.run(tmp_path / "job.json")
    notebook.watch.check()
    notebook.page.context.close()


def test_a_narrow_pad_has_three_rows_of_tools_and_words_that_are_whole(narrow):
    pad = narrow
    tools = pad.root.locator(".skp-tools")
    assert 360 < tools.bounding_box()["width"] < 420
    shown = tools.locator("button:visible, select:visible, label:visible")
    rows = {round(shown.nth(n).bounding_box()["y"]) for n in range(shown.count())}
    assert len(rows) == 3
    assert not pad.root.get_by_label("Units").is_visible()
    more = pad.button("More tools")
    more.focus()
    pad.page.keyboard.press("Enter")  # by keys as well
    assert more.get_attribute("aria-expanded") == "true"
    pad.root.get_by_label("Units").select_option("in")
    assert pad.root.get_by_label("Grid step").is_visible() and pad.button("Zoom in").is_visible()
    more.click()
    assert not pad.button("Zoom in").is_visible()
    stage = pad.svg.bounding_box()
    status, saved = pad.root.locator(".skp-status"), pad.root.locator(".skp-saved")
    pad.button("Take away what was drawn too much").click()
    for words in (status, saved):
        high, room = words.evaluate("(node) => [node.scrollHeight, node.clientHeight]")
        assert words.inner_text() and high <= room + 1, words.inner_text()
    assert pad.svg.bounding_box() == stage  # nothing moves while one works
