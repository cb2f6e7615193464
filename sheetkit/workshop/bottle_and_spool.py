"""The bottle and the spool: what is in them, how long they last, how many a job takes.

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
class Advice:
    """What is in a cylinder or on a spool, and what it will do.

    `usable`, `need`, `left` in `unit`; `left` below zero is what is missing.
    `minutes_arc` counts the flow alone (None for wire), `metres_*` metres of
    seam: by the arc's gas alone, and with pre-flow, post-flow and surge.
    `need_high` is the far end of the estimate's range.  `exchanges` is how many
    more full ones the job takes, likely and at the far end.
    """

    unit: str
    usable: float
    need: float
    need_high: float
    left: float
    lasts: str
    minutes_arc: float | None
    metres_arc: float
    metres_real: float
    exchanges: tuple[int, int]


def _verdict(usable: float, need: float, need_high: float) -> str:
    if usable >= need_high:
        return "yes"
    return "probably, not surely" if usable >= need else "no"


def _exchanges(usable: float, full: float, *needs: float) -> tuple[int, int]:
    low, high = (max(0, ceil((need - usable) / full - 1e-9)) for need in needs)
    return low, high


def advise_gas(
    *,
    water_volume_l: float,
    pressure_bar: float,
    need_l: float,
    need_high_l: float,
    arc_l: float,
    seam_m: float,
    flow_l_min: float,
    gas: str = "M21",
    temperature_c: float = REFERENCE_C,
    full_bar: float = 200.0,
) -> Advice:
    """Return what the cylinder will do for a job, from its gauge's pressure now.

    Parameters
    ----------
    need_l, need_high_l, arc_l : float
        Gas the job really takes, the far end of its range, and the arc's alone, l, > 0.
    seam_m : float
        Seam of the job, m.
    flow_l_min : float
        Flow, l/min, > 0.
    full_bar : float
        Pressure of a full exchange cylinder, bar.
    """
    usable = usable_l(water_volume_l, pressure_bar, temperature_c, gas=gas)
    full = usable_l(water_volume_l, full_bar, REFERENCE_C, gas=gas)
    return Advice(
        "l",
        usable,
        need_l,
        need_high_l,
        usable - need_l,
        _verdict(usable, need_l, need_high_l),
        usable / flow_l_min,
        seam_m * usable / arc_l,
        seam_m * usable / need_l,
        _exchanges(usable, full, need_l, need_high_l),
    )


def advise_wire(
    *,
    spool_g: float,
    need_g: float,
    need_high_g: float,
    arc_g: float,
    seam_m: float,
    full_g: float = 700.0,
) -> Advice:
    """Return what the wire on the spool will do for a job.

    `arc_g` is the joint's volume alone, `need_g` the wire to reckon with, g, > 0;
    `full_g` the spool one buys, g.
    """
    return Advice(
        "g",
        spool_g,
        need_g,
        need_high_g,
        spool_g - need_g,
        _verdict(spool_g, need_g, need_high_g),
        None,
        seam_m * spool_g / arc_g,
        seam_m * spool_g / need_g,
        _exchanges(spool_g, full_g, need_g, need_high_g),
    )


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
    advice = advise_gas(
        water_volume_l=cylinder.water_volume,
        pressure_bar=cylinder.pressure,
        need_l=need.likely,
        need_high_l=need.high,
        arc_l=values["gas_arc_l"],
        seam_m=values["metres_m"],
        flow_l_min=values["flow_l_min"],
        gas=group,
    )
    likely, most = advice.exchanges
    rows: list[tuple] = [
        ("lasts for this job", advice.lasts, ""),
        ("can be drawn now", advice.usable, "l"),
        ("flows for", advice.minutes_arc, "min"),
        ("such seam, by the arc alone", advice.metres_arc, "m"),
        ("such seam, really", advice.metres_real, "m"),
        ("bottles to exchange, likely", likely, ""),
        ("bottles to exchange, at most", most, ""),
    ]
    return Listing(["question", Column("answer", "", None), "unit"], rows)


def _gas_of(result: Estimate) -> tuple[Range, str]:
    """Return the gas a job takes, and its group; CO2 and gasless jobs are refused with a remedy."""
    group = gas_group(result.job.weld.process, result.job.weld.gas)
    if "gas_real_l" not in result.values:
        refuse("weld.process", result.job.weld.process, "takes no gas", "look at its wire instead")
    _is_gas(group)
    return result.range("gas_real_l"), group
