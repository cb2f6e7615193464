"""Cooling time from 800 to 500 degC: the standard's formulas evaluated anew.

No printed figures: EN 1011-2:2001 clause D.6 (as SEW 088; clause from memory; the formulas
seen in a steel maker's welding handbook, 2nd edition, formulas 3.1 and 3.2, p. 17), worked
out apart from the program in double precision.
"""

import pytest

from sheetkit.heat.cooling import cooling_time_8_5, transition_thickness


@pytest.mark.parametrize(
    ("q", "d", "start", "factor", "seconds"),
    [
        (1.0, 10, 20, 1.0, 11.36),
        (0.1, 1.0, 20, 1.0, 11.36),
        (0.1, 1.0, 100, 1.0, 16.29),
        (0.2, 2.0, 20, 0.9, 10.23),
        (0.1, 1.0, 20, 0.7, 7.95),
    ],
)
def test_two_dimensional(q, d, start, factor, seconds):
    got = cooling_time_8_5(q, d, start_c=start, weld_factor_2d=factor)
    assert got == pytest.approx(seconds, abs=5e-3)


def test_thick_plate_is_three_dimensional():
    assert cooling_time_8_5(1.0, 100, start_c=20) == pytest.approx(5.29, abs=5e-3)


@pytest.mark.parametrize(("q", "thickness"), [(1.0, 14.66), (0.1, 4.64)])
def test_transition_thickness(q, thickness):
    assert transition_thickness(q, start_c=20) == pytest.approx(thickness, abs=5e-3)
