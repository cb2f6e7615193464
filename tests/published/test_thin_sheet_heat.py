"""Heat flow in thin sheet: closed forms of Carslaw and Jaeger, Rykalin and Grong.

All values from memory of the sources named and evaluated by hand in double precision.
"""

import math

import pytest

from sheetkit import heat

K, RHO_C = 0.040, 7850e-9 * 600
"""40 W/(m K) and 4.71e6 J/(m³ K), in W/(mm K) and J/(mm³ K)."""
SHEET = {"thickness_mm": 1.0, "heat_capacity": RHO_C}


def rise(r, t, alpha, energy=1000):
    return heat.instantaneous_line_source(
        energy, r, t, conductivity=K, face_loss=alpha * 1e-6, **SHEET
    )


@pytest.mark.parametrize(
    ("r", "t", "alpha", "kelvin"),
    # Carslaw and Jaeger, Conduction of Heat in Solids, 2nd edition, section 10.3
    [
        (0, 5, 0, 397.887),
        (10, 5, 0, 220.836),
        (20, 10, 0, 61.284),
        (0, 5, 25, 377.319),
        (10, 5, 25, 209.420),
        (20, 10, 25, 55.112),
        (0, 60, 0, 33.157),
        (0, 60, 25, 17.537),
    ],
)
def test_instantaneous_line_source(r, t, alpha, kelvin):
    """1000 J in 1 mm sheet; alpha W/(m² K) from each face."""
    assert rise(r, t, alpha) == pytest.approx(kelvin, abs=5e-4)


@pytest.mark.parametrize(("r", "kelvin"), [(10, 248.62), (20, 62.15), (50, 9.94)])
def test_peak_at_a_radius(r, kelvin):
    """Q/(pi e rho c h r²) at t = r²/4a, no loss."""
    t = r**2 / (4 * K / RHO_C)
    assert rise(r, t, 0) == pytest.approx(kelvin, abs=6e-3)
    assert rise(r, t, 0) == pytest.approx(1000 / (math.pi * math.e * RHO_C * r**2), rel=1e-9)
    assert rise(r, 0.9 * t, 0) < rise(r, t, 0) > rise(r, 1.1 * t, 0)


def test_heat_left_in_the_sheet():
    """Lumped capacity: 25 W/(m² K) from both faces of 1 mm leaves 0.5289 after 60 s."""
    assert rise(0, 60, 25) / rise(0, 60, 0) == pytest.approx(0.5289, abs=5e-5)
    time_constant = -60 / math.log(rise(0, 60, 25) / rise(0, 60, 0))
    assert time_constant == pytest.approx(94.2, abs=0.05)


@pytest.mark.parametrize(("y", "kelvin"), [(10, 591.83), (20, 295.91), (50, 118.37)])
def test_peak_from_the_weld_line(y, kelvin):
    """Rykalin; Grong chapter 1: (q/v)/(sqrt(2 pi e) rho c h y), 115.2 J/mm in 1 mm sheet."""
    found = heat.peak_rise_from_weld_line(115.2, y, **SHEET)
    assert found == pytest.approx(kelvin, abs=6e-3)
    assert heat.distance_to_rise(115.2, found, **SHEET) == pytest.approx(y, rel=1e-12)


@pytest.mark.parametrize("y", [5.0, 10.0, 30.0])
def test_line_of_sources_gives_the_peak_of_a_fast_pass(y):
    """A long row of instantaneous sources, each 1 mm of the seam, is a fast pass."""
    spread = range(-400, 401)
    t = y**2 / (2 * K / RHO_C)
    row = sum(rise(math.hypot(x, y), t, 0, energy=115.2) for x in spread)
    assert row == pytest.approx(heat.peak_rise_from_weld_line(115.2, y, **SHEET), rel=1e-3)
