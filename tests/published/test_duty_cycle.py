"""Duty cycle: shares of ten minutes (AWS glossary); I² D stays the same."""

import pytest

from sheetkit.formulas import arc


@pytest.mark.parametrize(
    ("amperes", "share", "wanted_share", "wanted_amperes", "half_digit"),
    [
        # power-source maker's manual (its formula lacks the root)
        (400, 0.25, 0.50, 282.8, 0.05),
        # evaluated by hand
        (180, 0.20, 0.383, 130, 0.5),
        (140, 0.20, 0.484, 90, 0.5),
        (300, 0.60, 0.60, 300, 1e-9),
    ],
)
def test_current_at_another_duty_cycle(amperes, share, wanted_share, wanted_amperes, half_digit):
    found = arc.duty_cycle_current_a(amperes, share, wanted_share)
    assert found == pytest.approx(wanted_amperes, abs=half_digit)
