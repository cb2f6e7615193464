"""A photo is laid under from the page, scaled by two points, rectified by four corners."""

from __future__ import annotations

import io

import pytest
from PIL import Image, ImageDraw
from test_pad_drawing import close_to

QUAD = [(150, 520), (640, 480), (590, 150), (200, 110)]


@pytest.fixture
def door(tmp_path):
    """A made-up panel of 400 x 250 mm, photographed from the side."""
    picture = Image.new("RGB", (800, 600), "#8899aa")
    ImageDraw.Draw(picture).polygon(QUAD, fill="#ddddcc", outline="black")
    path = tmp_path / "door.jpg"
    picture.save(path, quality=95)
    return path


def choose(pad, path):
    pad.root.get_by_label("Photo file").set_input_files(path)
    pad.until(lambda: pad.root.locator(".skp-scale").count() == 1)
    pad.settled()


def on_photo(pad, point, size, mm_per_px, origin=(0.0, 0.0)):
    return (origin[0] + point[0] * mm_per_px, origin[1] + (size[1] - point[1]) * mm_per_px)


def fill(pad, **values):
    for name, value in values.items():
        pad.root.locator(f"input[name={name}]").fill(value)
    pad.root.get_by_role("button", name="Apply", exact=True).click()


def test_no_card_is_said_and_apply_waits_for_what_it_needs(pad, door):
    choose(pad, door)
    pad.until(lambda: "No measuring card seen. Scale not set" in pad.status)
    assert pad.button("By colour").is_disabled()
    pad.button("Two points").click()
    for point in ((100, 300), (160, 300)):
        pad.click(*on_photo(pad, point, (800, 600), 0.75))
    pad.until(pad.button("Apply").is_enabled)
    pad.button("Apply").click()  # the distance is not typed yet: the browser says so at the box
    box = pad.root.locator("input[name=distance]")
    assert box.evaluate("(box) => !box.checkValidity() && box === document.activeElement")
    assert "not set" in pad.root.locator(".skp-scale").inner_text()
    fill(pad, distance="30 mm")
    pad.until(lambda: "1 px = 0.5 mm" in pad.status)
    assert "lay a larger sheet or a measuring card" in pad.status  # some 3 % is too much
    assert pad.button("Draw new shapes").get_attribute("aria-pressed") == "true"


def test_two_points_scale_the_photo_and_the_drawing_follows_it(pad, door):
    choose(pad, door)
    assert "not set" in pad.root.locator(".skp-scale").inner_text()
    pad.root.get_by_role("button", name="Two points", exact=True).click()
    for point in ((100, 300), (700, 300)):
        pad.click(*on_photo(pad, point, (800, 600), 0.75))
    fill(pad, distance="300 mm")
    pad.until(lambda: "1 px = 0.5 mm" in pad.root.locator(".skp-scale").inner_text())
    pad.root.get_by_role("button", name="Draw new shapes").click()
    pad.page.keyboard.down("Alt")
    traced = [on_photo(pad, p, (800, 600), 0.5) for p in QUAD]
    pad.draw_ring(traced)
    pad.page.keyboard.up("Alt")
    pad.until(lambda: pad.rings())
    assert close_to(pad.rings()[0], traced, 1.0)


def test_the_distance_box_stays_the_same_one_while_points_are_marked(pad, door):
    choose(pad, door)
    pad.button("Two points").click()
    box, apply = pad.root.locator("input[name=distance]"), pad.button("Apply")
    box.fill("300 mm")
    box.evaluate("(box) => (box.dataset.first = 'yes')")
    assert apply.is_disabled()
    for point in ((100, 300), (700, 300)):
        pad.click(*on_photo(pad, point, (800, 600), 0.75))
    pad.until(apply.is_enabled)
    assert box.get_attribute("data-first") == "yes"
    assert box.input_value() == "300 mm"


def test_four_corners_rectify_the_photo_and_it_is_kept(pad, door, notebook):
    choose(pad, door)
    pad.root.get_by_role("button", name="Four corners", exact=True).click()
    assert "lower left" in pad.status
    for point in QUAD:
        pad.click(*on_photo(pad, point, (800, 600), 0.75))
    fill(pad, width="400", height="250 mm")
    pad.until(lambda: "must fit the picture" in pad.status)  # no camera sees that sheet so
    pad.root.get_by_label("As typed").check()
    fill(pad, width="400", height="250 mm")
    pad.until(lambda: "rectangle 400 x 250" in pad.root.locator(".skp-scale").inner_text())
    again = notebook.run(pad.job)
    assert "rectangle 400 x 250" in again.root.locator(".skp-scale").inner_text()
    again.svg.locator("image").evaluate("(image) => image.decode()")
    again.settled()
    shot = Image.open(io.BytesIO(again.svg.screenshot())).convert("RGB")
    box = again.svg.bounding_box()
    for x, y, bright in ((20, 20, True), (380, 230, True), (-12, 20, False), (412, 230, False)):
        px = again.px(x + 3, y + 3)
        red, _, blue = shot.getpixel((int(px[0] - box["x"]), int(px[1] - box["y"])))
        assert (red > blue) == bright, (x, y)


def test_what_cannot_be_used_is_refused_and_the_drawing_stays(pad, door, tmp_path):
    ring = [(100, 100), (200, 100), (150, 200)]
    pad.draw_ring(ring)
    pad.until(lambda: pad.rings())
    (tmp_path / "notes.jpg").write_text("no photo")
    pad.root.get_by_label("Photo file").set_input_files(tmp_path / "notes.jpg")
    pad.until(lambda: "must be a JPEG or PNG" in pad.status)
    choose(pad, door)
    pad.root.get_by_role("button", name="Four corners", exact=True).click()
    for k in (0, 2, 1, 3):
        pad.click(*on_photo(pad, QUAD[k], (800, 600), 0.75))
    fill(pad, width="400", height="250")
    pad.until(lambda: "sides that cross" in pad.status)
    pad.root.get_by_role("button", name="Two points", exact=True).click()
    first, other = (on_photo(pad, QUAD[k], (800, 600), 0.75) for k in (0, 1))
    pad.click(*first)
    pad.click(*other)
    pad.drag(other, first)
    fill(pad, distance="100")
    pad.until(lambda: "8 px apart" in pad.status)
    fill(pad, distance="about a hand")
    pad.until(lambda: "unit of length" in pad.status)
    assert "not set" in pad.root.locator(".skp-scale").inner_text()
    assert close_to(pad.rings()[0], ring)


def test_photo_too_large_for_the_channel_is_shrunk_with_a_word(pad, tmp_path):
    upright = Image.effect_noise((3000, 3200), 90).convert("RGB")
    ImageDraw.Draw(upright).rectangle((0, 0, 600, 300), fill="red")  # the upper left corner
    turned, exif = upright.transpose(Image.Transpose.ROTATE_90), Image.Exif()
    exif[0x0112] = 6  # the phone was held upright
    turned.save(tmp_path / "big.jpg", quality=100, exif=exif)
    assert (tmp_path / "big.jpg").stat().st_size > 8_000_000
    choose(pad, tmp_path / "big.jpg")
    assert (
        "Shrunk from 3000 x 3200 to 2250 x 2400 px" in pad.root.locator(".skp-scale").inner_text()
    )
    width, height, red, green = pad.svg.locator(".skp-photo image").evaluate(
        """async (image) => {
            const picture = await createImageBitmap(await (await fetch(image.getAttribute("href"))).blob());
            const canvas = new OffscreenCanvas(picture.width, picture.height).getContext("2d");
            canvas.drawImage(picture, 0, 0);
            return [picture.width, picture.height, ...canvas.getImageData(100, 100, 1, 1).data.slice(0, 2)];
        }"""
    )
    assert (width, height) == (2250, 2400)
    assert red > 200 > 60 > green
