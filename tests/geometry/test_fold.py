"""Folded patches developed flat, against hand numbers."""

import math

import pytest
from shapely import box

from sheetkit import OutOfRange, estimate
from sheetkit.geometry.fold import Fold, bend_allowance, bend_shortening, developed

SHORT = 1.919
"""Sheet 1, radius 1, right angle: DIN 6935:2011 (value from memory)."""


def across(at, width, angle=90, radius=1.0):
    return Fold(((at, 0), (at, width)), angle, radius)


def size(shape):
    left, bottom, right, top = shape.bounds
    return right - left, top - bottom


@pytest.mark.parametrize(
    ("thickness", "radius", "shortening"), [(1, 1, -1.919), (1, 2, -2.230), (2, 2, -3.837)]
)
def test_right_angle_by_hand(thickness, radius, shortening):
    """pi/2 (r + k s/2) - 2 (r + s), k = 0.65 + 0.5 lg(r/s): 0.65, 0.8005, 0.65."""
    found = bend_shortening(90, radius, thickness)
    assert found == pytest.approx(shortening, abs=6e-4)


def test_wide_radius_bends_on_the_middle():
    """k = 1 from r/s = 5 on, so the neutral line is the middle one."""
    assert bend_shortening(90, 10, 1) == pytest.approx(math.pi / 2 * 10.5 - 2 * 11, abs=1e-9)


@pytest.mark.parametrize("radius", [0.5, 1, 2, 4])
def test_both_forms_agree_on_a_right_angle(radius):
    """The allowance with K = k/2, less both outside set-backs r + s, is the shortening."""
    k = 0.65 + 0.5 * math.log10(radius)
    expected = bend_allowance(90, radius, 1, k / 2) - 2 * (radius + 1)
    assert bend_shortening(90, radius, 1) == pytest.approx(expected, abs=1e-9)


def test_legs_of_50_and_30():
    """50 + 30 - 1.919 = 78.08 mm; the bend line in the middle of the strip: 50 - 0.96 from the end."""
    blank, bends = developed(box(0, 0, 80, 40), [across(50, 40)], 1.0)
    assert size(blank) == pytest.approx((78.08, 40), abs=5e-3)
    assert blank.area == pytest.approx(78.081 * 40, abs=0.05)
    (bend,) = bends
    assert bend.line.length == pytest.approx(40, abs=1e-3)
    left = blank.bounds[0]
    assert bend.line.bounds[0] - left == pytest.approx(50 - SHORT / 2, abs=5e-3)
    assert blank.bounds[2] - bend.line.bounds[0] == pytest.approx(30 - SHORT / 2, abs=5e-3)


def test_channel_of_two_folds():
    """Legs 30 + 40 + 30: 100 - 2 x 1.919; bend lines 40 - 1.919 apart."""
    blank, bends = developed(box(0, 0, 100, 25), [across(30, 25), across(70, 25)], 1.0)
    assert size(blank) == pytest.approx((100 - 2 * SHORT, 25), abs=5e-3)
    assert len(bends) == 2
    first, second = sorted(bend.line.bounds[0] for bend in bends)
    assert second - first == pytest.approx(40 - SHORT, abs=5e-3)
    assert first - blank.bounds[0] == pytest.approx(30 - SHORT / 2, abs=5e-3)


def test_direction_of_the_fold_line_does_not_matter():
    there, _ = developed(box(0, 0, 80, 40), [across(50, 40)], 1.0)
    back, _ = developed(box(0, 0, 80, 40), [Fold(((50, 40), (50, 0)), 90, 1.0)], 1.0)
    assert there.area == pytest.approx(back.area)


def test_oblique_fold_takes_out_its_strip():
    """A fold at 45 degrees through a square's middle: the strip is the diagonal x the shortening."""
    blank, (bend,) = developed(box(0, 0, 60, 60), [Fold(((0, 0), (60, 60)), 90, 1.0)], 1.0)
    strip = 60**2 - 2 * ((60 * math.sqrt(2) / 2 - SHORT / 2) ** 2)
    assert blank.area == pytest.approx(60**2 - strip, abs=0.1)
    assert bend.line.length == pytest.approx(2 * (60 * math.sqrt(2) / 2 - SHORT / 2), rel=1e-3)


def test_obtuse_opening_angle():
    """Turned 30 degrees (opening 150): pi/6 (r + k/2) - 2 (r + s) tan 15 degrees, k 0.65."""
    expected = math.pi / 6 * (1 + 0.325) - 4 * math.tan(math.radians(15))
    assert bend_shortening(30, 1, 1) == pytest.approx(expected, abs=1e-9)


def test_shallow_bend_shortens_nothing():
    """DIN 6935: openings over 165 degrees count as flat (value from memory)."""
    assert bend_shortening(14.9, 1, 1) == 0
    assert bend_shortening(0, 1, 1) == 0


@pytest.mark.parametrize(
    ("angle", "radius", "thickness", "word"),
    [
        (181, 1, 1, "fold angle"),
        (-1, 1, 1, "fold angle"),
        (90, 0.1, 1, "fold radius"),
        (90, 101, 1, "fold radius"),
        (90, 1, 0.2, "thickness"),
        (math.nan, 1, 1, "fold angle"),
    ],
)
def test_outside_its_range(angle, radius, thickness, word):
    with pytest.raises(OutOfRange, match=word):
        bend_shortening(angle, radius, thickness)


def test_each_bend_carries_its_own_fold():
    """Two parallel folds 1 mm apart, drawn one way and the other: no nearest line tells them apart."""
    folds = [across(40, 25, 30, 1.0), Fold(((41, 25), (41, 0)), 60, 2.0, "back")]
    for order in (folds, folds[::-1]):
        blank, bends = developed(box(0, 0, 100, 25), order, 1.0)
        assert [(b.angle_deg, b.radius_mm, b.toward) for b in bends] == [
            (fold.angle_deg, fold.radius_mm, fold.toward) for fold in order
        ]


def test_estimate_develops_the_patch(job):
    """Rust 100 x 60, margin 25, box, gap 1: patch 148 x 108; a right-angle fold along it."""
    result = estimate(
        job(
            patch={
                "shape": "box",
                "gap": 1,
                "folds": [{"line": [[-50, 30], [150, 30]], "angle": 90, "radius": 1}],
            }
        )
    )
    (patch,) = result.patches
    assert size(patch.outline) == pytest.approx((148, 108), abs=0.05)
    assert size(patch.blank) == pytest.approx((148, 108 - SHORT), abs=0.05)
    (bend,), (fold,) = patch.bends, patch.folds
    assert (bend.angle_deg, bend.radius_mm, bend.toward) == (90, 1, None)
    assert fold.line == ((-50, 30), (150, 30))
