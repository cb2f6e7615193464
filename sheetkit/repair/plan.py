"""Estimate -> order and waits: its tacks and stitches as heat sources."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from math import isfinite
from typing import Any

import numpy as np
import shapely
from shapely import LineString, Polygon

from ..base import tables
from ..base.errors import refuse
from ..base.tables import Row, limit
from ..geometry.welds import Weld, paths
from ..heat.rules import Rules
from ..heat.surroundings import Surroundings
from ..heat.weld_source import WeldRun
from ..heat.workpiece import Overlap, Workpiece
from ..job.job import Job
from ..sequence.first_look import FirstLook
from ..sequence.hot_strips import reached
from ..sequence.places import CoolPlace
from ..sequence.plan import SequencePlan, plan_sequence
from ..sequence.shop_heat import ShopHeat
from .estimate import PLAN, Estimate
from .place_cautions import flammable

BY_PLAN = "the sequence plan of this job"
_OF_PAPER = {
    "format", "drawn_in", "title", "notes", "vehicle", "plate", "vin", "odometer", "customer",
    "contact", "shop",
}  # fmt: skip


def order_hangs_on(job: Job) -> dict:
    """Return what of a job its order hangs on: all but words, customer and most of the shop.

    The skill stays: it says how long settling at the next place takes.  What is
    compared are values, not texts: "1 in" and as many millimetres are one margin.
    """
    parts = {name: getattr(job, name) for name in Job.model_fields if name not in _OF_PAPER}
    return parts | {"skill": job.shop.skill}


def arc_s(result: Estimate, weld: Weld) -> float:
    """Return how long the arc burns on one tack, stitch, group of dots or plug, s."""
    values = result.values
    if weld.kind == "tack":
        return float(values["tack_time_s"])
    if weld.kind == "dots":
        share = weld.dots / values["dot_count"]
    elif weld.kind == "plug":
        share = 1 / values["plug_count"]
    else:
        share = weld.length / values["welded_length_mm"]
    return float(share * values["fill_time_s"])


def _pauses_s(result: Estimate, weld: Weld) -> float:
    """Return how long the arc rests within a group of dots, s."""
    if weld.kind != "dots":
        return 0.0
    values = result.values
    made = (values["starts"] - values["tack_count"]) * weld.dots / values["dot_count"]
    pause = values["dot_pause_s"] * values["position_factor"] * values["skill_factor"]
    return float(max(made - 1, 0.0) * pause)


def unkind_heat(result: Estimate) -> float:
    """Return the heat an order is planned with over the estimate's.

    The thermal efficiency at its high end over its usual value: too long a wait costs
    minutes, too short a one the sheet.
    """
    known = tables.row("processes", result.job.weld.process, "thermal_efficiency")
    return max(known.high or known.value, known.value) / result.values["thermal_efficiency"]


def surroundings(job: Job) -> Surroundings:
    """Return how the sheet of a job lies; a back no hand reaches is taken for a closed section.

    A bent panel is taken to lie as the flats with most of the rust do.
    """
    given, faces = job.surroundings, job.rusty_faces
    back = given.back or ("open" if faces.is_open else "closed")
    return Surroundings(
        faces.position, job.sheet.coating, given.front, back, given.ambient, given.air
    )


def sheet_of(result: Estimate) -> Polygon:
    """Return the sheet an order is planned on: the panel drawn, or a box round the cuts.

    The box ends "sheet_beyond_cut" beyond them: on a larger panel waits come out too
    long rather than too short.
    """
    drawn = result.job.panel_shape
    return _box(result, limit("sheet_beyond_cut").value) if drawn is None else drawn


def least_sheet_of(result: Estimate) -> Polygon | None:
    """Return the sheet if its edge lies as near as "sheet_beyond_cut" allows; None: it is drawn."""
    drawn, known = result.job.panel_shape, limit("sheet_beyond_cut")
    return _box(result, known.low or known.value) if drawn is None else None


def _box(result: Estimate, beyond_mm: float) -> Polygon:
    cuts = [shape for patch in result.patches for shape in (patch.cut_line, patch.outline)]
    box = shapely.box(*(shapely.total_bounds(cuts) + beyond_mm * np.array([-1, -1, 1, 1])))
    section = result.job.section
    if section is None:
        return box
    # along its run a bent panel ends where its profile does, drawn or not
    held = section.between(section.start_mm, section.end_mm, box)
    return held if isinstance(held, Polygon) and held.covers(shapely.union_all(cuts)) else box


def _overlap(result: Estimate) -> Overlap | None:
    """Return how the sheets of a lap or plug joint lie on each other."""
    job = result.job
    if job.patch.joint == "butt":
        return None
    hole = shapely.union_all([patch.cut_line for patch in result.patches])
    over = shapely.union_all([patch.outline for patch in result.patches])
    within = over
    if job.patch.joint == "plug":
        closed = [Polygon(run) for run in result.runs if run.is_closed]
        within = hole.buffer(job.patch.overlap / 2) if len(closed) < len(result.runs) else hole
        within = shapely.union_all([within, *closed]).intersection(over)
    return Overlap(over, hole, within, job.sheet.beneath or job.sheet.thickness)


def plan(
    result: Estimate,
    *,
    own: ShopHeat | None = None,
    progress: Callable[[str, int, int], Any] | None = None,
    stop: Callable[[], bool] | None = None,
    first_look: Callable[[FirstLook], Any] | None = None,
) -> SequencePlan:
    """Return the order and waits for an estimate's tacks and stitches, by the heat-flow model.

    Parameters
    ----------
    result : Estimate
    own : the shop's own heat and losses, from `workshop.heat_log`; None: the book's.  The
        plan takes the hot end of the heat and the likely losses
    progress : called with (what, done, of how many) while it works
    stop : returns True to end the search and keep the best order so far
    first_look : called with a rough order where the first plan on a computer has to wait
        for its kernels to be compiled

    Raises
    ------
    OutOfRange
        The sheet never cools below the interpass limit, or a length is out of range.
    """
    values, job = result.values, result.job
    heat = unkind_heat(result) if own is None else own.planned_heat
    power = values["voltage_v"] * values["current_a"] * values["thermal_efficiency"]

    def heated(welds: Sequence[Weld]) -> list[WeldRun]:
        return [
            WeldRun(
                path,
                power * arc_s(result, weld),
                arc_s(result, weld) + _pauses_s(result, weld),
                weld.patch,
            )
            for weld, path in zip(welds, paths(welds, result.runs), strict=True)
        ]

    protect = [
        CoolPlace(
            item.name or f"protected place {number}",
            shapely.Point(item.at) if item.at else LineString(item.line),
            item.limit,
            held=not flammable(item.name),
        )
        for number, item in enumerate(job.panel.protect, 1)
    ]
    piece = Workpiece(
        sheet_of(result),
        result.runs,
        job.sheet.thickness,
        heated(result.tacks),
        heated(result.welds),
        losses=surroundings(job).losses,
        overlap=_overlap(result),
        least_panel=least_sheet_of(result),
    )
    rules = Rules(
        job.weld.interpass_limit,
        settle_s=float(values["settle_s"]),
        move_mm_s=1000 * float(values["move_speed_m_s"]),
    )
    piece = piece.scaled(heat=heat, loss=1.0 if own is None else own.loss)
    found = plan_sequence(
        piece, protect, rules=rules, progress=progress, stop=stop, first_look=first_look
    )
    return replace(found, own=own, heat_share=heat)


def with_plan(result: Estimate, plan: SequencePlan) -> Estimate:
    """Return the estimate with the plan's own moves, waits and burnt strip for the usual ones.

    Its tacking and welding then take the plan's time: the plan's own, one
    settling before the first tack, aligning the tacks and setting up.  Moves and
    waits go by the weld, so that hidden rust, which takes more welds, waits for
    them too: a plan is for the rust as drawn.

    Parameters
    ----------
    result : Estimate
    plan : of the same job, from `plan`

    Raises
    ------
    OutOfRange
        The plan has other numbers of tacks or welds than the estimate.
    """
    counts = len(result.tacks), len(result.welds)
    planned = len(plan.tack_order), len(plan.order)
    if counts != planned:
        refuse("plan", f"{planned[0]} tacks and {planned[1]} welds",
               f"must have the estimate's {counts[0]} and {counts[1]}", "plan this job again")  # fmt: skip
    tacks, welds = max(counts[0], 1), counts[1]
    settle, speed = plan.rules.settle_s, plan.rules.move_mm_s
    arcs = sum(arc_s(result, weld) + _pauses_s(result, weld) for weld in result.welds)
    tack_moves = plan.tack_s - sum(arc_s(result, weld) for weld in result.tacks)
    tack_way_s = max(tack_moves - (tacks - 1) * settle, 0.0)
    moves = welds if plan.tack_order else welds - 1
    way_s = max(plan.no_wait_bound_s - arcs - moves * settle, 0.0)
    waits = max(plan.total_s - plan.no_wait_bound_s, 0.0)
    quick, slow = (max(total - plan.no_wait_bound_s, 0.0) for total in plan.robustness)

    def taken(name: str, value: float, unit: str, note: str = "") -> Row:
        return Row(PLAN, name, name, None, value, None, unit, f"{BY_PLAN}{note}", "derived", "")

    by_line_source = result.values["paint_burns_mm"] / result.values["strip_over_line_source"]
    paint = next(one for one in reached(plan).strips if one.level.name == "heat_paint")
    known = [
        taken("strip_over_line_source", paint.mean_mm / by_line_source, "1"),
        taken("tack_distance_mm", tack_way_s * speed / tacks, "mm"),
        taken("move_distance_mm", way_s * speed / welds, "mm"),
        replace(
            taken(
                "cooling_wait_s",
                waits / welds,
                "s",
                "; heat and losses 20 % less or more, half the losses, an edge nobody drew",
            ),
            low=min(quick, waits) / welds if isfinite(quick) else None,
            high=max(slow, waits) / welds if isfinite(slow) else None,
        ),
    ]
    inputs = dict(result.inputs) | {row.quantity: row for row in known}
    values = result.chain.evaluate({name: row.value for name, row in inputs.items()})
    return replace(result, inputs=inputs, values=values)
