"""The bottle: what is in it, how long it lasts, how many a job takes.

Free gas is counted at 15 degC and 1.01325 bar.  CO2 is liquid in its cylinder:
its gauge does not tell what is left, so it is weighed.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from ..base import tables
from ..base.errors import refuse
from ..base.showing import Column, Listing, Range
from ..formulas.gas import REFERENCE_C, _is_gas, content_l, usable_l
from ..formulas.settings import gas_group
from ..repair.estimate import Estimate


@dataclass(frozen=True)
class Need:
    """What a job takes, l or g: likely, at the far end of its range, and for the arc or joint alone.

    All > 0; `seam_m` is the job's seam, m.
    """

    likely: float
    high: float
    alone: float
    seam_m: float


@dataclass(frozen=True)
class Bottle:
    """A gas cylinder: its water volume, l, what its gauge shows, bar, its gas and temperature, degC.

    `full_bar` is the pressure of a full exchange cylinder.
    """

    water_volume_l: float
    pressure_bar: float
    gas: str = "M21"
    temperature_c: float = REFERENCE_C
    full_bar: float = 200.0

    @property
    def usable_l(self) -> float:
        """What can be drawn from it now, l."""
        return usable_l(self.water_volume_l, self.pressure_bar, self.temperature_c, gas=self.gas)

    @property
    def full_l(self) -> float:
        """What can be drawn from a full one, l."""
        return usable_l(self.water_volume_l, self.full_bar, REFERENCE_C, gas=self.gas)


@dataclass(frozen=True)
class Advice:
    """What a cylinder or spool will do for a job.

    usable, full : what is in it now, and in a full one, in the need's unit
    """

    usable: float
    full: float
    need: Need

    @property
    def left(self) -> float:
        """What stays over; below zero is what is missing."""
        return self.usable - self.need.likely

    @property
    def lasts(self) -> str:
        """Whether it lasts for the job: "yes", "probably, not surely" or "no"."""
        if self.usable >= self.need.high:
            return "yes"
        return "probably, not surely" if self.usable >= self.need.likely else "no"

    @property
    def seam_alone_m(self) -> float:
        """Metres of such seam it does, by the arc or the joint alone."""
        return self.need.seam_m * self.usable / self.need.alone

    @property
    def seam_m(self) -> float:
        """Metres of such seam it really does."""
        return self.need.seam_m * self.usable / self.need.likely

    @property
    def exchanges(self) -> tuple[int, int]:
        """How many more full ones the job takes, likely and at the far end."""
        likely, most = (
            max(0, ceil((need - self.usable) / self.full - 1e-9))
            for need in (self.need.likely, self.need.high)
        )
        return likely, most

    def rows(self, called: str, unit: str) -> list[tuple]:
        """Return (question, answer, unit) of each answer."""
        likely, most = self.exchanges
        return [
            ("lasts for this job", self.lasts, ""),
            ("there now", self.usable, unit),
            ("such seam, by the arc or joint alone", self.seam_alone_m, "m"),
            ("such seam, really", self.seam_m, "m"),
            (f"{called} to buy, likely", likely, ""),
            (f"{called} to buy, at most", most, ""),
        ]


def sizes(*, need_l: float, need_high_l: float, gas: str = "M21") -> list[dict]:
    """Return one mapping a cylinder size: what a full one holds and how many such jobs it does.

    `need_l` and `need_high_l`: gas of one job, likely and at the far end, l, > 0.
    """
    _is_gas(gas)
    quantity = {"I1": "content_argon", "M20": "content_m20", "M21": "content_m21"}[gas]
    rows = []
    for name in tables.names("cylinders"):
        volume = tables.row("cylinders", name, "water_volume").value
        pressure = tables.row("cylinders", name, "pressure").value
        content = tables.row("cylinders", name, quantity)
        residual = content_l(
            volume, tables.row("limits", "residual_pressure", "value").value, gas=gas
        )
        usable = content.value - residual
        rows.append(
            {
                "cylinder": name,
                "water_volume_l": volume,
                "pressure_bar": pressure,
                "height_mm": tables.row("cylinders", name, "height").value,
                "content_l": content.value,
                "usable_l": usable,
                "jobs": int(usable / need_l),
                "jobs_at_least": int(usable / need_high_l),
                "origin": content.status,
            }
        )
    return rows


def bottles_for(result: Estimate) -> Listing:
    """Return how many such jobs a full cylinder of each size does; refuse a job without gas."""
    need, group = _gas_of(result)
    rows = [
        (
            row["cylinder"], row["height_mm"], row["usable_l"], row["jobs"], row["jobs_at_least"],
            row["origin"],
        )
        for row in sizes(need_l=need.likely, need_high_l=need.high, gas=group)
    ]  # fmt: skip
    return Listing(
        ["cylinder", Column("about how tall", "mm"), Column("to be drawn", "l"),
         "such jobs from a full one", "at the far end of the range", "rests on"],
        rows,
    )  # fmt: skip


def bottle_there(result: Estimate) -> Listing:
    """Return what the job's own cylinder does for it, from its gauge; refuse a job without gas."""
    need, group = _gas_of(result)
    values, cylinder = result.values, result.job.shop.cylinder
    bottle = Bottle(cylinder.water_volume, cylinder.pressure, group)
    takes = Need(need.likely, need.high, values["gas_arc_l"], values["metres_m"])
    rows = Advice(bottle.usable_l, bottle.full_l, takes).rows("bottles", "l")
    rows.insert(2, ("flows for", bottle.usable_l / values["flow_l_min"], "min"))
    return Listing(_HEADS, rows)


_HEADS: list[Column | str] = ["question", Column("answer", "", None), "unit"]


def _gas_of(result: Estimate) -> tuple[Range, str]:
    """Return the gas a job takes, and its group; CO2 and gasless jobs are refused with a remedy."""
    group = gas_group(result.job.weld.process, result.job.weld.gas)
    if "gas_real_l" not in result.values:
        refuse("weld.process", result.job.weld.process, "takes no gas", "look at its wire instead")
    _is_gas(group)
    return result.range("gas_real_l"), group
