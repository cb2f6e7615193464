"""Tables for learners: one tack's heat, familiar orders of welding, other limits."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from ..base.errors import check
from ..base.showing import Column, Listing
from ..heat.closed_forms import instantaneous_line_source
from ..job.job import Job
from ..repair.estimate import estimate
from ..repair.plan import plan as planned
from ..sequence.orders import loop_order, skip_order, skip_round_order
from ..sequence.plan import SequencePlan, retimed
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


def orders(plan: SequencePlan, tried: Mapping[str, Sequence[int]]) -> Listing:
    """Return what each order of the fill takes under the plan's limit, and how hot its starts are.

    `tried` maps an order's name to its stitches, counted from 0.
    """
    rows = []
    for name, order in tried.items():
        timed = retimed(plan, order)
        hottest = max(timed.peak_before_start_c)
        rows.append((name, minutes(timed.total_s), timed.total_s / 60, hottest,
                     timed.heat_imbalance_mm))  # fmt: skip
    return Listing(
        ["order", "time for the fill", Column("that is", "min", 1), Column("hottest start", "°C"),
         Column("heat off balance", "mm", 1)],
        rows,
    )  # fmt: skip


def familiar_orders(plan: SequencePlan) -> Listing:
    """Return what going end to end, every second and every third take, beside the planner's order."""
    count = len(plan.order)
    return orders(
        plan,
        {
            "end to end": loop_order(count),
            "every second, then the rest": skip_order(count, 2),
            "every third, round and round": skip_round_order(count, 3),
            "the planner's": plan.order,
        },
    )


def limits(plan: SequencePlan, limits_c: Iterable[float]) -> Listing:
    """Return what the planner's order and going once round take under other interpass limits."""
    rows = []
    for limit in limits_c:
        other = replace(plan, rules=replace(plan.rules, limit_c=float(limit)))
        spread, loop = (
            retimed(other, order).total_s for order in (plan.order, loop_order(len(plan.order)))
        )
        rows.append((limit, minutes(spread), minutes(loop), loop / spread))
    return Listing(
        [
            Column("limit", "°C"),
            "the planner's order",
            "once round",
            Column("times as long", "", 1),
        ],
        rows,
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
