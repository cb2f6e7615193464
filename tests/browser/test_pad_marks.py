"""Marks on a photo are aimed under a magnifier: by mouse, by finger, by keys."""

from __future__ import annotations

import io

import pytest
from PIL import Image, ImageDraw
from test_pad_photo import choose, on_photo
from test_pad_touch import Fingers

SIZE, MM_PER_PX = (800, 600), 0.75
SPOT = (612, 430)
"""Where a small blue square lies in the photo, px."""


@pytest.fixture
def spotted(tmp_path):
    picture = Image.new("RGB", SIZE, "#8899aa")
    x, y = SPOT
    ImageDraw.Draw(picture).rectangle((x - 3, y - 3, x + 3, y + 3), fill="#0000ff")
    path = tmp_path / "spot.png"
    picture.save(path)
    return path


def at_spot(pad, beside=(0.0, 0.0)):
    return on_photo(pad, (SPOT[0] + beside[0], SPOT[1] + beside[1]), SIZE, MM_PER_PX)


def lens(pad):
    return pad.root.locator(".skp-lens")


def rim(pad) -> dict:
    """The magnifier's box on the page, without what is cut off round it."""
    return pad.root.locator(".skp-lens-rim").bounding_box()


def blue_in_lens(pad) -> tuple[float, float]:
    """Where the blue spot is seen in the magnifier: from its middle, in its widths."""
    pad.settled()
    box = rim(pad)
    shot = Image.open(io.BytesIO(pad.page.screenshot(clip=box))).convert("RGB")
    blue = [
        (x, y)
        for x in range(shot.width)
        for y in range(shot.height)
        if (shot.getpixel((x, y))[2] - shot.getpixel((x, y))[0]) > 120
    ]
    assert len(blue) > 80, "the spot is not seen large"  # some 20 px on the pad itself
    middle = [sum(one[k] for one in blue) / len(blue) for k in (0, 1)]
    return tuple(v / side - 0.5 for v, side in zip(middle, shot.size, strict=True))


def marks(pad) -> list[list[float]]:
    """Where the marks lie on the photo, px, by the crosses on the screen as it is drawn next."""
    pad.settled()
    found = []
    for d in pad.root.locator(".skp-front > path.skp-measure").evaluate_all(
        "(paths) => paths.map((path) => path.getAttribute('d'))"
    ):
        left, y = (float(v) for v in d[1:].split("h")[0].split())
        box = pad.svg.bounding_box()
        x0, y0 = pad.px(0, 0)
        scale = float(pad.svg.get_attribute("data-scale"))
        mm = ((left + 14 + box["x"] - x0) / scale, (y0 - y - box["y"]) / scale)
        found.append([mm[0] / MM_PER_PX, SIZE[1] - mm[1] / MM_PER_PX])
    return found


def test_a_mouse_aims_under_the_magnifier_and_drags_a_mark(pad, spotted):
    choose(pad, spotted)
    pad.button("Four corners").click()
    assert lens(pad).count() == 0
    pad.page.mouse.move(*pad.px(*at_spot(pad)))
    lens(pad).wait_for()
    assert blue_in_lens(pad) == pytest.approx((0, 0), abs=0.05)
    assert "lower left" in lens(pad).text_content()
    box, spot = rim(pad), pad.px(*at_spot(pad))
    assert box["x"] + box["width"] < spot[0] - 60 or box["x"] > spot[0] + 60
    pad.click(*at_spot(pad, (25, 10)))
    pad.until(lambda: marks(pad))
    assert marks(pad)[0] == pytest.approx([SPOT[0] + 25, SPOT[1] + 10], abs=1)
    pad.page.mouse.down()
    pad.page.mouse.move(*pad.px(*at_spot(pad)), steps=5)
    assert blue_in_lens(pad) == pytest.approx((0, 0), abs=0.05)
    pad.page.mouse.up()
    assert len(marks(pad)) == 1
    assert marks(pad)[0] == pytest.approx(SPOT, abs=1)
    assert "Corner 2 of 4" in pad.status
    left = on_photo(pad, (100, 300), SIZE, MM_PER_PX)
    pad.page.mouse.move(*pad.px(*left))
    pad.settled()
    assert rim(pad)["x"] > pad.px(*left)[0] + 60


def test_keys_move_a_mark_by_a_pixel(pad, spotted):
    choose(pad, spotted)
    pad.button("Two points").click()
    pad.click(*at_spot(pad, (9, 0)))
    pad.click(*on_photo(pad, (60, 60), SIZE, MM_PER_PX))
    keyboard = pad.page.keyboard
    keyboard.press(".")
    assert "Mark 1" in pad.status
    before = marks(pad)[0]
    for _ in range(3):
        keyboard.press("Alt+ArrowLeft")
    pad.settled()
    assert marks(pad)[0] == pytest.approx([before[0] - 3, before[1]], abs=0.3)
    middle = blue_in_lens(pad)
    assert middle[0] < -0.05 and abs(middle[1]) < 0.05  # the spot lies left of the cross still
    keyboard.press("Space")
    assert "Two points" in pad.status
    keyboard.press("ArrowLeft")  # the mark was let go
    pad.settled()
    assert marks(pad)[0] == pytest.approx([before[0] - 3, before[1]], abs=0.3)
    keyboard.press("Escape")
    assert lens(pad).count() == 0


def test_a_finger_aims_a_mark_that_it_does_not_hide(second, tmp_path, spotted):
    second.told(tmp_path / "job.json")
    pad = second.run(tmp_path / "job.json")
    choose(pad, spotted)
    pad.button("Four corners").tap()
    fingers = Fingers(pad.page)
    fingers.send("touchStart", pad.px(*at_spot(pad, (-40, -30))))
    fingers.send("touchMove", pad.px(*at_spot(pad, (-20, -10))))
    fingers.send("touchMove", pad.px(*at_spot(pad)))
    lens(pad).wait_for()
    assert blue_in_lens(pad) == pytest.approx((0, 0), abs=0.06)
    box, (x, _) = rim(pad), pad.px(*at_spot(pad))
    assert box["x"] + box["width"] < x - 22 or box["x"] > x + 22
    fingers.send("touchEnd")
    pad.settled()
    assert marks(pad)[0] == pytest.approx(SPOT, abs=1.5)
    assert lens(pad).count() == 0
    # a second finger zooms, and the mark that the first was about to put is not there
    one, two = pad.px(200, 200), pad.px(260, 200)
    fingers.pinch(one, two, (one[0] - 20, one[1]), (two[0] + 20, two[1]))
    pad.settled()
    assert len(marks(pad)) == 1
    second.watch.check()
