"""Tables for learners: one tack's heat, what laps and closed backs wait, what no order changes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ..base.errors import check
from ..base.showing import Column, Listing
from ..heat.closed_forms import instantaneous_line_source
from ..job.job import Job
from ..repair.estimate import estimate
from ..repair.plan import plan as planned
from ..repair.pull import Pull, pull, times
from ..sequence.orders import loop_order, skip_round_order
from ..sequence.plan import retimed
from .pull_words import spoken
from .words import minutes

AMBIENT_C = 20.0
BESIDE_MM = 16.0
"""A seam as near to a fold or step leaves room for the hammer (common practice)."""


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


def what_order_cannot_do(job: Job) -> Listing:
    """Return the pull of a patch in two orders, and what does change it.

    The rows after the orders change one thing each: the heat, the size, the sheet, a line that
    stays straight beside the seam.  Nothing is searched for.
    """
    result = estimate(job)
    order = planned(result, stop=lambda: True)
    count = len(order.patch)
    totals = [
        retimed(order, one).total_s for one in (loop_order(count), skip_round_order(count, 3))
    ]
    first = _pulled(job)
    rows = [
        (name, minutes(total), first.along_kn.likely, "1", first.stretch_mm_per_m.likely)
        for name, total in zip(("once round", "every third stitch"), totals, strict=True)
    ]
    for name, change in _other_ways(job).items():
        found = _pulled(job.changed(**change))
        by = spoken(times(found, first))
        rows.append((name, "", found.along_kn.likely, by, found.stretch_mm_per_m.likely))
    return Listing(
        ["way", "fill takes", Column("pull along the seam", "kN", 1),
         "index, times the first", Column("to hammer back", "mm/m", 1)],
        rows,
    )  # fmt: skip


def _pulled(job: Job) -> Pull:
    found = pull(estimate(job))
    assert found is not None  # nobody stops it
    return found


def _other_ways(job: Job) -> dict[str, dict[str, Any]]:
    values = estimate(job).values
    left, _, right, top = job.rust_shape.bounds
    beside = top + job.patch.margin + BESIDE_MM
    line = [[left - 400, beside], [right + 400, beside]]
    settings = {"weld__current": values["current_a"], "weld__voltage": values["voltage_v"]}
    ways: dict[str, dict[str, Any]] = {}
    if "travel_mm_min" in values:
        quick = {"weld__travel": f"{1.25 * values['travel_mm_min']:.0f} mm/min"}
        ways["a quarter quicker, same current"] = settings | quick
    return ways | {
        "half the margin": {"patch__margin": f"{job.patch.margin / 2:g} mm"},
        "sheet half as thick again": {"sheet__thickness": f"{1.5 * job.sheet.thickness:g} mm"},
        "a fold beside the seam": {"panel__stiff": [{"line": line}]},
    }
