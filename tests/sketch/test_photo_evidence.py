"""How true a photographed panel becomes: lights, shadow, glare, noise, a hidden mark, a bending lens.

Every picture is made by `made_photo`'s camera, whose lens is not the one that reads it.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import shapely
from made_photo import Camera, Lying, Scene, Seen
from pyapriltags import Detector
from skimage.color import rgb2lab
from skimage.transform import ProjectiveTransform
from test_trace import hand, ragged

from sheetkit.geometry.ring import Ring
from sheetkit.sketch import photo as photos
from sheetkit.sketch.card_plane import plane
from sheetkit.sketch.colour import lab
from sheetkit.sketch.drawing import Drawing
from sheetkit.sketch.grow import Colours
from sheetkit.sketch.lens import straight
from sheetkit.sketch.measuring_card import ALL, MARK_MM, SQUARE_MM, Card
from sheetkit.sketch.rectify import apply, homography
from sheetkit.sketch.trace import stroke

RUST = shapely.affinity.translate(ragged(75, 48, 5), 380, 175)
HAND = shapely.box(-40, -30, 75, 80)
"""It covers the lower left mark of a card at (20, 20)."""
WORSE = {
    "plain": {},
    "shadow": {"shadow": True},
    "glare and noise": {"glare": True, "noise": 8.0},
    "a hand on a mark": {"hidden": (HAND,)},
    "shadow and glare": {"shadow": True, "glare": True},
}
LIGHTS = ("even", "from the side", "dim")


@cache
def seen(light: str, worse: str) -> Seen:
    seed = 10 * LIGHTS.index(light) + list(WORSE).index(worse)
    random = np.random.default_rng(seed)
    camera = Camera(
        size=(1200, 900),
        away=random.uniform(650, 950),
        look=(240.0, 170.0),
        tilt=random.uniform(-30, 30),
        side=random.uniform(-22, 22),
        roll=random.uniform(-15, 15),
        lens=(random.uniform(-0.08, 0.05), 0.0),
    )
    card = Card(1 + seed % 4, ("a4", "letter")[seed % 2])
    scene = Scene((Lying(card, turn=random.uniform(-4, 4)),), (RUST,), light=light, seed=seed)
    content = replace(scene, **WORSE[worse]).photo(camera)
    return Seen(photos.open_photo(content).by_card(), camera)


ALL_SEEN = [(light, worse) for light in LIGHTS for worse in WORSE]


@pytest.mark.parametrize(("light", "worse"), ALL_SEEN)
def test_lengths_beside_the_card_are_true_to_half_a_percent(light, worse):
    one = seen(light, worse)
    assert one.photo.square_mm == SQUARE_MM
    random = np.random.default_rng(0)
    left, low, right, high = RUST.bounds
    ends = random.uniform((left, low), (right, high), (2, 400, 2))
    true = np.hypot(*(ends[0] - ends[1]).T)
    told = np.hypot(*(one.shown(ends[0]) - one.shown(ends[1])).T)
    off = (told / true - 1)[true > 40]
    assert abs(off.mean()) < 0.005
    assert np.sqrt((off**2).mean()) < 0.005
    ring = shapely.Polygon(one.shown(shapely.get_coordinates(RUST)))
    assert ring.length == pytest.approx(RUST.length, rel=0.005)
    if worse == "a hand on a mark":
        assert "1 of 6 marks hidden" in one.photo.how


@pytest.mark.parametrize(("light", "worse"), ALL_SEEN)
def test_far_from_the_card_lengths_are_as_true_as_is_told(light, worse):
    one = seen(light, worse)
    lies = plane(one.photo.marks(), one.photo.original_px)
    random = np.random.default_rng(1)
    at_px = random.uniform((0, 0), one.camera.size, (500, 2))
    near = at_px + random.normal(0, 40, at_px.shape)
    pairs = [
        (one.camera.to_mm(px), apply(np.array(lies.to_mm), lies.straight(px)))
        for px in (at_px, near)
    ]
    true, told = (np.hypot(*(pairs[0][k] - pairs[1][k]).T) for k in (0, 1))
    off = np.abs(told / true - 1)[true > 20]
    assert np.quantile(off, 0.95) < 2 * lies.far_error  # two standard errors at the worst place
    assert lies.far_error < (0.15 if worse == "a hand on a mark" else 0.06)


@pytest.mark.parametrize(("light", "worse"), ALL_SEEN)
def test_a_shaky_stroke_on_the_photo_gives_the_area_to_one_percent(light, worse):
    one = seen(light, worse)
    for seed in range(3):
        drawn = one.shown(hand(RUST, seed))
        made = stroke(Drawing(), id="a", kind="rust_holed", points=drawn.tolist())
        assert Ring.drawn(made["points"]).polygon.area == pytest.approx(RUST.area, rel=0.01)


@pytest.mark.parametrize(("light", "worse"), ALL_SEEN)
def test_rust_grown_from_a_click_is_true_to_five_percent_after_one_slider_move(light, worse):
    one = seen(light, worse)
    colours = Colours(one.photo)
    (at,) = one.shown([RUST.representative_point().coords[0]])
    # a user moves the slider until the dashed line lies on the rust's edge
    grown = [colours.grown(at, far) for far in np.geomspace(8, 50, 9)]
    true = shapely.Polygon(one.shown(shapely.get_coordinates(RUST)))
    rings = [Ring.drawn(g.points).polygon for g in grown]
    best = min(rings, key=lambda ring: ring.symmetric_difference(true).area)
    assert best.area == pytest.approx(RUST.area, rel=0.05)


def test_the_mark_readers_own_pose_and_plane_agree():
    """Its pose of each mark (by the camera's focal length) and its homography, beside our plane."""
    camera = Camera(size=(1600, 1200), look=(150, 150), away=620, tilt=24, side=-14)
    scene = Scene((Lying(ALL[0]),), noise=1.0)
    import io

    from PIL import Image

    content = scene.photo(camera, quality=97)
    photo = photos.open_photo(content).by_card()
    grey = np.asarray(Image.open(io.BytesIO(content)).convert("L"))
    focal = camera.focal * camera.size[0]
    found = Detector(families="tag36h11", quad_decimate=1.0).detect(
        grey, True, (focal, focal, camera.size[0] / 2, camera.size[1] / 2), MARK_MM
    )
    assert len(found) == 6
    middles = np.array([one.pose_t.ravel() for one in found])  # mm before the camera
    apart = np.linalg.norm(middles[:, None] - middles[None], axis=-1)
    to_mm = np.array(photo.to_shown)

    def on_pad(px):
        return photo.to_mm(apply(to_mm, straight(px, photo.lens, photo.original_px)))

    ours = on_pad([one.center for one in found])
    told = np.linalg.norm(ours[:, None] - ours[None], axis=-1)
    far = apart > 1
    assert (told / np.where(far, apart, 1))[far] == pytest.approx(1, abs=0.02)  # a pose by one mark
    inside = np.array([(-0.5, -0.5), (0.5, -0.5), (0.5, 0.5), (-0.5, 0.5)])
    for one in found:
        square = on_pad(apply(one.homography, inside))
        sides = np.hypot(*(square - np.roll(square, 1, axis=0)).T)
        assert sides == pytest.approx(MARK_MM / 2, rel=0.015)


def test_the_projective_map_is_the_librarys():
    random = np.random.default_rng(3)
    for _ in range(20):
        source = np.array([(0, 0), (400, 0), (400, 300), (0, 300)]) + random.uniform(
            -60, 60, (4, 2)
        )
        target = np.array([(0, 0), (297, 0), (297, 210), (0, 210)], float)
        theirs = ProjectiveTransform.from_estimate(source, target)
        points = random.uniform(0, 400, (50, 2))
        assert apply(homography(source, target), points) == pytest.approx(theirs(points), abs=1e-6)


def test_colours_are_compared_as_the_library_does():
    rgb = np.random.default_rng(0).integers(0, 256, (500, 3))
    assert lab(rgb) == pytest.approx(rgb2lab(rgb / 255.0), abs=0.05)
