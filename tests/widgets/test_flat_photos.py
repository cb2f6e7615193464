"""A photo of each flat of a bent panel: made true by itself, joined along the bend line, kept apart."""

import io
import shutil

import numpy as np
import pytest
from PIL import Image

from sheetkit.sketch import jobs, photo
from sheetkit.widgets import Pad

SIZE = (400, 300)
CORNERS = [[50, 250], [350, 250], [350, 50], [50, 50]]


def picture(colour):
    stream = io.BytesIO()
    Image.new("RGB", SIZE, colour).save(stream, "PNG")
    return stream.getvalue()


@pytest.fixture
def pad(tmp_path, data_folder):
    shutil.copy(data_folder / "sill_end.json", tmp_path / "sill.json")
    return Pad(tmp_path / "sill.json")


def page(pad, number, **message):
    buffers = message.pop("buffers", [])
    pad._receive(pad, {"client": "page", "number": number, **message}, buffers)


def rectified(pad, number, colour, width="150", height="100"):
    """Lay a photo under the flat in hand and make it true by its own rectangle."""
    page(pad, number, type="photo", name=f"{colour}.png", buffers=[picture(colour)])
    page(pad, number + 1, type="rectify", points=CORNERS, width=width, height=height, sure=True)


def test_each_flat_has_its_ring_between_the_bends_middles(pad):
    section = pad.job.section
    heights = [np.array(flat["ring"])[:, 1] for flat in pad.photo_flats]
    middles = [bend.middle_mm for bend in section.bends]
    wanted = [section.start_mm, *middles, section.end_mm]
    for n, ys in enumerate(heights):
        assert (ys.min(), ys.max()) == pytest.approx(wanted[n : n + 2], abs=1e-3)


def test_two_photos_made_true_apart_join_along_the_bend(pad):
    page(pad, 1, type="flat", n=1)
    rectified(pad, 2, "red")
    page(pad, 4, type="flat", n=2)
    assert pad.photo is None and [one["flat"] for one in pad.flat_photos] == [1]
    rectified(pad, 5, "blue", width="300", height="200")
    one, two = (photo.kept(pad._store.path, flat) for flat in (1, 2))
    bend = pad.job.section.bends[0].middle_mm
    assert one.at_mm == (0.0, 0.0) and two.at_mm == pytest.approx((0, bend))
    # the rectangle's lower edge is the bend line in the second, each by its own scale
    for found, low, width in ((one, 0.0, 150.0), (two, bend, 300.0)):
        marks = found.to_mm(np.array(corners_shown(found)))
        assert marks[0] == pytest.approx((0, low), abs=0.6)
        assert marks[1] == pytest.approx((width, low), abs=0.6)
    # a point of the second photo is where the drawing has it
    assert pad.photo_place["origin_mm"][1] == pytest.approx(two.origin_mm[1])


def corners_shown(found):
    """Where the rectangle's lower corners lie in the picture as it is shown, px."""
    left = (np.array(found.at_mm) - found.origin_mm) / found.mm_per_px
    wide = np.array([found.sheet_mm[0] / found.mm_per_px, 0])
    return [[x, found.size_px[1] - y] for x, y in (left, left + wide)]


def test_a_photo_is_laid_where_it_was_measured_and_stays_there(pad, tmp_path):
    page(pad, 1, type="flat", n=2)
    rectified(pad, 2, "red")
    page(pad, 4, type="place", x="25", y="120 mm")
    assert pad.photo.at_mm == (25, 120)
    page(pad, 5, type="rectify", points=CORNERS, width="160", height="100", sure=True)
    assert pad.photo.at_mm == (25, 120), "a new scale leaves its place"
    again = Pad(tmp_path / "sill.json")
    again._choose_flat(2)
    assert again.photo.at_mm == (25, 120)
    assert again.photo.origin_mm == pytest.approx(pad.photo.origin_mm)
    page(pad, 6, type="place", x="far", y="0")
    assert "x" in pad.state["refused"] and pad.photo.at_mm == (25, 120)


def test_what_the_page_cannot_choose_is_left(pad):
    for n, odd in enumerate((7, -1, "2", None, 2.0, True and "x"), 1):
        page(pad, n, type="flat", n=odd)
        assert pad.photo_flat == 0


def test_the_whole_sheets_photo_stays_apart_and_a_flats_is_taken_away_alone(pad, tmp_path):
    rectified(pad, 1, "green")
    page(pad, 3, type="flat", n=3)
    rectified(pad, 4, "red")
    page(pad, 6, type="photo")
    assert pad.photo is None and photo.kept(tmp_path / "sill.json", 3) is None
    page(pad, 7, type="flat", n=0)
    assert pad.photo.name == "green.png"
    assert sorted(p.name for p in (tmp_path / "sill.sketch").iterdir()) == [
        "photo.jpg",
        "photo.json",
    ]


def test_photos_go_along_with_a_copy_and_a_new_name(pad, tmp_path):
    page(pad, 1, type="flat", n=2)
    rectified(pad, 2, "red")
    jobs.copy(tmp_path / "sill.json", tmp_path / "copy.json")
    assert photo.kept(tmp_path / "copy.json", 2).name == "red.png"
    jobs.rename(tmp_path / "copy.json", tmp_path / "other.json")
    assert photo.kept(tmp_path / "other.json", 2).name == "red.png"
    assert not (tmp_path / "copy.sketch").exists()


def test_a_flat_panel_has_one_photo_and_loses_none_when_it_is_made_flat(pad):
    page(pad, 1, type="flat", n=2)
    rectified(pad, 2, "red")
    pad.change_job(panel__profile=None)
    assert pad.photo_flats == [] and pad.photo_flat == 0 and pad.flat_photos == []
    assert photo.kept(pad._store.path, 2).name == "red.png", "it is there again with the bends"
