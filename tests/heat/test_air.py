"""Losses to still air, evaluated anew: no printed figures (those: tests/published/test_convection)."""

import pytest

from sheetkit.heat.air import convection_coefficient, radiation_coefficient, surface_coefficient


def test_plate_of_300_mm_at_120_degrees():
    """Air at 70 degC: 2.02e-5 m²/s, 2.86e-5 m²/s, 0.0293 W/(m K); Ra 2.09e6, 75 mm."""
    up = convection_coefficient(120, 20, facing="up", length_mm=75)
    assert up == pytest.approx(8.0, abs=0.05)
    down = convection_coefficient(120, 20, facing="down", length_mm=75)
    assert down == pytest.approx(4.0, abs=0.05)


def test_upright_plate():
    """60 K over 20 degC, air at 50 degC: 1.822e-5 m²/s, 2.593e-5 m²/s, 0.02801 W/(m K).

    300 mm: Ra 1.0406e8, 0.59 Ra^(1/4) = 59.6; 800 mm: Ra 1.974e9, 0.10 Ra^(1/3) = 125.4.
    """
    low = convection_coefficient(80, 20, facing="vertical", length_mm=300)
    assert low == pytest.approx(59.6 * 0.02801 / 0.3, rel=2e-3)
    tall = convection_coefficient(80, 20, facing="vertical", length_mm=800)
    assert tall == pytest.approx(125.4 * 0.02801 / 0.8, rel=2e-3)


@pytest.mark.parametrize(("celsius", "watts"), [(120, 6.55), (500, 28.9)])
def test_radiation(celsius, watts):
    """0.7 x 5.67e-8 (Ts² + Ta²)(Ts + Ta), kelvin."""
    assert radiation_coefficient(celsius, 20, emissivity=0.7) == pytest.approx(watts, abs=0.05)


def test_sum():
    got = surface_coefficient(120, 20, facing="up", length_mm=75, emissivity=0.7)
    assert got == pytest.approx(14.55, abs=0.1)
