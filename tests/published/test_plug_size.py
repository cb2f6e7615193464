"""Plug welds: the hole of AISC 360 J2.3, as an engineering handbook's page quotes it."""

import pytest

from sheetkit.base import tables


def test_hole_by_the_steel_building_code():
    """AISC 360 J2.3: hole at least t + 5/16 in; 1.0 mm sheet: 8.9 mm, the top of our range."""
    assert tables.row("plug_holes", "1.0", "hole_diameter").high == pytest.approx(8.9, abs=0.05)
