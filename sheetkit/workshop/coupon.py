"""What a test coupon and a ten-second run-out teach: travel, dots, wire feed."""

from __future__ import annotations

from collections.abc import Sequence

from ..base.errors import Fault, OutOfRange, check
from ..base.tables import GIVEN, Row


def measured(
    name: str, readings: Sequence[float], unit: str, *, reading_error: float = 0.03
) -> Row:
    """Return repeated readings as an input: their mean, and their ends widened by the reading error."""
    mean = sum(readings) / len(readings)
    low, high = min(readings) * (1 - reading_error), max(readings) * (1 + reading_error)
    times = f"{len(readings)} reading{'s' * (len(readings) != 1)}"
    return Row("coupon", name, name, low, mean, high, unit, f"your own coupon, {times}", GIVEN, "")


def run_out(lengths_mm: Sequence[float], *, seconds: float = 10.0) -> Row:
    """Return the wire-feed speed from wire run out with the arc off, as an input.

    Parameters
    ----------
    lengths_mm : length run out at each try, 10 to 10,000 mm
    seconds : how long each, 1 to 60 s
    """
    check("seconds", seconds, 1, 60, "s")
    _some(lengths_mm, "lengths_mm")
    speeds = [check("length", x, 10, 10_000, "mm") * 60 / seconds / 1000 for x in lengths_mm]
    return measured("wire_feed_m_min", speeds, "m/min", reading_error=0.02)


def coupon_travel(beads: Sequence[tuple[float, float]]) -> Row:
    """Return the travel speed from beads on a coupon, as an input.

    beads : (length mm, arc seconds) of each, 5 to 1000 mm and 0.5 to 300 s
    """
    _some(beads, "beads")
    return measured(
        "travel_mm_min",
        [
            check("bead", b, 5, 1000, "mm") / check("seconds", s, 0.5, 300, "s") * 60
            for b, s in beads
        ],
        "mm/min",
    )


def coupon_dot(runs: Sequence[tuple[int, float]]) -> Row:
    """Return the arc time of one dot from runs of dots, as an input: (dots, arc seconds) of each."""
    _some(runs, "runs")
    return measured(
        "dot_time_s",
        [check("seconds", s, 0.1, 300, "s") / check("dots", n, 1, 1000) for n, s in runs],
        "s",
    )


def _some(readings: Sequence, name: str) -> None:
    if not len(readings):
        raise OutOfRange(Fault(name, "nothing", "must hold at least one reading", "measure once"))
