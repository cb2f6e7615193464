"""One repair done several ways, side by side: metres, hours, gas, money, heat."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import numpy as np

from ..base import amounts, tables
from ..base.errors import SheetkitError, plain, unknown
from ..base.showing import Column, Listing, Range, Shown, counted
from ..formulas.montecarlo import column
from ..formulas.ranges import quantiles
from ..job.job import Job
from ..repair.estimate import Estimate, estimate
from ..repair.pull import pull

SHAPES = {shape: {"patch__shape": shape} for shape in ("follow", "hull", "box")}
JOINTS = {joint: {"patch__joint": joint} for joint in ("butt", "lap", "plug")}
PROCESSES: dict[str, dict[str, Any]] = {
    "135, argon mix M21": {"weld__process": "135", "weld__gas": "M21"},
    "135, CO2 (C1)": {"weld__process": "135", "weld__gas": "C1"},
    "114, no gas": {"weld__process": "114", "weld__gas": None},
}
"""A way's name -> what `Job.changed` takes."""


@dataclass(frozen=True)
class Way:
    """One way of doing a repair, or why it can't be done so.

    seam_m : m; area_mm2 : of the patches; tacks, welds : how many
    hours, cost : ranges, h and money; gas_l, wire_g : what the job really takes
    heat_kj : heat that goes into the sheet, k U I x arc time
    pull : index of what the seam pulls, to compare ways by (`repair.pull`); None: not asked for
    Single figures that differ from repair to repair are their likely ones; hours
    hold the usual waits, since no way has been planned.
    """

    name: str
    seam_m: float
    area_mm2: float
    tacks: int
    welds: int
    hours: Range
    cost: Range
    gas_l: float
    wire_g: float
    heat_kj: float
    pull: Range | None = None


@dataclass(frozen=True)
class Refused:
    """A way that can't be done, and why."""

    name: str
    why: str


@dataclass(frozen=True, repr=False)
class Comparison(Shown):
    """Ways of doing one repair, side by side; comparisons of one repair can be added."""

    ways: tuple[Way | Refused, ...]
    currency: str

    def __iter__(self) -> Iterator[Way | Refused]:
        return iter(self.ways)

    def __len__(self) -> int:
        return len(self.ways)

    def __getitem__(self, name: str) -> Way:
        """Return a way by its name; refused ones raise what they were refused for."""
        found = {way.name: way for way in self.ways}
        if name not in found:
            unknown("comparison", name, "must be one of its ways", found)
        way = found[name]
        if isinstance(way, Refused):
            raise LookupError(way.why)
        return way

    def __add__(self, other: Comparison) -> Comparison:
        return Comparison(self.ways + other.ways, self.currency)

    @property
    def done(self) -> tuple[Way, ...]:
        """The ways that can be done."""
        return tuple(way for way in self.ways if isinstance(way, Way))

    def __repr__(self) -> str:
        names = ", ".join(plain(way.name)[:40] for way in self.ways[:8])
        return f"<comparison of {counted(len(self), 'way')}: {names}>"

    def listing(self, *, display: str = "mm") -> Listing:
        """Return a row a way; inches show seams in ft, gas in cubic feet and wire in oz."""
        seam, area, gas, wire = (
            partial(amounts.converted, kind=kind, units=display)
            for kind in ("wire_length", "area", "volume", "filler")
        )
        rows = [
            (w.name, seam(1000 * w.seam_m)[0], area(w.area_mm2)[0], w.tacks, w.welds, w.hours,
             gas(w.gas_l)[0], wire(w.wire_g)[0], w.cost, w.heat_kj, w.pull, "")
            if isinstance(w, Way)
            else (w.name, *[None] * 10, w.why)
            for w in self.ways
        ]  # fmt: skip
        inch = display == "in"
        columns: list[Column | str] = [
            "way", Column("seam", seam(0.0)[1], 1 if inch else 2),
            Column("patch area", area(0.0)[1]), "tacks", "welds",
            Column("hours", "h", 1), Column("gas", gas(0.0)[1], 2 if inch else 0),
            Column("wire", wire(0.0)[1], 2 if inch else 1),
            Column("cost", self.currency), Column("heat into the sheet", "kJ"),
            Column("pull index", "", 1),
        ]  # fmt: skip
        if all(way.pull is None for way in self.done):
            columns, rows = columns[:-1], [(*row[:-2], row[-1]) for row in rows]
        if all(not row[-1] for row in rows):
            return Listing(columns, [row[:-1] for row in rows])
        return Listing([*columns, "can't be done"], rows)


def way(name: str, result: Estimate, *, with_pull: bool = False) -> Way:
    """Return one way of doing it: what to compare; its pull, which takes a second, if asked for."""
    values, drawn = result.values, result.drawn
    found = pull(result) if with_pull else None
    power_w = drawn["thermal_efficiency"] * drawn["voltage_v"] * drawn["current_a"]
    return Way(
        name,
        seam_m=float(values["metres_m"]),
        area_mm2=sum(patch.outline.area for patch in result.patches),
        tacks=len(result.tacks),
        welds=len(result.welds),
        hours=result.hours,
        cost=result.cost,
        gas_l=result.range("gas_real_l").likely if "gas_real_l" in values else 0.0,
        wire_g=result.range("wire_bought_g").likely,
        heat_kj=_range(power_w * drawn["arc_time_s"] / 1000, "kJ").likely,
        pull=found.index if found else None,
    )


def ways(
    job: Job, changes: Mapping[str, Mapping[str, Any]], *, with_pull: bool = False
) -> Comparison:
    """Return a repair done several ways; a way that can't be done says why.

    `changes` maps a way's name to what `Job.changed` takes: `SHAPES`, `JOINTS`,
    `PROCESSES` or your own.  `with_pull` adds a column of what each seam pulls.
    """

    def tried(name: str, change: Mapping[str, Any]) -> Way | Refused:
        try:
            return way(name, estimate(job.changed(**change)), with_pull=with_pull)
        except SheetkitError as error:
            return Refused(name, str(error.faults[0]))

    return Comparison(tuple(tried(*item) for item in changes.items()), job.shop.currency)


def margins(job: Job, values_mm: Iterable[float]) -> Comparison:
    """Return a repair with several margins, mm."""
    return ways(job, {f"margin {mm:g} mm": {"patch__margin": f"{mm:g} mm"} for mm in values_mm})


def whole_panel(
    job: Job,
    *,
    panel_price: float | None = None,
    hours_h: float | None = None,
    hours_factor: float | None = None,
) -> Comparison:
    """Return the whole panel put in, as one way, to be added to the patch's.

    The seam is the panel's outline; every step by the metre is reckoned as for
    a patch of that size in the job's own joint.  The metal is the panel bought.

    Parameters
    ----------
    panel_price : float, optional
        What the panel costs, in the job's currency; default the table's guess.
    hours_h : float, optional
        Hours somebody quoted for it; wins over the reckoning.
    hours_factor : float, optional
        Hours, but for access and stripping, against a patch's: a panel comes
        shaped.  Default the table's guess.
    """
    name, money = "whole panel", job.shop.currency
    if job.panel.outline is None:
        return Comparison((Refused(name, "panel.outline: draw the panel first"),), money)
    data = job.data
    data["rust"] = [{"ring": data["panel"]["outline"]}]
    data.pop("panel")
    plain = {"margin": 0, "corner_radius": 0, "folds": [], "lips": [], "joggle": None}
    data["patch"] = data.get("patch", {}) | plain
    result = estimate(Job.from_data(data))
    drawn, factor = result.drawn, tables.row("labour", "whole panel", "factor")
    by = column(factor) if hours_factor is None else hours_factor
    reckoned = drawn["access_h"] + (drawn["hours_h"] - drawn["access_h"]) * by
    hours = reckoned if hours_h is None else hours_h
    price = tables.row("consumables", "whole_panel", "price").value
    metal = price if panel_price is None else panel_price
    other = drawn["materials_cost"] - drawn["sheet_cost"]
    rate, tax = result.values["labour_rate_per_h"], 1 + result.values["tax_share"]
    cost = (hours * rate + other + metal) * tax
    found = replace(way(name, result), hours=_range(hours, "h"), cost=_range(cost, money))
    return Comparison((found,), money)


def _range(draws: float | np.ndarray, unit: str) -> Range:
    low, likely, high = quantiles(np.atleast_1d(np.asarray(draws, float))).tolist()
    return Range(low, likely, high, unit)
