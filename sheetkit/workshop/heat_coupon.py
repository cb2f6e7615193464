"""A coupon that holds the heat-flow model against your own thermometer: one bead, then readings.

Nobody need believe the waits: a bead on a free sheet, a thermometer on its back
and a clock show how far off the model is in your shop, and teach it.
"""

from __future__ import annotations

import os
from dataclasses import dataclass, replace

import numpy as np
from shapely import box

from ..base import amounts
from ..base.errors import check
from ..base.showing import Column, Listing, Range, Shown, counted
from ..heat.air import Losses
from ..heat.rules import Rules
from ..heat.weld_source import WeldRun
from ..heat.workpiece import Workpiece
from ..repair.estimate import Estimate
from ..sequence.burnt_strip import MeasuredStrip
from ..sequence.cooling_curve import Learned, Reading, curve, learned
from ..sequence.plan import SequencePlan, plan_sequence
from ..sequence.planner import SearchChoice
from ..sequence.shop_heat import BOOK
from .heat_log import HEAT_LOG_NAME, HeatEntry, entry_of, keep

SHEET_MM = (200.0, 300.0)
"""Still warm after seven minutes, and cut from any offcut (our own choice)."""
PROTOCOL = (
    "Cut 200 x 300 mm of the sheet you repair with. Grind one face to bright metal where the bead "
    "goes. Paint on the other face stays on for the burnt strip: burning paint is poisonous, so "
    "work in moving air or with extraction, and with a respirator.",
    "Prop it level by its corners, free on both faces, away from whatever burns, and still air "
    "from the arc's end on. Read the air's temperature.",
    "Weld one straight bead along the middle of its width, at the settings of the job. Time the "
    "arc; measure the bead's length.",
    "Hold a contact thermometer on the back, under the middle of the bead: 1, 3 and 7 minutes "
    "after the arc went out, and at 1.5 and 5 if you can. Infrared reads low on bright steel. "
    "The sheet burns skin: gloves.",
    "Measure the strip of burnt paint across the bead, if there was paint.",
    "Put the figures in, and keep them in your own heat log.",
)
"""What to do, in order."""


@dataclass(frozen=True, repr=False)
class HeatCoupon(Shown):
    """One bead in the middle of a free sheet, and what was read on it.

    plan : the bead as a plan of one stitch; readings, strip : what was measured
    learned : what they say
    """

    plan: SequencePlan
    learned: Learned
    readings: tuple[Reading, ...] = ()
    strip: MeasuredStrip | None = None

    def __repr__(self) -> str:
        bead = self.plan.model.stitches[0]
        return (
            f"<coupon: bead of {bead.length_mm:.0f} mm in {bead.duration_s:.0f} s, "
            f"{counted(len(self.readings), 'reading')}>"
        )

    def read(self, *read: tuple[float, float], strip_mm: float | None = None) -> HeatCoupon:
        """Return the coupon with readings: (s after the arc went out, deg C) of each.

        Parameters
        ----------
        read : 30 to 3600 s; -60 to 1600 deg C, under the middle of the bead
        strip_mm : the burnt strip's width, 3 to 300 mm

        Raises
        ------
        OutOfRange : field, value, limit and remedy in its message
        """
        readings = tuple(Reading(after_s, celsius) for after_s, celsius in read)
        strip = None if strip_mm is None else MeasuredStrip(strip_mm)
        found = learned(self.plan, readings, strip=strip)
        return replace(self, readings=readings, strip=strip, learned=found)

    def entry(self, job: str = "coupon") -> HeatEntry:
        """Return what was learned as an entry of a heat log, dated today."""
        return entry_of(job, self.learned, self.readings, self.strip)

    def keep(self, path: str | os.PathLike = HEAT_LOG_NAME, job: str = "coupon") -> None:
        """Add what was learned to a heat log (see `heat_log.keep`)."""
        keep(path, self.entry(job))

    def listing(self, *, display: str = "mm") -> Listing:
        """Return a row a reading: measured, by the book and by your own ratios, nine in ten."""

        def shown(celsius: float) -> float:
            return amounts.converted(float(celsius), "temperature", units=display)[0]

        def span(ends: np.ndarray) -> Range:
            low, likely, high = map(shown, ends)
            return Range(low, likely, high)

        unit = amounts.converted(0.0, "temperature", units=display)[1]
        after = np.array([one.after_s for one in self.readings])
        book, own = (curve(self.plan, heat, after) for heat in (BOOK, self.learned.heat))
        return Listing(
            [Column("after the arc", "min", 1), Column("read", unit), Column("by the book", unit),
             Column("by your ratios", unit), "what became of it"],
            [
                (one.after_s / 60, shown(one.celsius), span(book[:, n]),
                 span(own[:, n]), use.value)
                for n, (one, use) in enumerate(zip(self.readings, self.learned.uses, strict=True))
            ],
        )  # fmt: skip

    def ratios(self) -> Listing:
        """Return heat and losses over the book's: the book's range beside that of this coupon."""
        found = self.learned.heat
        return Listing(
            ["over the book's", Column("by the book", "", 2), Column("by this coupon", "", 2)],
            [
                ("heat into the sheet", BOOK.heat_range, found.heat_range),
                ("loss to the air", BOOK.loss_range, found.loss_range),
            ],
        )


def heat_coupon(
    result: Estimate, *, bead_mm: float, arc_s: float, air_c: float = 20.0
) -> HeatCoupon:
    """Return a coupon with one bead at the settings of a job, before anything was read.

    Parameters
    ----------
    result : Estimate of the job; its sheet, voltage, current and thermal efficiency
    bead_mm : length of the bead as welded, 20 to 180 mm
    arc_s : time the arc burned, 1 to 120 s
    air_c : the air's and the sheet's temperature before, -20 to 45 deg C
    """
    check("bead_mm", bead_mm, 20, 180, "mm")
    check("arc_s", arc_s, 1, 120, "s")
    check("air_c", air_c, -20, 45, "degC")
    values, (wide, high) = result.values, SHEET_MM
    power = values["voltage_v"] * values["current_a"] * values["thermal_efficiency"]
    along = wide / 2 + bead_mm * np.linspace(-0.5, 0.5, 9)
    path = np.stack([along, np.full(along.size, high / 2)], axis=1)
    piece = Workpiece(
        box(0, 0, wide, high), (), result.job.sheet.thickness,
        stitches=[WeldRun(path, power * arc_s, arc_s)], losses=Losses.still_air(air_c),
    )  # fmt: skip
    rules = Rules(max(60.0, air_c + 20))
    plan = plan_sequence(piece, rules=rules, choice=SearchChoice(effort=0.02))
    return HeatCoupon(plan, learned(plan))


def protocol() -> Listing:
    """Return what to do, step by step."""
    return Listing(["step", "what to do"], list(enumerate(PROTOCOL, 1)))
