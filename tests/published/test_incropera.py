"""Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, ch. 9: plates in still air.

0.3 x 0.3 m at 120 degC in air of 20 degC; radiation with the Stefan-Boltzmann law.
The published correlations, evaluated by hand with the air's properties at 70 degC.
"""

import pytest

from sheetkit.heat.air import convection_coefficient, radiation_coefficient, surface_coefficient


def test_horizontal_plate():
    assert convection_coefficient(120, 20, facing="up", length_mm=75) == pytest.approx(
        8.0, abs=0.05
    )
    down = convection_coefficient(120, 20, facing="down", length_mm=75)
    assert down == pytest.approx(4.0, abs=0.05)


@pytest.mark.parametrize(("celsius", "watts"), [(120, 6.55), (500, 28.9)])
def test_radiation(celsius, watts):
    assert radiation_coefficient(celsius, 20, emissivity=0.7) == pytest.approx(watts, abs=0.05)


def test_sum():
    got = surface_coefficient(120, 20, facing="up", length_mm=75, emissivity=0.7)
    assert got == pytest.approx(14.55, abs=0.1)
