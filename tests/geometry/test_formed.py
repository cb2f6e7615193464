"""Flanges on curved edges, joggles, swages and crowns against closed forms and marched surfaces."""

import math

import numpy as np
import pytest
from shapely import LineString, Point

from sheetkit import OutOfRange
from sheetkit.geometry.curved_flange import CurvedFlange, developed_width, edge_curves
from sheetkit.geometry.fold import bent_length
from sheetkit.geometry.formed import (
    bowed_strain,
    crown_radius,
    dished_strain,
    joggle,
    swage_taken,
)


@pytest.mark.parametrize(("R", "w"), [(50, 10), (200, 15), (300, 25)])
def test_a_sharp_square_lip_of_a_hole_and_of_a_disc(R, w):
    """As sheet and radius get thin: w/(R - w) stretch for a hole, -w/(R + w) for a disc."""
    thin = 1e-3
    hole = CurvedFlange(R, True, w, 90, thin, thin).strain
    disc = CurvedFlange(R, False, w, 90, thin, thin).strain
    assert hole == pytest.approx(w / (R - w), rel=1e-3)
    assert disc == pytest.approx(-w / (R + w), rel=1e-3)


@pytest.mark.parametrize("angle", [30, 60, 90, 120])
@pytest.mark.parametrize("inward", [True, False])
def test_strain_by_marching_along_the_flange(angle, inward):
    """The middle of the sheet followed from the bend's tangent in small steps."""
    R, w, r, t = 120.0, 18.0, 3.0, 1.0
    sign = -1 if inward else 1
    back = (r + t) * (math.tan(math.radians(angle) / 2) if angle < 90 else 1)
    bent, flat = bent_length(angle, r, t), w - back
    steps = 20_000
    turns = np.radians(angle) * (np.arange(steps) + 0.5) / steps
    rho = R - sign * back
    after = rho + sign * ((r + t / 2) * np.radians(angle) / steps * np.cos(turns)).sum()
    after += sign * flat * math.cos(math.radians(angle))
    before = rho + sign * (bent + flat)
    found = CurvedFlange(R, inward, w, angle, r, t).strain
    assert found == pytest.approx(after / before - 1, rel=1e-6)
    assert (found > 0) is inward


def test_a_hole_smaller_than_its_lip():
    assert CurvedFlange(10, True, 15, 90, 1, 1).strain == math.inf


def test_developed_width_of_a_square_lip():
    """20 less 1.919 (1 mm over 1 mm)."""
    assert developed_width(20, 90, 1, 1) == pytest.approx(18.081, abs=1e-3)


def test_a_circle_is_read_as_its_radius():
    ring = LineString(Point(0, 0).buffer(80, quad_segs=32).exterior.coords)
    left, right = edge_curves(LineString(ring.coords), 12)
    inner = right if left.radius_mm == math.inf else left
    assert inner.radius_mm == pytest.approx(80, rel=2e-2)
    assert inner.turned_deg == pytest.approx(360, abs=1e-6)
    assert {left.radius_mm, right.radius_mm} - {inner.radius_mm} == {math.inf}


def test_an_arch_turns_to_one_side_and_a_wave_to_both():
    at = np.linspace(0, np.pi, 60)
    arch = LineString(np.column_stack([300 * np.cos(at), 300 * np.sin(at)]))
    left, right = edge_curves(arch, 15)
    assert left.radius_mm == pytest.approx(300, rel=5e-2)
    assert left.turned_deg == pytest.approx(180, rel=0.15) and right.radius_mm == math.inf
    wave = LineString(np.column_stack([200 * at, 50 * np.sin(2 * at)]))
    assert max(curve.radius_mm for curve in edge_curves(wave, 15)) < 1000
    straight = edge_curves(LineString([(0, 0), (300, 0)]), 15)
    assert [curve.radius_mm for curve in straight] == [math.inf, math.inf]


@pytest.mark.parametrize(("d", "X", "r", "t"), [(1, 8, 2, 1), (0.8, 6, 1, 0.8), (1.2, 20, 3, 1)])
def test_joggle_offset_and_length_by_marching(d, X, r, t):
    """Two arcs of the middle and the straight between, walked: they end d aside, X on."""
    found = joggle(d, X, r, t)
    turn, middle = math.radians(found.angle_deg), r + t / 2
    flat = found.developed_mm - 2 * bent_length(found.angle_deg, r, t)
    aside = 2 * middle * (1 - math.cos(turn)) + flat * math.sin(turn)
    on = 2 * middle * math.sin(turn) + flat * math.cos(turn)
    assert (aside, on) == pytest.approx((d, X), abs=1e-9)
    assert found.taken_mm == pytest.approx(found.developed_mm - X, abs=1e-12)
    assert abs(found.taken_mm) < 0.3


def test_a_long_shallow_joggle_takes_up_what_a_slope_does():
    """d^2 / (2 X), where the neutral line is the middle."""
    assert joggle(1, 100, 5, 1).taken_mm == pytest.approx(1 / 200, rel=0.2)


def test_a_joggle_needs_its_run():
    with pytest.raises(OutOfRange, match="joggle run"):
        joggle(2.0, 1.0, 3, 1)
    least = math.sqrt(2.0 * (2 * 7 - 2.0))
    assert joggle(2.0, least * 1.001, 3, 1).angle_deg == pytest.approx(
        math.degrees(math.acos(1 - 2 / 7)), rel=0.05
    )


@pytest.mark.parametrize(("b", "h"), [(20, 4), (20, 10), (20, 15)])
def test_swage_by_its_chords(b, h):
    R = (b * b / 4 + h * h) / (2 * h)
    end = math.atan2(R - h, b / 2)
    at = np.linspace(end, math.pi - end, 20_001)
    length = np.hypot(np.diff(R * np.cos(at)), np.diff(R * np.sin(at))).sum()
    assert swage_taken(b, h) == pytest.approx(length - b, rel=1e-6)


def test_a_half_round_swage():
    """pi b / 2 - b."""
    assert swage_taken(30, 15) == pytest.approx(30 * (math.pi / 2 - 1), abs=1e-9)


def test_crown_radius():
    """The half circle, and a shallow one: b^2 / 8h."""
    assert crown_radius(200, 100) == pytest.approx(100)
    assert crown_radius(300, 1) == pytest.approx(300**2 / 8 + 0.5)


def test_dished_disc_balances():
    """The stresses behind it satisfy equilibrium and compatibility, looked at by differences."""
    a, K, h = 100.0, 1 / (1000 * 2000), 1e-2
    r = np.arange(1.0, 99.0)
    radial = lambda r: K * (a**2 - r**2) / 16  # noqa: E731
    hoop = lambda r: K * (a**2 - 3 * r**2) / 16  # noqa: E731
    slope = ((r + h) * radial(r + h) - (r - h) * radial(r - h)) / (2 * h)
    assert slope == pytest.approx(hoop(r), abs=1e-10)
    total = lambda r: radial(r) + hoop(r)  # noqa: E731
    bulge = (total(r + h) - 2 * total(r) + total(r - h)) / h**2
    bulge += (total(r + h) - total(r - h)) / (2 * h) / r
    assert bulge == pytest.approx(np.full_like(r, -K), rel=1e-3)
    assert dished_strain(a, 1000, 2000) == pytest.approx(-hoop(a), rel=1e-12)


def test_bowed_section():
    assert bowed_strain(60, 3000) == pytest.approx(0.01)
