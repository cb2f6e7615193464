"""Wire mass per metre: pi/4 d² x 7.85 g/cm³, and a published length table."""

import pytest

from sheetkit.formulas import filler

POUND_G, INCH_M = 453.59237, 0.0254


@pytest.mark.parametrize(
    ("diameter", "grams", "metres_per_kg"),
    # evaluated by hand from pi/4 d² x 7.85 g/cm³
    [
        (0.6, 2.220, 450.5),
        (0.8, 3.946, 253.4),
        (0.9, 4.994, 200.2),
        (1.0, 6.165, 162.2),
        (1.2, 8.878, 112.6),
    ],
)
def test_grams_per_metre(diameter, grams, metres_per_kg):
    found = filler.wire_g_per_m(diameter)
    assert found == pytest.approx(grams, abs=5e-4)
    assert 1000 / found == pytest.approx(metres_per_kg, abs=0.05)


@pytest.mark.parametrize(("inches", "inches_per_pound"), [(0.030, 4988), (0.023, 8487)])
def test_inches_per_pound_at_the_steel_density(inches, inches_per_pound):
    """Evaluated by hand for 7.85 g/cm³."""
    grams_per_inch = filler.wire_g_per_m(inches * 25.4) * INCH_M
    assert POUND_G / grams_per_inch == pytest.approx(inches_per_pound, abs=0.5)


@pytest.mark.parametrize(
    ("inches", "inches_per_pound"), [(0.030, 4956), (0.035, 3648), (0.045, 2196), (0.0625, 1152)]
)
def test_published_length_table(inches, inches_per_pound):
    """Filler maker's GMAW handbook, mild steel; the table's steel is 7.83-7.92 g/cm³."""
    grams_per_inch = filler.wire_g_per_m(inches * 25.4) * INCH_M
    ours = POUND_G / grams_per_inch
    assert ours == pytest.approx(inches_per_pound, rel=0.01)
