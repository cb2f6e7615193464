"""Wire mass per metre against a published length table."""

import pytest

from sheetkit.formulas import filler

POUND_G, INCH_M = 453.59237, 0.0254


@pytest.mark.parametrize(
    ("inches", "inches_per_pound"), [(0.030, 4956), (0.035, 3648), (0.045, 2196), (0.0625, 1152)]
)
def test_published_length_table(inches, inches_per_pound):
    """Filler maker's GMAW handbook, mild steel; the table's steel is 7.83-7.92 g/cm³."""
    grams_per_inch = filler.wire_g_per_m(inches * 25.4) * INCH_M
    ours = POUND_G / grams_per_inch
    assert ours == pytest.approx(inches_per_pound, rel=0.01)
