"""Shrinkage of welds against printed figures."""

import pytest

from sheetkit.base import tables
from sheetkit.formulas.shrinkage import (
    across_by_section_and_gap_mm,
    across_by_section_mm,
    along_kn,
    stretch_back_mm_per_m,
)


def constant(name, quantity):
    return tables.row("shrinkage", name, quantity)


def test_spraragen_and_ettinger():
    # A collection of formulas prints 0.365 for 5.5 mm² in 802.87 mm with a gap of 0.26 mm; it
    # multiplies both terms, right in any one unit, by 25.4 once more.
    share, gap = (constant("across_by_section_and_gap", of).value for of in ("share", "gap_share"))
    found = across_by_section_and_gap_mm(5.5, 802.87, 0.26, share, gap)
    assert 25.4 * found == pytest.approx(0.365, abs=0.0005)
    assert constant("across_by_section_and_gap", "share").low == 0.18  # value from memory


def test_a_tenth_of_the_section_over_the_thickness():
    # a method statement citing AWS D1.1 and Blodgett prints L = 0,1 Aw / t
    assert across_by_section_mm(35.0, 10.0, constant("across_by_section", "share").value) == 0.35


def test_rule_of_thumb_along_a_long_weld():
    """A welding institute's rule: a butt weld 3 m long gets 3 mm shorter, 1 mm a metre.

    F / (E A): the rule's plates are of no printed size, so only its order is asked for, with
    10 mm plate 200 mm wide and 1.5 kJ/mm.
    """
    force = along_kn(1.5, constant("force", "per_heat_input").value)
    shorter = 1e6 * force / (210_000 * 10 * 200)
    assert 0.3 < shorter < 3


def test_white_and_the_others_disagree_by_a_third():
    # 0.2 kN for each J/mm; 0.335 E alpha / (rho c) and 0.235 beside it (values from memory)
    row = constant("force", "per_heat_input")
    assert along_kn(0.1, row.value) == pytest.approx(20.0)
    assert row.low == pytest.approx(0.335 * 210_000 * 12e-6 / 4.71e-3 / 1000, abs=0.0005)
    assert row.high == 0.235


def test_stretch_is_strain_times_width():
    # 20 kN in 1 mm sheet: 0.0952 mm; over a strip of 25 mm 3.8 mm a metre
    assert stretch_back_mm_per_m(20.0, 1.0, 25.0) == pytest.approx(3.81, abs=0.005)
