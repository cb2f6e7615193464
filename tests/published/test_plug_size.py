"""Plug welds: AWS D1.3 effective diameter, AISC 360 J2.3 hole."""

import pytest

from sheetkit.base import tables
from sheetkit.formulas import filler

LEAST_EFFECTIVE_MM = 9.525
"""3/8 in: AWS D1.3:2008 clause 2.2.6, as quoted by engineers (a building code)."""


@pytest.mark.parametrize(
    ("visible_mm", "thickness_mm", "half_digit"),
    [(0.793 * 25.4, 0.120 * 25.4, 0.7 * 25.4 * 5e-4), (15.75, 1.0, 0.7 * 5e-3)],
)
def test_effective_diameter(visible_mm, thickness_mm, half_digit):
    """de = 0.7 d - 1.5 t: 0.120 in sheet wants 0.793 in to be seen; 1.0 mm sheet 15.75 mm."""
    found = filler.plug_effective_diameter_mm(visible_mm, thickness_mm)
    assert found == pytest.approx(LEAST_EFFECTIVE_MM, abs=half_digit)


def test_hole_by_the_steel_building_code():
    """AISC 360 J2.3: hole at least t + 5/16 in; 1.0 mm sheet: 8.9 mm, the top of our range."""
    assert tables.row("plug_holes", "1.0", "hole_diameter").high == pytest.approx(8.9, abs=0.05)


def test_sources_that_disagree_stay_in_sight():
    """Body practice 5-7.5 mm, building code 9.5 mm effective: the note says so."""
    row = tables.row("plug_holes", "1.0", "hole_diameter")
    assert row.low < row.value < row.high
    assert "AWS D1.3" in row.note and "disagree" in row.note
