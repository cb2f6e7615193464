"""Regions grown from a click, on photos whose outlines are known."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
import shapely
from PIL import Image
from scipy import ndimage

from sheetkit.geometry.ring import Ring
from sheetkit.sketch import photo as photos
from sheetkit.sketch.colour import lab
from sheetkit.sketch.grow import Colours
from sheetkit.sketch.photo_scale import Photo
from sheetkit.sketch.rectify import PhotoRefused
from sheetkit.sketch.shape_kinds import EditRefused

RUST = shapely.Point(300, 220).buffer(90).union(shapely.Point(400, 260).buffer(60))
HOLE = shapely.Point(300, 230).buffer(35)
LAMP_MM = 22.0
LAMP = shapely.Point(440, 300).buffer(LAMP_MM)
"""A lamp's reflection over the rust's edge."""


def made(light: str = "even", noise: float = 5.0) -> Photo:
    """A photo square on, 600 x 450 mm at 0.5 mm a pixel, brown rust with a dark hole in grey paint."""
    random = np.random.default_rng(4)
    width, height = 1200, 900
    x, y = np.meshgrid((np.arange(width) + 0.5) / 2, (height - np.arange(height) - 0.5) / 2)
    picture = np.empty((height, width, 3))
    picture[:] = (128, 136, 142)
    picture[shapely.contains_xy(RUST, x, y)] = (118, 66, 38)
    picture[shapely.contains_xy(HOLE, x, y)] = (22, 20, 20)
    grain = ndimage.gaussian_filter(random.normal(size=x.shape), 4)
    picture *= (1 + 0.05 * grain / grain.std())[:, :, None]
    if light == "side":
        picture *= (0.7 + 0.5 * x / 600)[:, :, None]
    if light == "shadow":
        picture *= np.where(x + y > 760, 0.6, 1.0)[:, :, None]
    if light == "shadow across":
        picture *= np.where(x + y > 610, 0.22, 1.0)[:, :, None]
    if light == "glare across":
        picture += 190 * np.exp(-(((x - 380) / 70) ** 2) - ((y - 300) / 70) ** 2)[:, :, None]
    if light == "lamp":
        spot = np.clip((LAMP_MM - np.hypot(x - 440, y - 300)) / 0.5, 0, 1)
        picture += (255 - picture) * spot[:, :, None]
    picture = ndimage.gaussian_filter(picture, (1, 1, 0)) + random.normal(0, noise, picture.shape)
    buffer = io.BytesIO()
    Image.fromarray(picture.clip(0, 255).astype(np.uint8)).save(buffer, "JPEG", quality=90)
    photo = photos.open_photo(buffer.getvalue())
    return photo.calibrated([(100, 800), (1100, 800)], 500.0)


def area_of(proposal) -> float:
    return Ring.drawn(proposal.points).polygon.area


@pytest.mark.parametrize("light", ["even", "side", "shadow"])
def test_rust_and_hole_are_found_to_five_percent(light):
    colours = Colours(made(light))
    hole = colours.grown((300, 230))
    rust = colours.grown((420, 260))
    assert area_of(hole) == pytest.approx(HOLE.area, rel=0.05)
    assert area_of(rust) == pytest.approx(RUST.area, rel=0.05)
    assert (hole.kind, rust.kind) == ("rust_holed", "rust_pitted")


@pytest.mark.parametrize("light", ["shadow across", "glare across"])
@pytest.mark.parametrize("at", [(420, 260), (250, 170)])
def test_rust_half_in_a_shadow_or_under_glare_is_found_to_five_percent(light, at):
    colours = Colours(made(light))
    for far in (None, 17.0):
        rust = colours.grown(at, far)
        assert area_of(rust) == pytest.approx(RUST.area, rel=0.05)
        assert rust.kind == "rust_pitted"
        assert not rust.hidden


def test_where_a_lamp_hides_the_edge_it_is_supposed_and_said():
    rust = Colours(made("lamp")).grown((420, 250))
    hidden = shapely.union_all([shapely.LineString(part) for part in rust.hidden])
    under = RUST.exterior.intersection(LAMP).length
    assert under < hidden.length < under + 30  # and what its halo may hide
    assert hidden.distance(LAMP.centroid) < 0.75 * LAMP_MM  # it is led across
    assert hidden.difference(LAMP.buffer(30)).length < 1
    assert area_of(rust) == pytest.approx(RUST.area, rel=0.05)
    plain = Colours(made()).grown((420, 250))
    assert not plain.hidden and not plain.faint


def test_a_farther_look_takes_more_and_a_smoother_one_has_fewer_corners():
    colours = Colours(made(noise=12))
    areas = [area_of(colours.grown((420, 260), far)) for far in (10, 20, 30)]
    assert areas == sorted(areas)
    rough, smooth = (colours.grown((420, 260), 20, mm) for mm in (0.0, 12.0))
    length = [Ring.drawn(one.points).polygon.length for one in (rough, smooth)]
    assert length[1] < length[0]


def test_the_demo_photos_holes_are_found():
    import importlib.util

    folder = Path(__file__).parents[2] / "data/photo"
    spec = importlib.util.spec_from_file_location("make_photo", folder / "make_photo.py")
    make_photo = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(make_photo)
    colours = Colours(photos.kept(folder / "floor.json"))
    for hole in make_photo.HOLES:
        at = hole.representative_point()
        found = colours.grown((at.x, at.y))
        assert area_of(found) == pytest.approx(hole.area, rel=0.08)  # as proposed, no slider moved
        assert area_of(colours.grown((at.x, at.y), 20.0)) == pytest.approx(hole.area, rel=0.05)
        assert found.kind == "rust_holed"


@pytest.mark.parametrize(
    ("rgb", "expected"),
    [
        ((255, 255, 255), (100, 0, 0)),
        ((0, 0, 0), (0, 0, 0)),
        ((255, 0, 0), (53.24, 80.09, 67.20)),
        ((0, 255, 0), (87.73, -86.18, 83.18)),
        ((0, 0, 255), (32.30, 79.19, -107.86)),
    ],
)
def test_colours_are_the_published_ones(rgb, expected):
    """The primaries of sRGB in CIE L*a*b*, D65, as colour tables print them; value from memory."""
    assert lab(np.array([rgb], float))[0] == pytest.approx(expected, abs=0.05)


@pytest.mark.parametrize(
    ("asked", "error", "word"),
    [
        ({"at_mm": (9000, 0)}, PhotoRefused, "must be on the photo"),
        ({"at_mm": ("x", 0)}, PhotoRefused, "must be on the photo"),
        ({"at_mm": (300, 230), "far": 900}, PhotoRefused, "2 to 80"),
        ({"at_mm": (300, 230), "smooth_mm": -1}, PhotoRefused, "0 to 20"),
        ({"at_mm": (300, 230), "smooth_mm": float("nan")}, PhotoRefused, "0 to 20"),
    ],
)
def test_what_cannot_be_grown_is_said(asked, error, word):
    with pytest.raises(error, match=word):
        Colours(made()).grown(**asked)


def test_a_region_too_small_is_refused():
    with pytest.raises(EditRefused, match="enclose at least"):
        Colours(made(noise=30)).grown((30, 30), 2.0, 20.0)
