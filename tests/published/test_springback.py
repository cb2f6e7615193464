"""Springback against a German table book's factors kR for DC01 (the row seen in a copy).

kR = (r1 + s/2)/(r2 + s/2), bend round r1, left r2; the ratios r2/s of its columns are from memory.
"""

import pytest

from sheetkit.base.tables import limit
from sheetkit.geometry.springback import turned_to

DC01 = {1: 0.99, 1.6: 0.99, 2.5: 0.99, 4: 0.97, 6.3: 0.97, 10: 0.96, 16: 0.93, 25: 0.90, 40: 0.85}
WIDE = {63: 0.77, 100: 0.66}


def factor(ratio, angle=90.0):
    found = turned_to(angle, ratio, 1.0, limit("sheet_yield").value)
    assert found.angle_deg == pytest.approx(angle * (ratio + 0.5) / (found.radius_mm + 0.5))
    return (found.radius_mm + 0.5) / (ratio + 0.5)


@pytest.mark.parametrize(("ratio", "printed"), DC01.items())
def test_factors_of_dc01(ratio, printed):
    assert factor(ratio) == pytest.approx(printed, abs=0.02)


@pytest.mark.parametrize(("ratio", "printed"), WIDE.items())
def test_rolled_wide_it_springs_a_little_more_than_reckoned(ratio, printed):
    """Sheet hardens as it is bent, which the formula leaves out."""
    assert -0.01 < factor(ratio) - printed < 0.08
