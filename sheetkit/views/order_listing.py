"""The order of a plan as rows: which stitch, when, after which wait, how warm it is there."""

from __future__ import annotations

from ..base.showing import Column, Listing
from ..sequence.first_look import FirstLook
from ..sequence.plan import SequencePlan


def degrees(celsius, display: str):
    """Return temperatures in the unit shown: deg F with inches."""
    return celsius * 1.8 + 32 if display == "in" else celsius


def degree_unit(display: str) -> str:
    """Return the unit temperatures are shown in."""
    return "°F" if display == "in" else "°C"


def order_listing(plan: SequencePlan | FirstLook, display: str = "mm") -> Listing:
    """Return the turns of the fill; turns, stitches and patches count from 1.

    Starts count from the end of tacking.  The temperature is the highest along
    the stitch from its start to 20 s later, without its own heat.
    """
    columns: list[Column | str] = [
        "turn", "stitch", "patch", Column("start", "s"), Column("wait before", "s"),
        Column("sheet there", degree_unit(display)),
    ]  # fmt: skip
    turns = zip(plan.order, plan.start_s, plan.wait_s, plan.peak_before_start_c, strict=True)
    return Listing(
        columns,
        [
            (turn, stitch + 1, plan.patch[stitch] + 1, start, wait, degrees(before, display))
            for turn, (stitch, start, wait, before) in enumerate(turns, 1)
        ],
    )
