"""Listings of what lies below: a job's fields, a rust extent's totals, estimates side by side."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import reduce
from typing import Any

from ..base import amounts, tables
from ..base.errors import SheetkitError
from ..base.showing import Column, Listing, Range
from ..base.tables import Row
from ..formulas.hours import STEPS, by_step
from ..geometry.patch import blank_size, mass
from ..geometry.stock_sheet import Placement
from ..job.job import Job
from ..job.titles import choice, title
from ..repair.estimate import Estimate
from ..repair.left_out import assumed
from ..repair.rust_extent import Extent
from .words import minutes, words

TOTALS = ("hours_h", "cost", "gas_real_l", "wire_bought_g")
_FIELDS = {
    "sheet.thickness": "thickness",
    "sheet.coating": "",
    "sheet.position": "",
    "sheet.role": "",
    "patch.margin": "length",
    "patch.shape": "",
    "patch.joint": "",
    "patch.gap": "thickness",
    "patch.overlap": "length",
    "weld.process": "",
    "weld.gas": "",
    "weld.wire": "wire",
    "weld.current": "current",
    "weld.voltage": "voltage",
    "weld.travel": "speed",
    "weld.flow": "flow",
    "weld.interpass_limit": "temperature",
    "shop.skill": "",
}
"""Field -> its kind of amount, or nothing where it is a word."""


def _unit(result: Estimate, name: str) -> str:
    return result.range(name).unit


def job_listing(job: Job, display: str = "mm") -> Listing:
    """Return a job's fields with what they hold; what is left out is suggested by the estimate."""

    def value(path: str, kind: str) -> str:
        held: Any = reduce(getattr, path.split("."), job)
        if held is None:
            return "from the tables"
        return amounts.show(held, kind, units=display) if kind else choice(path, held)

    def size(bounds: Sequence[float]) -> str:
        left, bottom, right, top = bounds
        sides = (right - left, top - bottom)
        return " × ".join(amounts.show(side, "length", units=display) for side in sides)

    rows = []
    if job.panel_shape is not None:
        rows.append((title("panel.outline"), size(job.panel_shape.bounds), True))
    for number, rust in enumerate(job.rust, 1):
        box = size(rust.ring.polygon.bounds)
        several = f" {number}" if len(job.rust) > 1 else ""
        rows.append((f"{title('rust')}{several}", f"{rust.grade}, {box}", True))
    rows += [(title(path), value(path, kind), job.given(path)) for path, kind in _FIELDS.items()]
    return Listing(["setting", "holds", "given"], rows)


def left_out(result: Estimate, display: str = "mm") -> Listing:
    """Return what an estimate took for what its job leaves out, with what that rests on."""
    rows = [(title(field), *rest) for field, *rest in assumed(result, display=display)]
    return Listing(["setting", "taken", "rests on"], rows)


def extent_listing(extent: Extent, display: str = "mm", names: Sequence[str] = TOTALS) -> Listing:
    """Return totals with hidden rust: as drawn, one in ten below, middle, one in ten above, worst."""
    heads = (
        "as drawn",
        "one in ten below",
        "middle",
        "one in ten above",
        "worst low",
        "worst high",
    )
    rows = []
    for name in names:
        if name not in extent.simulated and name in TOTALS:
            continue  # no gas is used
        found, unit = extent.spread(name), _unit(extent.drawn, name)
        kind = {"l": "volume", "g": "filler"}.get(unit)
        values = [extent.drawn.range(name).likely, found.p10, found.p50, found.p90, found.low,
                  found.high]  # fmt: skip
        if kind:
            unit = amounts.converted(0.0, kind, units=display)[1]
            values = [amounts.converted(value, kind, units=display)[0] for value in values]
        rows.append((words(name).split(",")[0], unit, *values))
    return Listing(["total", "unit", *(Column(head, "", None) for head in heads)], rows)


def drivers(extent: Extent, name: str = "hours_h", *, top: int = 10) -> Listing:
    """Return what drives a total: each uncertain input moved alone to its ends, strongest first."""
    unit = _unit(extent.drawn, name)
    rows = [
        (words(one.name), f"{one.row.low:.3g} to {one.row.high:.3g}", one.at_low, one.at_high,
         one.swing, one.row.status)
        for one in extent.drivers(name)[:top]
    ]  # fmt: skip
    what = words(name).split(",")[0]
    columns = [Column(f"{what} at its {end}", unit, None) for end in ("low", "high")]
    return Listing(
        [
            "input, the others as usual",
            "its range",
            *columns,
            Column("swing", unit, None),
            "rests on",
        ],
        rows,
    )


def side_by_side(
    results: Mapping[str, Estimate], names: Sequence[str] = ("hours_h", "cost")
) -> Listing:
    """Return figures of several estimates beside each other, each with its range.

    Parameters
    ----------
    results : what each estimate is called -> Estimate
    names : figures, such as "hours_h"

    Raises
    ------
    UnknownName
        An estimate has no such figure; the nearest are told.
    """
    rows = [
        (words(name).split(",")[0], next(iter(spans)).unit, *spans)
        for name in names
        for spans in ([result.range(name) for result in results.values()],)
    ]
    return Listing(["figure", "unit", *(Column(name, "", None) for name in results)], rows)


def hours_listing(result: Estimate) -> Listing:
    """Return the hours of each step with their share, and for how long of them the arc burns."""
    rows: list[tuple] = [
        (
            row["step"],
            Range(row["low"], row["hours"], row["high"], "h"),
            100 * row["share"],
            result.rests_on(name),
        )
        for name, row in zip(STEPS, by_step(result.parts("hours_h"), result.spans), strict=True)
    ]
    arc, share = result.range("arc_time_s").likely, result.range("arc_on_share").likely
    rows.append((f"of these the arc burns {minutes(arc)}", arc / 3600, 100 * share, ""))
    return Listing(["step", Column("hours", "h", 2), Column("share", "%"), "rests on"], rows)


def placement_listing(placement: Placement, display: str = "mm") -> Listing:
    """Return where each blank lies: its sheet, and its corner on that."""
    length = amounts.converted(0.0, "length", units=display)[1]

    def shown(value: float) -> float:
        return amounts.converted(value, "length", units=display)[0]

    rows = []
    for item in placement.placed:
        left, bottom, right, top = item.rectangle
        sides = (shown(right - left), shown(top - bottom))
        rows.append((item.blank + 1, item.sheet + 1, shown(left), shown(bottom), *sides))
    digits = 2 if display == "in" else 0
    heads = ("across", "up", "width", "height")
    return Listing(["blank", "sheet", *(Column(head, length, digits) for head in heads)], rows)


def range_listing(span: Range, display: str = "mm") -> Listing:
    """Return a range as one row."""
    return Listing([Column("likely", span.unit, None)], [(span,)])


def patch_listing(result: Estimate, display: str = "mm") -> Listing:
    """Return a row a patch: its seam and cut line, its area, its blank and that one's mass."""
    length = amounts.converted(0.0, "length", units=display)[1]
    digits = 2 if display == "in" else 0

    def shown(value: float, kind: str = "length") -> float:
        return amounts.converted(value, kind, units=display)[0]

    masses = [mass(patch.blank.area, result.job.sheet.thickness) for patch in result.patches]
    weight = amounts.mass_kind(max(masses))
    rows = []
    for number, (patch, grams) in enumerate(zip(result.patches, masses, strict=True), 1):
        sides = (shown(side) for side in blank_size(patch.blank))
        rows.append((
            number, shown(patch.seam_length_mm), shown(patch.cut_line.length),
            shown(patch.outline.area, "area"), *sides, shown(grams, weight),
        ))  # fmt: skip
    heads = ("seam", "cut line")
    return Listing(
        ["patch", *(Column(head, length, digits) for head in heads),
         Column("area", amounts.converted(0.0, "area", units=display)[1], digits),
         *(Column(f"blank, {side}", length, digits) for side in ("long", "short")),
         Column("weight", amounts.converted(0.0, weight, units=display)[1], None)],
        rows,
    )  # fmt: skip


def caution_listing(result: Estimate, display: str = "mm") -> Listing:
    """Return what to heed before the first cut, the gravest first."""
    rows = [(caution.topic, caution.text) for caution in result.cautions(display)]
    return Listing(["caution", "what to do"], rows)


def refusal(action: Callable[..., Any], *args: Any, **options: Any) -> Listing:
    """Return what an action is refused for, such as ``refusal(job.changed, rust=[])``.

    Nothing is said where it goes through.
    """
    try:
        action(*args, **options)
    except SheetkitError as error:
        rows = [(f.field, f.value, f.limit, f.remedy) for f in error.faults]
    else:
        rows = []
    return Listing(["field", "got", "limit", "what to do"], rows)


def statuses(names: Sequence[str]) -> Listing:
    """Return how many rows of each table are published, derived, common practice or guesses."""
    rows = [
        (
            name.replace("_", " "),
            *(sum(row.status == status for row in tables.rows(name)) for status in tables.STATUSES),
        )
        for name in names
    ]
    return Listing(["table", *tables.STATUSES], rows)


def guesses() -> Listing:
    """Return every row of the tables whose status is "guess", with its range and unit."""
    rows = [
        (*(one.replace("_", " ") for one in (table, row.name, row.quantity)), Range(_or(row.low, row), row.value, _or(row.high, row)),
         row.unit)
        for table in tables.table_names()
        for row in tables.rows(table)
        if row.status == "guess"
    ]  # fmt: skip
    return Listing(["table", "row", "quantity", Column("value and range", "", None), "unit"], rows)


def _or(end: float | None, row: Row) -> float:
    return row.value if end is None else end
