"""Thickness tolerance of cold-rolled sheet: EN 10131:2006 Table 1.

Yield strength under 260 MPa, width up to 1200 mm.
"""

import pytest

from sheetkit.base import tables


@pytest.mark.parametrize(
    ("name", "normal"),
    [
        ("0.6", 0.03),  # over 0.40 to 0.60
        ("0.7", 0.04),  # over 0.60 to 0.80
        ("0.8", 0.04),
        ("0.9", 0.05),  # over 0.80 to 1.00
        ("1.0", 0.05),
        ("1.2", 0.06),  # over 1.00 to 1.20
        ("1.5", 0.08),  # over 1.20 to 1.60
        ("2.0", 0.10),  # over 1.60 to 2.00
    ],
)
def test_tolerance(name, normal):
    row = tables.row("sheet_thicknesses", name, "thickness")
    assert row.value == float(name)
    assert row.value - row.low == pytest.approx(normal)
    assert row.high - row.value == pytest.approx(normal)
