"""Bends: DIN 6935 (values from memory) and the handbook's bend allowance.

The published formulas, evaluated apart from the program.
"""

import pytest

from sheetkit.geometry import fold


@pytest.mark.parametrize(
    ("thickness", "radius", "shortening"), [(1, 1, -1.919), (1, 2, -2.230), (2, 2, -3.837)]
)
def test_right_angle(thickness, radius, shortening):
    """DIN 6935:2011 (value from memory), opening angle 90 degrees."""
    found = fold.bend_shortening(90, radius, thickness)
    assert found == pytest.approx(shortening, abs=6e-4)


def test_legs_of_50_and_30():
    """Sheet 1, radius 1: 50 + 30 - 1.919 = 78.08 mm."""
    assert 50 + 30 + fold.bend_shortening(90, 1, 1) == pytest.approx(78.08, abs=5e-3)


def test_wide_radius_bends_on_the_middle():
    """DIN 6935: k = 1 from r/s = 5 on, so the neutral line is the middle one."""
    pi = 3.141592653589793
    assert fold.bend_shortening(90, 10, 1) == pytest.approx(pi / 2 * 10.5 - 2 * 11, abs=1e-9)


@pytest.mark.parametrize(
    ("radius", "thickness", "k", "allowance", "half_digit"),
    [(1, 1, 0.325, 2.0813, 5e-5), (3, 3, 0.325, 6.244, 5e-4)],
)
def test_handbook_allowance(radius, thickness, k, allowance, half_digit):
    """Machinery's Handbook, 26th edition: BA = pi/180 A (r + K t), 90 degrees."""
    found = fold.bend_allowance(90, radius, thickness, k)
    assert found == pytest.approx(allowance, abs=half_digit)


@pytest.mark.parametrize("radius", [0.5, 1, 2, 4])
def test_both_forms_agree_on_a_right_angle(radius):
    """BA with K = k/2 less both outside set-backs r + s is DIN 6935's v."""
    from math import log10

    k = 0.65 + 0.5 * log10(radius)
    expected = fold.bend_allowance(90, radius, 1, k / 2) - 2 * (radius + 1)
    assert fold.bend_shortening(90, radius, 1) == pytest.approx(expected, abs=1e-9)
