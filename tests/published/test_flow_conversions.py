"""Units at the boundary against NIST SP 811 appendix B."""

import pytest

from sheetkit.base import units


@pytest.mark.parametrize(
    ("text", "dimension", "value", "half_digit"),
    [
        ("1 ft^3", "volume", 28.31685, 5e-6),  # 2.831 685 E-02 m³
        ("1 ft^3/min", "flow", 28.316844, 5e-6),  # 4.719 474 E-01 L/s, x 60
        ("1 ft^3/h", "flow", 0.4719474, 5e-8),
        ("1 cfh", "flow", 0.4719474, 5e-8),
        ("1 psi", "pressure", 0.06894757, 5e-9),  # 6.894 757 kPa
        ("1 lb", "mass", 453.59237, 5e-6),  # 4.535 924 E-01 kg, exact 0.45359237
        ("1 in", "length", 25.4, 1e-12),
        ("1 ft", "length", 304.8, 1e-10),
        ("1 in/min", "speed", 25.4, 1e-10),
        ("1 in/min", "feed", 0.0254, 1e-12),
        ("212 degF", "temperature", 100.0, 1e-9),
        ("140 degF", "temperature", 60.0, 1e-9),
        ("1 atm", "pressure", 1.01325, 1e-12),
        ("1 lb", "mass", 453.5924, 5e-5),
    ],
)
def test_factor(text, dimension, value, half_digit):
    found = units.parse(text, dimension, field="x")
    assert found == pytest.approx(value, abs=half_digit)
