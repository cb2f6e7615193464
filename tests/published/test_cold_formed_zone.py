"""Welding beside bends against EN 1993-1-8:2005, clause 4.14 and its Table 4.2 (a copy was seen)."""

import pytest

from sheetkit.base.tables import limit
from sheetkit.geometry.fold import bend_strain


@pytest.mark.parametrize(
    ("ratio", "percent"), [(25, 2), (10, 5), (3.0, 14), (2.0, 20), (1.5, 25), (1.0, 33)]
)
def test_strain_of_a_bend(ratio, percent):
    """Table 4.2 prints strains of cold forming beside r/t, in whole percent."""
    assert 100 * bend_strain(ratio * 1.2, 1.2) == pytest.approx(percent, abs=0.5)


def test_zone_beside_a_bend():
    """Clause 4.14 (1): within a length 5t either side of a cold-formed zone."""
    row = limit("weld_from_bend")
    assert (row.value, row.status) == (5, "published")


def test_thinnest_of_table_4_2():
    """r/t 1.0, fatigue predominating: 4 mm, so every sheet of the job file may be welded there."""
    assert limit("least_bend_radius").value == 1.0
