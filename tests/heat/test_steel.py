"""Specific heat and conductivity of steel: the standard's formulas evaluated anew.

The formulas of EN 1993-1-2:2005 clauses 3.4.1.2 and 3.4.1.3, worked out by hand; what the
standard itself prints: tests/published/test_en1993_steel.
"""

import numpy as np
import pytest

from sheetkit.heat.steel import MILD_STEEL, conductivity_en1993, specific_heat_en1993


@pytest.mark.parametrize(
    ("celsius", "joules"),
    [
        (20, 439.8),
        (100, 487.6),
        (400, 605.9),
        (600, 760.2),
        (735, 5000.0),
        (800, 803.3),
        (1000, 650),
    ],
)
def test_specific_heat(celsius, joules):
    assert specific_heat_en1993(celsius) == pytest.approx(joules, abs=0.06)


@pytest.mark.parametrize(
    ("celsius", "watts"), [(20, 53.33), (400, 40.68), (800, 27.3), (1200, 27.3)]
)
def test_conductivity(celsius, watts):
    assert conductivity_en1993(celsius) == pytest.approx(watts, abs=0.01)


def test_means_over_the_range():
    warm, hot = np.linspace(20, 600, 100_001), np.linspace(20, 1200, 400_001)
    assert specific_heat_en1993(warm).mean() == pytest.approx(578.9, abs=0.05)
    assert specific_heat_en1993(hot).mean() == pytest.approx(700.9, abs=0.05)
    assert conductivity_en1993(np.linspace(20, 800, 10_001)).mean() == pytest.approx(40.3, abs=0.05)


def test_the_constants_taken_are_round_means():
    """40 W/(m K) and 7850 kg/m³ x 600 J/(kg K) for means of 40.3 and 578.9."""
    assert pytest.approx(40.3, rel=0.01) == MILD_STEEL.conductivity_w_mk
    per_kg = MILD_STEEL.heat_capacity_j_mm3k * 1e9 / 7850
    assert per_kg == pytest.approx(578.9, rel=0.04)
