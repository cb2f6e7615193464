"""Duty cycle: shares of ten minutes; I² D stays the same.  Copies of both sources seen."""

import pytest

from sheetkit.formulas import arc, machine


def test_current_at_another_duty_cycle():
    """Operating manual of a 400 A power source, 2.06: 400 A at 25 % bears 282.8 A at 50 %.

    Its printed formula lacks the root; its answer has it.
    """
    assert arc.duty_cycle_current_a(400, 0.25, 0.50) == pytest.approx(282.8, abs=0.05)


def test_sixty_per_cent_is_six_minutes_in_ten():
    """AWS glossary: 300 A at 60 % for six minutes out of every ten, without overheating."""
    assert arc.duty_cycle_current_a(300, 0.60, 0.60) == 300
    assert machine.busiest_share([0.0, 700.0], [360.0, 10.0]) == pytest.approx(0.60)
