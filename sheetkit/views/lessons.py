"""Tables for learners: one tack's heat, and what laps and closed backs wait."""

from __future__ import annotations

from collections.abc import Sequence

from ..base.errors import check
from ..base.showing import Column, Listing
from ..heat.closed_forms import instantaneous_line_source
from ..job.job import Job
from ..repair.estimate import estimate
from ..repair.plan import plan as planned
from ..sequence.orders import loop_order, skip_round_order
from ..sequence.plan import retimed
from .words import minutes

AMBIENT_C = 20.0


def one_tack(
    energy_j: float,
    thickness_mm: float,
    *,
    after_s: Sequence[float] = (2, 10, 30, 60, 120),
    away_mm: Sequence[float] = (5, 15, 30),
) -> Listing:
    """Return how warm the sheet is round a tack, deg C, some seconds after it.

    Parameters
    ----------
    energy_j : heat into the sheet, J
    thickness_mm : mm
    after_s, away_mm : times after the tack, s, and distances from it, mm

    Raises
    ------
    OutOfRange : energy outside 1 to 100,000 J, thickness outside 0.4 to 6 mm

    Source
    ------
    `heat.closed_forms.instantaneous_line_source`, sheet of 20 deg C that loses nothing to the air.
    """

    check("energy_j", energy_j, 1, 1e5, "J")
    check("thickness_mm", thickness_mm, 0.4, 6, "mm")

    def warmth(radius: float, seconds: float) -> float:
        rise = instantaneous_line_source(energy_j, radius, seconds, thickness_mm=thickness_mm)
        return AMBIENT_C + float(rise)

    rows = [(seconds, *(warmth(mm, seconds) for mm in away_mm)) for seconds in after_s]
    return Listing(
        [Column("after", "s"), *(Column(f"{mm:g} mm away", "°C") for mm in away_mm)], rows
    )


LIES = {
    "butt, air on both faces": {"surroundings__back": "open"},
    "butt, back in a closed section": {"surroundings__back": "closed"},
    "lap, air on both faces": {"patch__joint": "lap", "surroundings__back": "open"},
    "lap, back in a closed section": {"patch__joint": "lap", "surroundings__back": "closed"},
}
"""How one patch can lie: its joint, and what its back loses heat to."""


def other_waits(job: Job) -> Listing:
    """Return what the same patch waits as a butt or a lap, with its back open or closed.

    Each row is timed by the job's own limit: the wait before the stitch beside the first one, and
    the fill once round and by every third stitch.  Nothing is searched for.
    """
    rows = []
    for name, change in LIES.items():
        found = planned(estimate(job.changed(**change)), stop=lambda: True)
        count = len(found.patch)
        loop, third = (
            retimed(found, order) for order in (loop_order(count), skip_round_order(count, 3))
        )
        wait = float(found.timed([0, 1], found.rules).wait_s[1]) if count > 1 else 0.0
        rows.append((name, count, minutes(wait), minutes(loop.total_s), minutes(third.total_s)))
    return Listing(
        ["how it lies", Column("stitches"), "wait beside a fresh stitch", "fill, once round",
         "fill, every third"],
        rows,
    )  # fmt: skip
