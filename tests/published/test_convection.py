"""Plates in still air against a textbook's worked solutions; a copy of them was seen.

Heat and mass transfer textbook, instructor's solutions to chapter 9, natural convection:
0.54 Ra^(1/4) from a hot face up, 0.27 Ra^(1/4) from one down, with air from its table A-15.
Ours is Incropera and DeWitt's table A.4, so within 1.5 %.
"""

import pytest

from sheetkit.heat.air import convection_coefficient


@pytest.mark.parametrize(
    ("surface_c", "ambient_c", "length_mm", "facing", "coefficient"),
    [
        # solution 9-41: 0.24 x 0.20 m, A/p 0.05455 m
        (50, 20, 54.55, "up", 6.581),
        (50, 20, 54.55, "down", 3.291),
        # solution of a board of 0.15 x 0.20 m, part b, A/p 0.0429 m
        (45, 20, 42.9, "up", 6.696),
    ],
)
def test_hot_plate(surface_c, ambient_c, length_mm, facing, coefficient):
    """Printed: W/(m² K)."""
    found = convection_coefficient(surface_c, ambient_c, facing=facing, length_mm=length_mm)
    assert found == pytest.approx(coefficient, rel=0.015)
