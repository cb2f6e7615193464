"""Estimate -> what its seam pulls: how near buckling, what gap to set, what to hammer back."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import shapely
from shapely import LineString, Polygon

from ..base import tables
from ..base.showing import Range, Shown
from ..base.steel import YOUNG_MPA
from ..base.tables import Row
from ..formulas import shrinkage
from ..formulas.montecarlo import ends
from ..job.job import Job
from ..pull.seamed_sheet import Buckled, SeamedSheet, StiffLine, index
from .estimate import Estimate

Progress = Callable[[str, int, int], Any]
PLAINER_MM = 0.25
"""Seams and edges are taken so much plainer than drawn: triangles are ten times as large."""
SWAGE_SHAPE = 4 / 45
"""Second moment of a swage as deep as d and as wide as w about its own middle, over t w d²: a parabola."""


@dataclass(frozen=True, repr=False)
class Pull(Shown):
    """What the cold seam does to the sheet: an index to compare ways by, never a verdict.

    index : the pull over the pull that buckles the flat sheet, a plain number.  Likely is the
        pull along the seam alone; the ends hold the printed constants, the heat, the crosswise
        shrinkage that may be locked in, and edges nobody described
    along_kn : force along the seam, kN; the order of the welds is not in it
    strip_mm : strip along the seam that is stretched to yield, mm
    across_mm : crosswise shrinkage by each printed form, mm
    gap_mm : the gap that is set, mm; gap_left_mm : what tacking leaves of it; None for a lap
    stretch_mm_per_m : what hammering must lengthen the strip by, mm per metre of seam
    back_reached : whether a dolly can be held behind
    heat_j_mm : J/mm; flat_mm : the largest circle in a patch that no stiff line crosses, mm
    piece, shape : the sheet reckoned with, and the shape it would buckle into first
    assumed : what the job left out
    cases : the index for each way of what is unknown, in one order, the likely one first
    """

    index: Range
    along_kn: Range
    strip_mm: Range
    across_mm: tuple[tuple[str, Range], ...]
    gap_mm: float | None
    gap_left_mm: Range | None
    stretch_mm_per_m: Range
    back_reached: bool
    heat_j_mm: float
    flat_mm: float
    piece: SeamedSheet
    shape: Buckled
    assumed: tuple[str, ...]
    cases: tuple[float, ...]

    def __repr__(self) -> str:
        return f"<pull: index {self.index}, {self.along_kn} along the seam>"


def times(one: Pull, first: Pull) -> Range:
    """Return one pull's index over another's; what is unknown is taken alike in both.

    Heat and printed constants move both alike and fall out; the ends are the other unknowns':
    how much of the crosswise shrinkage is locked in, and what holds edges nobody described.
    """
    both = [here / there for here, there in zip(one.cases, first.cases, strict=False) if there]
    if not both:
        return Range(1.0, 1.0, 1.0)
    return Range(min(both), both[0], max(both))


def row(name: str, quantity: str = "value") -> Row:
    """Return a row of the table "shrinkage"."""
    return tables.row("shrinkage", name, quantity)


def three(found: Row) -> tuple[float, float, float]:
    """Return a row's low, value and high."""
    low, high = ends(found)
    return float(low), float(found.value), float(high)


def _range(ends: Sequence[float], unit: str) -> Range:
    low, likely, high = map(float, ends)
    return Range(low, likely, high, unit)


def across(result: Estimate) -> tuple[tuple[str, Range], ...]:
    """Return the crosswise shrinkage by each printed form, mm; a lap has only the heat's."""
    values, thickness = result.values, result.job.sheet.thickness
    heat = result.range("heat_input_kj_per_mm")
    expansion = row("expansion", "per_degree").value
    found = []
    if result.job.patch.joint == "butt":
        area, gap = values["section_mm2"], result.job.gap
        share = row("across_by_section", "share").value
        by_area = shrinkage.across_by_section_mm(area, thickness, share)
        found.append(("0.1 Aw / t", Range(by_area, by_area, by_area, "mm")))
        both = [
            shrinkage.across_by_section_and_gap_mm(
                area, thickness, gap, share, row("across_by_section_and_gap", "gap_share").value
            )
            for share in three(row("across_by_section_and_gap", "share"))
        ]
        found.append(("0.2 Aw / t + 0.05 d", _range(both, "mm")))
    by_heat = [
        shrinkage.across_by_heat_mm(q, thickness, expansion)
        for q in (heat.low, heat.likely, heat.high)
    ]
    found.append(("alpha Q / (rho c t)", _range(by_heat, "mm")))
    return tuple(found)


def gap_left(result: Estimate) -> Range | None:
    """Return what the tacking rounds leave of a butt joint's gap, mm; None for a lap.

    The first round draws the edges together by up to one crosswise shrinkage, and the later
    ones find them held.  High is a patch its first tacks hold; below 0 the edges would meet
    and ride up.
    """
    if result.job.patch.joint != "butt":
        return None
    gap, forms = result.job.gap, [found for _, found in across(result)]
    closing = max(one.high for one in forms), float(np.median([one.likely for one in forms]))
    return Range(gap - closing[0], gap - closing[1], gap, "mm")


def force(result: Estimate) -> tuple[Range, Range, Range]:
    """Return the pull along the seam, kN, its strip at yield, mm, and the stretch back, mm/m."""
    thickness = result.job.sheet.thickness
    heat = result.range("heat_input_kj_per_mm")
    welded, whole = (result.values.get(n, 0.0) for n in ("welded_length_mm", "seam_length_mm"))
    share = min(welded / whole, 1.0) if welded and whole else 1.0
    pull = [
        share * shrinkage.along_kn(q, by)
        for q, by in zip(
            (heat.low, heat.likely, heat.high),
            three(row("force", "per_heat_input")),
            strict=True,
        )
    ]
    strips = [
        shrinkage.strip_at_yield_mm(kn, thickness, mpa)
        for kn, mpa in zip(pull, three(row("yield_strength"))[::-1], strict=True)
    ]
    back = [
        shrinkage.stretch_back_mm_per_m(kn, thickness, wide)
        for kn, wide in zip(pull, three(row("hammered_width"))[::-1], strict=True)
    ]
    return _range(pull, "kN"), _range(strips, "mm"), _range(back, "mm/m")


def stiff_lines(result: Estimate, sheet: Polygon) -> tuple[StiffLine, ...]:
    """Return the lines of a job that stay straight: those said, its bends, lips and swages."""
    return tuple(_stiff(result.job, result, sheet))


def _stiff(job: Job, result: Estimate, sheet: Polygon) -> Iterator[StiffLine]:
    for item in job.panel.stiff:
        yield StiffLine(LineString(item.line), None, item.name or "stiff line")
    for swage in job.panel.swages:
        rigidity = YOUNG_MPA * SWAGE_SHAPE * job.sheet.thickness * swage.width * swage.depth**2
        yield StiffLine(LineString(swage.line), rigidity, "swage")
    if job.section is not None:
        for bend in job.section.bend_lines(sheet):
            yield StiffLine(bend.line, None, f"bend {bend.number}")
    for number, fold in enumerate(job.patch.folds, 1):
        yield StiffLine(LineString(fold.line), None, f"fold {number}")
    for lip in job.patch.lips:
        yield StiffLine(LineString(lip.edge), None, "lip")


def sheet_of(result: Estimate) -> tuple[Polygon, bool]:
    """Return the sheet the pull is reckoned on, and whether it is the panel as drawn."""
    drawn = result.job.panel_shape
    if drawn is not None:
        return drawn, True
    cuts = [shape for patch in result.patches for shape in (patch.cut_line, patch.outline)]
    beyond = row("sheet_beyond_cut").value
    return shapely.box(*(shapely.total_bounds(cuts) + beyond * np.array([-1, -1, 1, 1]))), False


def piece_of(result: Estimate) -> SeamedSheet:
    """Return the sheet with its seams as the job has it; edges nobody described are held."""
    sheet, _ = sheet_of(result)
    strip = force(result)[1].likely
    seams = [run.simplify(PLAINER_MM) for run in result.runs]
    return SeamedSheet(
        sheet.simplify(PLAINER_MM),
        tuple(one for one in seams if isinstance(one, LineString)),
        result.job.sheet.thickness,
        float(np.clip(strip, 5.0, 1000.0)),
        result.job.panel.edges or "held",
        stiff_lines(result, sheet),
        row("sheet_beyond_cut").value,
    )


def pull(
    result: Estimate, *, progress: Progress | None = None, stop: Callable[[], bool] | None = None
) -> Pull | None:
    """Return what the seam of an estimate pulls; None if it was stopped.

    Parameters
    ----------
    result : Estimate
    progress : called with (what, done, of how many)
    stop : returns True to end

    Raises
    ------
    OutOfRange
        The panel is too large or too ragged to be reckoned with.
    """
    along, strip, stretch = force(result)
    by_heat = across(result)[-1][1].likely
    drawn = [by_heat * share for share in three(row("locked_in", "share"))]
    force_n = (1000 * along.low, 1000 * along.likely, 1000 * along.high)
    piece, job = piece_of(result), result.job
    _, is_drawn = sheet_of(result)
    assumed = () if is_drawn else ("panel.outline",)
    pieces = [piece]
    if is_drawn and job.panel.edges is None:
        pieces.append(replace(piece, edges="flanged"))
        assumed = ("panel.edges",)
    spans = []
    for one in pieces:
        found = index(one, force_n, (drawn[0], drawn[1], drawn[2]), progress=progress, stop=stop)
        if found is None:
            return None
        spans.append(found)
    lines = shapely.union_all([one.line for one in piece.stiff]).buffer(0.01)
    flat = max(
        2 * shapely.maximum_inscribed_circle(patch.outline.difference(lines), tolerance=0.5).length
        for patch in result.patches
    )
    return Pull(
        Range(min(one.low for one in spans), spans[0].likely, max(one.high for one in spans)),
        along,
        strip,
        across(result),
        job.gap if job.patch.joint == "butt" else None,
        gap_left(result),
        stretch,
        job.rusty_faces.is_open,
        1000 * float(result.values["heat_input_kj_per_mm"]),
        float(flat),
        piece,
        spans[0].shape,
        assumed,
        tuple(case for one in spans for case in one.cases),
    )
