"""Melting rate of the wire against printed rates; copies of the sources seen.

The constants are Lesnewich's, as in Norrish, Advanced Welding Processes, 2006 (from memory).
"""

import pytest

from sheetkit.formulas import filler
from sheetkit.formulas.settings import settings


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


@pytest.mark.parametrize(
    ("inches", "tip_to_work_mm", "pounds_an_hour"),
    # operating manual of a 250 A wire-feed set, table 4-3, p. 4-11: 200 A through 0.035 and
    # 0.045 in wire; free length: its figure 4-16 for the thinner, the program's own for the other
    [(0.035, 9.5, 7.0), (0.045, 12, 6.2)],
)
def test_deposition_rate_at_200_amperes(inches, tip_to_work_mm, pounds_an_hour):
    """Within a tenth; whether its rates are before or after spatter is not said."""
    known = settings("135", 1.6)
    feed = filler.wire_feed_m_min(
        200,
        25.4 * inches,
        tip_to_work_mm,
        known["melt_alpha"].value,
        known["melt_beta"].value,
    )
    length = filler.wire_by_feed_m(feed, 3600)
    grams = filler.wire_by_feed_g(length, filler.wire_g_per_m(25.4 * inches))
    assert grams / 453.59237 == pytest.approx(pounds_an_hour, rel=0.1)
