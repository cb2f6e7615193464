"""K from test strips: exact strips give it back, noisy ones within what is said."""

import math
from dataclasses import replace

import numpy as np
import pytest

from sheetkit import OutOfRange
from sheetkit.geometry.bend_strip import BentStrip, Within, k_from_strip


def strip(k, legs=(50.0, 30.0), radius=1.5, thickness=1.0, angle=90.0):
    """A strip as it comes out when K is k: flats between tangents, arcs on the neutral line."""
    bends = len(legs) - 1
    reach = (radius + thickness) * (math.tan(math.radians(angle) / 2) if angle < 90 else 1.0)
    blank = sum(legs) - 2 * bends * reach + bends * math.radians(angle) * (radius + k * thickness)
    return BentStrip(blank, tuple(legs), radius, thickness, angle)


@pytest.mark.parametrize("k", [0.3, 0.42, 0.5])
@pytest.mark.parametrize("angle", [30, 60, 90, 135])
def test_an_exact_strip_gives_k_back(k, angle):
    assert k_from_strip(strip(k, (60, 40, 60), angle=angle)).value == pytest.approx(k, abs=1e-9)


def test_worked_by_hand():
    """50 + 30 bent from 78.08 in 1 mm over r 1: 2 x 2 of set-back, 2.08 of arc, K 0.325."""
    found = k_from_strip(BentStrip(78.0813, (50, 30), 1.0, 1.0))
    assert found.value == pytest.approx(((78.0813 - 80 + 4) / (math.pi / 2) - 1), abs=1e-9)
    assert found.value == pytest.approx(0.325, abs=1e-4)


def test_uncertainty_by_hand():
    """Only lengths: three readings within 0.2 mm, 2 sqrt(3 / 3) 0.2 / (pi / 2) in 1 mm sheet."""
    found = k_from_strip(strip(0.4), Within(0.2, 0, 0, 0))
    assert found.uncertainty == pytest.approx(2 * 0.2 / (math.pi / 2), rel=1e-6)
    radius = k_from_strip(strip(0.4), Within(0, 0, 0.3, 0)).uncertainty
    assert radius == pytest.approx(2 * 0.3 / math.sqrt(3) * (4 / math.pi - 1), rel=1e-6)


def test_more_bends_and_more_strips_narrow_it():
    one = k_from_strip(strip(0.4)).uncertainty
    assert k_from_strip(strip(0.4, (40, 30, 30, 40))).uncertainty < 0.7 * one
    four = k_from_strip([strip(0.4)] * 4, Within(radius_mm=0, thickness_mm=0)).uncertainty
    lone = k_from_strip(strip(0.4), Within(radius_mm=0, thickness_mm=0)).uncertainty
    assert four == pytest.approx(lone / 2, rel=1e-6)


def test_noisy_strips_hold_k_within_what_is_said():
    """400 shops measure three strips each, all readings off within their half-widths."""
    draw, within, hits, off = np.random.default_rng(5), Within(), 0, []
    for _ in range(400):
        k = draw.uniform(0.3, 0.5)
        radius, thick = draw.uniform(-1, 1, 2) * (within.radius_mm, within.thickness_mm)
        measured = []
        for _ in range(3):
            true = strip(k, (50, 40, 30), 2.0, 1.0, 90 + draw.uniform(-1, 1))
            noise = draw.uniform(-1, 1, 4) * within.length_mm
            measured.append(
                replace(
                    true,
                    blank_mm=true.blank_mm + noise[0],
                    legs_mm=tuple(np.add(true.legs_mm, noise[1:])),
                    angle_deg=90.0,
                    radius_mm=2.0 + radius,
                    thickness_mm=1.0 + thick,
                )
            )
        found = k_from_strip(measured)
        hits += abs(found.value - k) <= found.uncertainty
        off.append(found.value - k)
    assert 0.90 <= hits / 400 <= 0.999
    assert abs(np.mean(off)) < 0.02


def test_strips_that_disagree_count_by_their_scatter():
    found = k_from_strip([strip(0.2), strip(0.6)], Within(0.01, 0, 0, 0))
    assert found.uncertainty == pytest.approx(2 * math.sqrt(0.08 / 2), rel=1e-6)
    assert str(found) == "0.40 ± 0.40 (2 strips)"


@pytest.mark.parametrize(
    ("strips", "word"),
    [
        ([], "at least one"),
        ([BentStrip(50, (50,), 1, 1)], "at least 2"),
        ([BentStrip(50, (30, 21), 1, 1, 10)], "strip angle"),
        ([BentStrip(50, (30, 21), 0, 1)], "strip radius"),
        ([BentStrip(50, (30, 21), 1, 0)], "strip thickness"),
    ],
)
def test_what_is_no_strip(strips, word):
    with pytest.raises(OutOfRange, match=word):
        k_from_strip(strips)
