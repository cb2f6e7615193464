"""Text and numbers at the boundary: what is read, what is refused, what is shown."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sheetkit import SheetkitError
from sheetkit.base import amounts, units


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        (25, "length", 25),
        (25.5, "length", 25.5),
        ("25", "length", 25),
        ("25mm", "length", 25),
        ("2.5 cm", "length", 25),
        ("1/2 in", "length", 12.7),
        ("1 1/2 in", "length", 38.1),
        ("1-1/2 in", "length", 38.1),
        ('3/4"', "length", 19.05),
        ("2'", "length", 609.6),
        (".5 in", "length", 12.7),
        ("30 mil", "length", 0.762),
        ("1e1 mm", "length", 10),
        ("-3 mm", "length", -3),
        ("60 °C", "temperature", 60),
        ("60 C", "temperature", 60),
        ("140 °F", "temperature", 60),
        ("0 degF", "temperature", -160 / 9),
        ("293.15 K", "temperature", 20),
        ("90 deg", "angle", 90),
        ("90°", "angle", 90),
        ("5 kg", "mass", 5000),
        ("0.5 min", "time", 30),
        ("2 h", "duration", 2),
        ("1 m/min", "speed", 1000),
        ("16 ipm", "speed", 406.4),
        ("600 l/h", "flow", 10),
        ("200 bar", "pressure", 200),
        ("20 MPa", "pressure", 200),
        ("10 l", "volume", 10),
        ("1 cm^3", "volume", 0.001),
        ("25 MM", "length", 25),
        ("2 IN", "length", 50.8),
        ("2 M", "length", 2000),
        ("400 MM/MIN", "speed", 400),
        ("5 KG", "mass", 5000),
        ("\u22123 mm", "length", -3),
        ("60 \u2103", "temperature", 60),
        ("140 \u2109", "temperature", 60),
        ("60 \u00baC", "temperature", 60),
        ("90\u02da", "angle", 90),
        ("800 \u03bcm", "length", 0.8),
        ("3/4\u2033", "length", 19.05),
        ("2\u2032", "length", 609.6),
        ("1½ in", "length", 38.1),
        ("¼ in", "length", 6.35),
    ],
)
def test_read(text, dimension, value):
    assert units.parse(text, dimension, field="x") == pytest.approx(value, rel=1e-12)


def test_number_without_unit_is_in_the_drawing_s():
    assert units.parse(2, "length", field="x", bare="in") == pytest.approx(50.8)
    assert units.parse("2", "length", field="x", bare="in") == pytest.approx(50.8)
    assert units.parse("2 mm", "length", field="x", bare="in") == 2


@pytest.mark.parametrize(
    ("value", "dimension", "words"),
    [
        ("25 kg", "length", '"kg" is a unit of something else'),
        ("10 mm", "flow", "something else"),
        ("10 bananas", "length", "not a known unit"),
        ("mm", "length", "must be one number"),
        ("", "length", "must be one number"),
        ("1,5 mm", "length", "the decimal sign is a point"),
        ("1/0 in", "length", "divide by zero"),
        ("1 1/0 in", "length", "plain fraction"),
        ("1.5 1/2 in", "length", "plain fraction"),
        ("nan", "length", "must be"),
        ("inf mm", "length", "must be"),
        (math.nan, "length", "finite"),
        (math.inf, "length", "finite"),
        (10**400, "length", "finite"),
        (True, "length", "number or a text"),
        (None, "length", "number or a text"),
        ([1], "length", "number or a text"),
        ({"a": 1}, "length", "number or a text"),
        ("1 mm; import os", "length", "must"),
        ("9" * 100 + " mm", "length", "must be one number"),
    ],
)
def test_refused(value, dimension, words):
    with pytest.raises(SheetkitError) as refusal:
        units.parse(value, dimension, field="patch.margin")
    (fault,) = refusal.value.faults
    assert fault.field == "patch.margin"
    assert words in fault.limit
    assert fault.remedy.startswith("write it as")
    assert "\n" not in str(fault)


@given(st.one_of(st.text(max_size=80), st.floats(), st.integers(), st.none(), st.binary()))
def test_anything_is_a_finite_number_or_a_fault(value):
    for dimension in ("length", "temperature"):
        try:
            assert math.isfinite(units.parse(value, dimension, field="x"))
        except SheetkitError as error:
            assert len(error.faults) == 1


@pytest.mark.parametrize(
    ("text", "gauge"),
    [("18 gauge", "18"), ("18 ga", "18"), ("18GA.", "18"), (" 20 gage ", "20"), ("16 MSG", "16")],
)
def test_gauge(text, gauge):
    assert units.gauge(text) == gauge


@pytest.mark.parametrize("text", ["18", "18 mm", "gauge", "-18 gauge", "18.5 gauge", "118 gauge"])
def test_not_a_gauge(text):
    assert units.gauge(text) is None


@pytest.mark.parametrize(
    ("value", "kind", "display", "text"),
    [
        (25.4, "length", "mm", "25 mm"),
        (25.4, "length", "in", "1.00 in"),
        (1.214, "thickness", "in", "0.0478 in"),
        (60, "temperature", "in", "140 °F"),
        (60, "temperature", "mm", "60 °C"),
        (28.316846592, "volume", "in", "1.00 ft³"),
        (11.79868, "flow", "in", "25.0 ft³/h"),
        (453.59237, "mass", "in", "1.000 lb"),
        (28.349523125, "mass", "in", "1.00 oz"),
        (28.349523125, "mass", "mm", "28.3 g"),
        (907.18474, "filler", "in", "32.00 oz"),
        (64516, "area", "in", "100.0 in²"),
        (5.08, "feed", "in", "200 in/min"),
        (200, "pressure", "in", "2901 psi"),
        (3.048, "wire_length", "in", "0.0 ft"),
        (3048, "wire_length", "in", "10.0 ft"),
        (3048, "wire_length", "mm", "3.0 m"),
        (None, "length", "mm", "–"),
    ],
)
def test_show(value, kind, display, text):
    assert amounts.show(value, kind, units=display) == text


def test_metric_wire_is_shown_in_inches_by_the_size_it_is_sold_as():
    """AWS A5.02 sizes; values from memory."""
    sizes = {0.6: "0.024", 0.8: "0.030", 0.9: "0.035", 1.0: "0.040", 1.2: "0.047", 2.4: "0.094"}
    for mm, inch in sizes.items():
        assert amounts.show(mm, "wire", units="in") == f"{inch} in"
    assert amounts.show(0.762, "wire", units="in") == "0.030 in"
    assert amounts.show(0.8, "wire") == "0.8 mm"
