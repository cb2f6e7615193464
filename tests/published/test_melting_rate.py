"""Melting rate of the wire: Lesnewich, and a power-source maker's workshop rule."""

import pytest

from sheetkit.formulas import filler
from sheetkit.formulas.settings import settings

ALPHA, BETA = 0.3, 5.0e-5
"""Carbon steel, 1.2 mm, electrode positive: Norrish, Advanced Welding Processes, 2006
(value from memory); Lesnewich, Welding Journal 37 (1958) 343-s, 418-s."""


def test_lesnewich():
    """200 A, 15 mm: 60 + 30 = 90 mm/s = 5.4 m/min, 2.88 kg/h (value from memory)."""
    feed = filler.wire_feed_m_min(200, 1.2, 15, ALPHA, BETA)
    assert feed * 1000 / 60 == pytest.approx(90, abs=0.5)
    assert feed == pytest.approx(5.4, abs=0.05)
    assert feed * 60 * filler.wire_g_per_m(1.2) / 1000 == pytest.approx(2.88, abs=5e-3)


@pytest.mark.parametrize(
    ("diameter", "amperes", "extension", "feed"),
    # alpha over d², beta over d⁴: derived, evaluated by hand
    [(0.6, 40, 8, 3.49), (0.8, 60, 10, 2.98), (0.9, 80, 10, 3.17), (1.0, 100, 12, 3.34)],
)
def test_scaled_to_thinner_wire(diameter, amperes, extension, feed):
    found = filler.wire_feed_m_min(amperes, diameter, extension, ALPHA, BETA)
    assert found == pytest.approx(feed, abs=5e-3)


@pytest.mark.parametrize(
    ("sold", "true_mm", "metres_a_minute"),
    # owner's manual of a 125 A set, 9-3, p. 27: 62.5 A in 1.6 mm sheet, three wires
    [(0.6, 0.584, 5.56), (0.8, 0.762, 3.175), (0.9, 0.889, 2.54)],
)
def test_workshop_rule_with_our_own_inputs(sold, true_mm, metres_a_minute):
    """3.5, 2.0 and 1.6 in/min an ampere; constants and free length as the program suggests them.

    The two are ways of their own; they agree within a tenth.
    """
    inputs = settings("135", 1.6, wire=sold, current=62.5)
    found = filler.wire_feed_m_min(
        62.5,
        true_mm,
        inputs["electrode_extension_mm"].value,
        inputs["melt_alpha"].value,
        inputs["melt_beta"].value,
    )
    assert found == pytest.approx(metres_a_minute, rel=0.1)


def test_deposition_rate():
    """Maker's handbook: lb/h = in/min x 60 / (in/lb); 0.030 in at 125 in/min: 0.686 kg/h."""
    seconds, feed = 3600, 125 * 0.0254
    length = filler.wire_by_feed_m(feed, seconds)
    grams = filler.wire_by_feed_g(length, filler.wire_g_per_m(0.762))
    assert grams / 1000 == pytest.approx(0.686, rel=0.007)  # its table's steel is 0.6 % denser
