"""The demo photo: the script draws it again, and what is measured in it is what was drawn."""

from __future__ import annotations

import io
import json
import runpy
from pathlib import Path

import numpy as np
import pytest
import shapely
from PIL import Image

from sheetkit.job.job import load
from sheetkit.sketch import photo as photos
from sheetkit.sketch.rectify import PhotoRefused

DEMO = Path(__file__).parents[2] / "data" / "photo"


@pytest.fixture(scope="module")
def script():
    return runpy.run_path(str(DEMO / "make_photo.py"))


@pytest.fixture(scope="module")
def rectified():
    photo = photos.kept(DEMO / "floor.json")
    picture = np.asarray(Image.open(io.BytesIO(photo.shown)).convert("L"), float)
    rows, columns = np.indices(picture.shape)
    mm = photo.to_mm(np.column_stack([columns.ravel() + 0.5, rows.ravel() + 0.5]))
    return photo, picture, mm.reshape(*picture.shape, 2)


def test_the_script_draws_the_files_beside_it(script, tmp_path):
    script["write"](tmp_path)
    name = "floor.json.photo.json"
    assert (tmp_path / name).read_text() == (DEMO / name).read_text()
    assert (tmp_path / "floor.json.photo.jpg").stat().st_size < 400_000
    drawn, kept = (json.loads((folder / "floor.json").read_text()) for folder in (tmp_path, DEMO))
    for job in (drawn, kept):
        job["rings"] = [*job["panel"].pop("holes"), *(rust.pop("ring") for rust in job["rust"])]
    # another GEOS keeps other points of a ring; the trace is within 3 mm of it, rounded to 1 mm
    for ring, other in zip(drawn.pop("rings"), kept.pop("rings"), strict=True):
        rings = [shapely.LinearRing(points) for points in (ring, other)]
        assert shapely.hausdorff_distance(*rings, densify=0.1) < 7
    assert drawn == kept
    # another JPEG encoder rounds another way, so pictures are compared as seen
    pictures = [
        np.asarray(Image.open(folder / "floor.json.photo.jpg"), float)
        for folder in (tmp_path, DEMO)
    ]
    assert np.abs(pictures[0] - pictures[1]).mean() < 1.5


def test_holes_measured_in_the_rectified_photo_are_those_drawn(script, rectified):
    photo, picture, mm = rectified
    # half way between the hole's dark and the grey of the rust or paint round it
    for hole, half in [*((hole, 33) for hole in script["HOLES"]), (script["DRAIN"], 70)]:
        dark = picture < half
        near = shapely.contains_xy(hole.buffer(6), mm[..., 0], mm[..., 1])
        area = (dark & near).sum() * photo.mm_per_px**2
        assert area == pytest.approx(hole.area, rel=0.03)
        middle = mm[dark & near].mean(axis=0)
        # the holes lie beyond the card
        off = np.hypot(*(middle - hole.centroid.coords[0]))
        assert off < photo.relative_error * np.hypot(*middle)


def test_its_card_is_seen_where_the_camera_shows_it():
    told = json.loads((DEMO / "floor.json.photo.json").read_text())["steps"][0]["marks"]
    found = photos.open_photo(DEMO / "floor.json.photo.jpg").marks()
    assert [mark.number for mark in found] == [mark["number"] for mark in told]
    off = [
        np.subtract(mark.corners, there["corners"]) for mark, there in zip(found, told, strict=True)
    ]
    assert np.abs(off).max() < 0.3


def test_it_is_a_cameras_view_so_that_only_a_wrong_size_is_asked_about(script):
    photo = photos.open_photo(DEMO / "floor.json.photo.jpg")
    paper = shapely.get_coordinates(shapely.box(0, 0, 210, 297))[:4]  # A4, as it lies on the panel
    corners = script["in_photo"](script["from_card"](paper))
    corners = np.roll(corners, -int((corners[:, 0] - corners[:, 1]).argmin()), axis=0)
    photo.check_ratio(corners, 297, 210)
    with pytest.raises(PhotoRefused, match="swap width and height"):
        photo.check_ratio(corners, 210, 297)


def test_the_traced_rust_covers_the_holes(script):
    job = load(DEMO / "floor.json")
    for hole in script["HOLES"]:
        assert job.rust_shape.contains(hole)
    assert job.panel_shape.contains(job.rust_shape)
