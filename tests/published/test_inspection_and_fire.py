"""Distances and times that rules print; copies seen unless said."""

import pytest

from sheetkit.base import tables


def limit(name):
    return tables.row("limits", name, "value")


def test_ring_round_a_mounting(job):
    """UK roadworthiness inspection manual, Appendix A: within 30 cm of the mounting."""
    assert limit("mounting_ring").value == 300
    (mounting,) = job(panel={"mountings": [{"name": "belt", "at": [0, 0]}]}).panel.mountings
    assert mounting.ring == 300


def test_combustibles_within_35_feet():
    """29 CFR 1910.252(a)(2): 35 ft."""
    assert limit("fire_distance").value == pytest.approx(35 * 0.3048, abs=0.05)


def test_fire_watch():
    """29 CFR 1910.252(a)(2)(iii): at least half an hour; NFPA 51B from 2019: 60 min (from memory)."""
    row = limit("fire_watch")
    assert row.low == row.value == 30
    assert row.high == 60
