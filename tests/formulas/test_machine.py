"""Power from the wall, and the busiest ten minutes."""

import numpy as np
import pytest

from sheetkit.formulas import machine


def test_mains_by_hand():
    """105 A at 16.5 V through an efficiency of 0.8 and a power factor of 0.9: 2406 VA, 10.5 A."""
    power = machine.mains_power_va(16.5, 105, 0.8, 0.9)
    assert power == pytest.approx(2406.25)
    assert machine.mains_current_a(power, 230) == pytest.approx(10.462, abs=1e-3)


def test_no_ten_minutes_are_busier_than_those_that_begin_with_a_weld():
    """Against windows slid over random welds by a second."""
    chance = np.random.default_rng(5)
    for _ in range(40):
        arcs = chance.integers(5, 200, 12).astype(float)
        starts = np.cumsum(chance.integers(5, 250, 12)) + np.concatenate(
            [[0], np.cumsum(arcs)[:-1]]
        )
        ends, most = starts + arcs, 0.0
        for begin in np.arange(-600.0, ends[-1] + 1):
            burning = np.minimum(ends, begin + 600) - np.maximum(starts, begin)
            most = max(most, np.clip(burning, 0, None).sum())
        assert machine.busiest_share(starts, arcs) == pytest.approx(most / 600)


@pytest.mark.parametrize(
    ("starts", "arcs", "share"),
    [
        ([], [], 0.0),
        ([0], [60], 0.1),
        ([0, 300], [60, 60], 0.2),
        ([0, 700], [60, 60], 0.1),  # never both within ten minutes
        ([0, 570], [60, 60], 0.15),  # 30 s of each at the most, or the whole of one and 30 s
        ([700, 0], [60, 60], 0.1),  # the order they are given in is no matter
        ([0], [900], 1.0),
        ([100 * n for n in range(20)], [20] * 20, 0.2),
    ],
)
def test_busiest_ten_minutes(starts, arcs, share):
    """EN 60974-1 counts in ten minutes (value from memory)."""
    assert machine.busiest_share(starts, arcs) == pytest.approx(share)
