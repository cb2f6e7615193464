"""The rust's extent as a range."""

from math import pi
from pathlib import Path

import numpy as np
import pytest

import sheetkit as sk
from sheetkit.repair import rust_extent

DATA = Path(__file__).parents[2] / "data"
SQUARE = {
    "format": "sheetkit-job/1",
    "sheet": {"thickness": 1.0},
    "rust": [{"ring": [[0, 0], [100, 0], [100, 80], [0, 80]]}],
}


@pytest.fixture(scope="module")
def free():
    return rust_extent.with_extent(sk.estimate(sk.Job.from_data(SQUARE)))


def test_cut_lines_grow_from_low_to_high(free):
    low, likely, high = (r.patches[0].cut_line for r in (free.low, free.likely, free.high))
    assert likely.buffer(1e-6).covers(low) and high.buffer(1e-6).covers(likely)
    assert low.area < likely.area < high.area


def test_a_given_margin_stands_still_and_an_ungiven_one_has_its_range(free):
    assert (free.inputs["margin_mm"].low, free.inputs["margin_mm"].high) == (12, 40)
    given = rust_extent.with_extent(
        sk.estimate(sk.Job.from_data(SQUARE | {"patch": {"margin": 30}}))
    )
    assert given.inputs["margin_mm"].low is None
    assert given.low.values["seam_length_mm"] == pytest.approx(given.drawn.values["seam_length_mm"])


def test_hidden_rust_lengthens_a_free_seam_by_its_share():
    """By hand: a closed seam grown by e is 2 pi e longer, here by two fifths at the most."""
    given = rust_extent.with_extent(
        sk.estimate(sk.Job.from_data(SQUARE | {"patch": {"margin": 30}}))
    )
    seam = given.drawn.values["seam_length_mm"]
    assert seam == pytest.approx(2 * 180 + 2 * pi * (30 - 0.25), rel=1e-3)
    assert given.high.values["seam_length_mm"] == pytest.approx(1.4 * seam, rel=2e-3)
    assert given.likely.values["seam_length_mm"] == pytest.approx(1.2 * seam, rel=2e-3)


def test_draws_lie_between_the_drawings_and_in_the_worst_case(free):
    seams = free.simulated["seam_length_mm"]
    ends = [r.values["seam_length_mm"] for r in (free.low, free.high)]
    assert ends[0] - 1e-6 <= seams.min() and seams.max() <= ends[1] + 1e-6
    for name in ("hours_h", "cost", "gas_real_l"):
        found = free.spread(name)
        assert found.low <= free.simulated[name].min() <= found.p10 < found.p50 < found.p90
        assert free.simulated[name].max() <= found.high


def test_the_same_seed_gives_the_same_table():
    result = sk.estimate(sk.load(DATA / "trunk_floor.json"))
    first, again = (rust_extent.with_extent(result, draws=1000, seed=3).table() for _ in range(2))
    assert first.equals(again)
    assert not first.equals(rust_extent.with_extent(result, draws=1000, seed=4).table())


def test_hidden_rust_is_among_the_drivers(free):
    names = [d.name for d in free.drivers("gas_real_l")]
    assert "hidden_extent_mm" in names and "margin_mm" in names
    assert np.all(np.diff([d.swing for d in free.drivers("hours_h")]) <= 0)
