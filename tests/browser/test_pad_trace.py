"""Rust traced by a stroke, a brush, and its colour; a photo scaled by the card in it."""

from __future__ import annotations

import io
import sys
from pathlib import Path

import numpy as np
import pytest
import shapely
from PIL import Image, ImageDraw, ImageFilter
from test_pad_photo import choose, fill, on_photo

sys.path.insert(0, str(Path(__file__).parents[1] / "sketch"))
from made_photo import Camera, Lying, Scene

from sheetkit.sketch.measuring_card import ALL

RUST = shapely.Point(420, 300).buffer(110).union(shapely.Point(540, 330).buffer(70))


def area(ring) -> float:
    return shapely.Polygon(ring).area


def drag(pad, points) -> None:
    """Draw one stroke with the mouse, mm."""
    mouse = pad.page.mouse
    mouse.move(*pad.px(*points[0]))
    mouse.down()
    for point in points[1:]:
        mouse.move(*pad.px(*point))
    mouse.up()


@pytest.fixture
def floor(tmp_path):
    """Brown rust on grey paint, square on: 800 x 600 px."""
    picture = Image.new("RGB", (800, 600), (128, 136, 142))
    ImageDraw.Draw(picture).polygon([tuple(p) for p in RUST.exterior.coords], fill=(118, 66, 38))
    random = np.random.default_rng(0).normal(0, 4, (600, 800, 3))
    noisy = (np.asarray(picture) + random).clip(0, 255).astype(np.uint8)
    path = tmp_path / "floor.jpg"
    Image.fromarray(noisy).save(path, quality=92)
    return path


def test_strokes_brush_and_rubber_make_clean_rings(pad):
    pad.button("Draw once round the rust with pen, finger or mouse").click()
    turn = np.linspace(0, 2 * np.pi, 80)
    drag(pad, np.column_stack([300 + 60 * np.cos(turn), 200 + 40 * np.sin(turn)]).tolist())
    pad.until(lambda: len(pad.rings()) == 1)
    assert area(pad.rings()[0]) == pytest.approx(np.pi * 60 * 40, rel=0.02)
    pad.button("Brush over the rust; what touches a ring of the same kind adds to it").click()
    drag(pad, [[300, 200], [380, 200], [420, 200]])
    pad.until(lambda: area(pad.rings()[0]) > 1.1 * np.pi * 60 * 40)
    grown = area(pad.rings()[0])
    assert len(pad.rings()) == 1
    pad.button("Take away what was drawn too much").click()
    drag(pad, [[420, 230], [420, 170]])
    pad.until(lambda: area(pad.rings()[0]) < grown)
    pad.button("Undo the last change").click()
    pad.until(lambda: area(pad.rings()[0]) == pytest.approx(grown))


def click_by_colour(pad, path):
    """Scale a photo of the floor by two points, 1 px to 0.5 mm, and click on its rust."""
    choose(pad, path)
    pad.root.get_by_role("button", name="Two points", exact=True).click()
    for point in ((100, 300), (700, 300)):
        pad.click(*on_photo(pad, point, (800, 600), 0.75))
    fill(pad, distance="300 mm")
    pad.until(lambda: "1 px = 0.5 mm" in pad.root.locator(".skp-scale").inner_text())
    pad.button("By colour").click()
    pad.click(*on_photo(pad, (430, 320), (800, 600), 0.5))


def test_rust_is_proposed_by_its_colour_and_taken(pad, floor):
    click_by_colour(pad, floor)
    pad.until(lambda: pad.root.locator(".skp-proposal").count() == 1)
    assert not pad.rings()
    pad.root.locator("input[name=far]").fill("20")
    pad.settled()
    pad.root.get_by_role("button", name="Take it", exact=True).click()
    pad.until(lambda: len(pad.rings()) == 1)
    assert area(pad.rings()[0]) == pytest.approx(RUST.area / 4, rel=0.05)
    pad.until(lambda: pad.root.locator(".skp-proposal").count() == 0)


def test_where_light_hides_the_edge_the_line_is_dotted_and_it_is_said(pad, floor, tmp_path):
    """A lamp's reflection on the rust's upper edge: white, with a halo that fades over 10 px."""
    blind = Image.new("L", (800, 600))
    ImageDraw.Draw(blind).ellipse((380, 165, 440, 225), fill=255)
    blind = blind.filter(ImageFilter.GaussianBlur(4))
    picture = Image.open(floor)
    picture.paste((255, 255, 255), (0, 0), blind)
    picture.save(tmp_path / "lamp.jpg", quality=92)
    click_by_colour(pad, tmp_path / "lamp.jpg")
    pad.until(lambda: pad.root.locator(".skp-unseen").count() == 1)
    words = pad.root.locator(".skp-grow .skp-fault").inner_text()
    assert "mm of the edge (dotted): draw it there by hand, or photograph it again" in words
    assert pad.status == words
    hidden = float(words.split("Light hides ")[1].split(" mm")[0])
    assert 15 < hidden < 60  # 30 mm of it lie under the white, and the halo's
    pad.button("Take it").click()
    pad.until(lambda: len(pad.rings()) == 1)
    assert area(pad.rings()[0]) == pytest.approx(RUST.area / 4, rel=0.05)


def test_a_card_in_the_photo_scales_it_without_a_click(pad, tmp_path):
    path = tmp_path / "card.jpg"
    path.write_bytes(Scene((Lying(ALL[0]),)).photo(Camera(size=(1200, 900), lens=(-0.06, 0.0))))
    choose(pad, path)
    pad.until(lambda: "card 1" in pad.root.locator(".skp-scale").inner_text())
    assert "error about" in pad.root.locator(".skp-scale").inner_text()


def scale_of(pad) -> float:
    """The photo's scale as the pad draws it, mm a pixel of the shown picture."""
    words = pad.root.locator(".skp-scale").inner_text()
    return float(words.split("1 px = ")[1].split(" mm")[0])


def test_a_card_printed_small_is_set_right_by_what_its_square_measures(pad, tmp_path, notebook):
    path = tmp_path / "card.jpg"
    lying = Lying(ALL[0], scale=0.95)
    path.write_bytes(Scene((lying,)).photo(Camera(size=(1200, 900))))
    choose(pad, path)
    pad.until(lambda: "card 1" in pad.root.locator(".skp-scale").inner_text())
    box = pad.root.get_by_label("Card's square measures")
    assert box.input_value() == "100 mm"
    before = scale_of(pad)
    box.fill("9.5 cm")
    box.press("Enter")
    pad.until(lambda: "measures 95 mm" in pad.root.locator(".skp-scale").inner_text())
    assert scale_of(pad) == pytest.approx(0.95 * before, rel=0.01)
    assert pad.root.get_by_label("Card's square measures").input_value() == "95 mm"
    for typed, word in (("95 in", "must be 80 to 120 mm"), ("a hand", "unit of length")):
        pad.root.get_by_label("Card's square measures").fill(typed)
        pad.root.get_by_label("Card's square measures").press("Enter")
        pad.until(lambda word=word: word in pad.status)
    assert "measures 95 mm" in pad.root.locator(".skp-scale").inner_text()
    draw_something(pad)
    assert "measures 95 mm" in notebook.run(pad.job).root.locator(".skp-scale").inner_text()


def draw_something(pad) -> None:
    pad.button("Draw new shapes").click()
    pad.draw_ring([(300, 200), (380, 200), (340, 260)])
    pad.until(pad.rings)


def test_cards_on_a_long_panel_agree_or_the_odd_one_is_named(pad, tmp_path):
    camera = Camera(size=(1600, 900), look=(600, 150), away=1300)
    lying = [Lying(card, at=(40 + 460 * n, 20.0), turn=3.0 * n) for n, card in enumerate(ALL[:3])]
    path = tmp_path / "long.jpg"
    path.write_bytes(Scene(tuple(lying)).photo(camera))
    choose(pad, path)
    pad.until(lambda: "card 1 and card 2 and card 3" in pad.root.locator(".skp-scale").inner_text())
    lying[2] = Lying(ALL[2], at=lying[2].at, turn=6.0, scale=0.96)  # printed to fit the page
    (tmp_path / "odd.jpg").write_bytes(Scene(tuple(lying)).photo(camera))
    pad.root.get_by_label("Photo file").set_input_files(tmp_path / "odd.jpg")
    pad.until(lambda: "Not scaled" in pad.root.locator(".skp-scale").inner_text())
    words = pad.root.locator(".skp-scale").inner_text()
    assert "card 3" in words and "% in scale beside card 1" in words and "card 2: got" not in words
    assert "Scale not set" in words
    assert "Not scaled" in pad.status


def test_the_card_is_printed_from_the_pad(pad):
    with pad.page.expect_download() as download:
        pad.root.get_by_role("button", name="Measuring card (PDF)").click()
    content = Path(download.value.path()).read_bytes()
    assert content.startswith(b"%PDF")
    assert download.value.suggested_filename == "measuring_cards_a4.pdf"


def test_a_swapped_size_is_asked_about_and_taken_as_typed(pad, tmp_path):
    camera = Camera(size=(800, 600), tilt=15, side=5)
    corners = camera.to_px(np.array([(100, 100), (397, 100), (397, 310), (100, 310)]))
    picture = io.BytesIO()
    Image.new("RGB", (800, 600), "#8899aa").save(picture, "JPEG")
    path = tmp_path / "plain.jpg"
    path.write_bytes(picture.getvalue())
    choose(pad, path)
    pad.root.get_by_role("button", name="Four corners", exact=True).click()
    for point in corners:
        pad.click(*on_photo(pad, point, (800, 600), 0.75))
    pad.root.locator("select[name=paper]").select_option("1")
    pad.root.get_by_role("button", name="Apply", exact=True).click()
    pad.until(lambda: "swap width and height" in pad.status)
    pad.root.locator("select[name=paper]").select_option("0")
    pad.root.get_by_role("button", name="Apply", exact=True).click()
    pad.until(lambda: "rectangle 297 x 210" in pad.root.locator(".skp-scale").inner_text())
    pad.until(lambda: "1 px = " in pad.status)  # what Apply did is said where one looks
