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


@pytest.mark.parametrize(
    ("cubic_feet_per_hour", "litres_per_minute"), [(20, 9.44), (25, 11.80), (30, 14.16)]
)
def test_usual_flows(cubic_feet_per_hour, litres_per_minute):
    found = units.parse(f"{cubic_feet_per_hour} ft^3/h", "flow", field="flow")
    assert found == pytest.approx(litres_per_minute, abs=5e-3)


@pytest.mark.parametrize(("ipm", "metres"), [(200, 5.08), (125, 3.175), (100, 2.54)])
def test_wire_feed(ipm, metres):
    """Exact; a manual prints 3.19 and 2.56 for the last two."""
    assert units.parse(f"{ipm} in/min", "feed", field="feed") == pytest.approx(metres, abs=1e-9)
