"""Arc energy, heat input and gas by hand: no printed figures (those: tests/published)."""

import pytest

from sheetkit.base import tables, units
from sheetkit.formulas import arc, gas


@pytest.mark.parametrize(
    ("k", "volts", "amperes", "travel", "energy", "heat"),
    [
        (0.8, 16, 60, 400, 0.1440, 0.1152),
        (0.6, 11, 50, 100, 0.3300, 0.1980),
        (0.8, 14, 52.5, 475, 0.0928, 0.0743),
        (0.8, 16.5, 105, 500, 0.2079, 0.1663),
    ],
)
def test_heat_input(k, volts, amperes, travel, energy, heat):
    """U I 60 / (1000 v), and k times that."""
    found = arc.arc_energy_kj_per_mm(volts, amperes, travel)
    assert found == pytest.approx(energy, abs=5e-5)
    assert arc.heat_input_kj_per_mm(k, found) == pytest.approx(heat, abs=5e-5)


def test_gross_form_in_joules_per_inch():
    """60 A, 16 V, 15.748 in/min: 16 x 60 x 60 / 15.748 = 3657.6 J/in, without k."""
    travel = units.parse("15.748 in/min", "speed", field="travel")
    joules_per_inch = arc.arc_energy_kj_per_mm(16, 60, travel) * 1000 * 25.4
    assert joules_per_inch == pytest.approx(3657.6, abs=0.05)


def test_seam_gas():
    """1 m at 300 mm/min and 12 l/min: 40 l; 0.5 s before and 1 s after: 0.30 l a start."""
    assert gas.gas_arc_l(12, arc.stitch_time_s(1000, 300)) == pytest.approx(40)
    assert gas.gas_real_l(0, 1, 12, 0.5, 1.0, 0.0) == pytest.approx(0.30)


@pytest.mark.parametrize("process", ["135", "136", "141"])
def test_start_surge_is_at_most_what_the_hose_stores(process):
    """A hose of 3 m, 6.3 mm at 3 bar over the air's: pi/4 0.63² x 300 cm³ x 3 / 1.01325 = 0.277 l."""
    row = tables.row("processes", process, "start_surge")
    assert row.low <= row.value <= row.high == pytest.approx(0.277, abs=5e-3)


@pytest.mark.parametrize(
    ("amperes", "share", "wanted_share", "wanted_amperes"),
    [(180, 0.20, 0.383, 130.07), (140, 0.20, 0.484, 89.99), (100, 0.25, 1.0, 50.0)],
)
def test_current_at_another_duty_cycle(amperes, share, wanted_share, wanted_amperes):
    """I √(share / wanted share)."""
    found = arc.duty_cycle_current_a(amperes, share, wanted_share)
    assert found == pytest.approx(wanted_amperes, abs=0.01)
