"""One repair done several ways, side by side: metres, hours, gas, money, heat."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from ..base import tables
from ..base.errors import SheetkitError, plain, unknown
from ..base.showing import Column, Listing, Range, Shown, counted
from ..job.job import Job
from ..repair.estimate import Estimate, estimate

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
        """Return a row a way."""
        rows = [
            (w.name, w.seam_m, w.area_mm2 / 100, w.tacks, w.welds, w.hours, w.gas_l, w.wire_g,
             w.cost, w.heat_kj, "")
            if isinstance(w, Way)
            else (w.name, *[None] * 9, w.why)
            for w in self.ways
        ]  # fmt: skip
        columns: list[Column | str] = [
            "way", Column("seam", "m", 2), Column("patch area", "cm²"), "tacks", "welds",
            Column("hours", "h", 1), Column("gas", "l"), Column("wire", "g", 1),
            Column("cost", self.currency), Column("heat into the sheet", "kJ"),
        ]  # fmt: skip
        if all(not row[-1] for row in rows):
            return Listing(columns, [row[:-1] for row in rows])
        return Listing([*columns, "can't be done"], rows)


def way(name: str, result: Estimate) -> Way:
    """Return one way of doing it: what to compare."""
    values = result.values
    power_w = values["thermal_efficiency"] * values["voltage_v"] * values["current_a"]
    return Way(
        name,
        seam_m=float(values["metres_m"]),
        area_mm2=sum(patch.outline.area for patch in result.patches),
        tacks=len(result.tacks),
        welds=len(result.welds),
        hours=result.hours,
        cost=result.cost,
        gas_l=float(values.get("gas_real_l", 0.0)),
        wire_g=float(values["wire_bought_g"]),
        heat_kj=float(power_w * values["arc_time_s"] / 1000),
    )


def ways(job: Job, changes: Mapping[str, Mapping[str, Any]]) -> Comparison:
    """Return a repair done several ways; a way that can't be done says why.

    `changes` maps a way's name to what `Job.changed` takes: `SHAPES`, `JOINTS`,
    `PROCESSES` or your own.
    """

    def tried(name: str, change: Mapping[str, Any]) -> Way | Refused:
        try:
            return way(name, estimate(job.changed(**change)))
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
        Hours by the metre against a patch's: a panel comes shaped.  Default the
        table's guess.
    """
    name, money = "whole panel", job.shop.currency
    if job.panel.outline is None:
        return Comparison((Refused(name, "panel.outline: draw the panel first"),), money)
    data = job.data
    data["rust"] = [{"ring": data["panel"]["outline"]}]
    data.pop("panel")
    data["patch"] = data.get("patch", {}) | {"margin": 0, "corner_radius": 0, "folds": []}
    result = estimate(Job.from_data(data))
    hours = _times(result.hours, _ends("labour", "whole panel", "factor", hours_factor))
    if hours_h is not None:
        hours = _times(Range(1.0, 1.0, 1.0, "h"), (hours_h,) * 3)
    metal = _ends("consumables", "whole_panel", "price", panel_price)
    rate, tax = result.values["labour_rate_per_h"], 1 + result.values["tax_share"]
    other = result.values["materials_cost"] - result.values["sheet_cost"]
    low, likely, high = (
        float((h * rate + other + m) * tax)
        for h, m in zip((hours.low, hours.likely, hours.high), metal, strict=True)
    )
    found = replace(way(name, result), hours=hours, cost=Range(low, likely, high, money))
    return Comparison((found,), money)


def _ends(table: str, name: str, quantity: str, given: float | None) -> tuple[float, float, float]:
    """Return what was given, three times, or a row's low, value and high."""
    if given is not None:
        return given, given, given
    row = tables.row(table, name, quantity)
    low, high = (row.value if end is None else end for end in (row.low, row.high))
    return low, row.value, high


def _times(span: Range, by: tuple[float, float, float]) -> Range:
    low, likely, high = by
    return Range(span.low * low, span.likely * likely, span.high * high, span.unit)
