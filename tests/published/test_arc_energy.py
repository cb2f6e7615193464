"""Arc energy, and the part of it that goes into the sheet."""

import pytest

from sheetkit.base import tables
from sheetkit.formulas import arc


def test_arc_energy_of_a_printed_example():
    """A welding course's worked example: 20 V, 300 A, 2.5 mm/s: 2,400 J/mm (gross); a copy seen."""
    assert arc.arc_energy_kj_per_mm(20, 300, 2.5 * 60) == pytest.approx(2.4, abs=1e-9)


@pytest.mark.parametrize(
    ("process", "efficiency"),
    # EN 1011-1:2009 Table 1 = ISO/TR 17671-1:2002 Table 1 (clause from memory); the factors by
    # process number, 114 among them, seen in an engineers' forum that quotes the standard
    [("135", 0.8), ("136", 0.8), ("114", 0.8), ("141", 0.6)],
)
def test_thermal_efficiency(process, efficiency):
    assert tables.row("processes", process, "thermal_efficiency").value == efficiency


@pytest.mark.parametrize(
    ("process", "measured"),
    [
        # by calorimeter, abstract seen: Welding Journal 74(12) 1995, 406-s (page from memory):
        # consumable electrodes 0.84, gas tungsten arc 0.67
        ("135", 0.84),
        ("114", 0.84),
        ("141", 0.67),
        # controlled dip transfer, abstract seen: doi 10.1179/1362171810Y.0000000029: about 85 %
        ("135", 0.85),
    ],
)
def test_measured_efficiency_lies_in_the_range(process, measured):
    row = tables.row("processes", process, "thermal_efficiency")
    assert row.low <= measured <= row.high
