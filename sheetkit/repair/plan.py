"""Estimate -> order and waits: its tacks and stitches as heat sources."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import shapely
from shapely import LineString

from ..geometry.welds import Weld, paths
from ..heat.rules import Rules
from ..heat.weld_source import WeldRun
from ..heat.workpiece import Workpiece
from ..sequence.places import CoolPlace
from ..sequence.plan import SequencePlan, plan_sequence
from .estimate import Estimate
from .place_cautions import flammable


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


def plan(
    result: Estimate,
    *,
    progress: Callable[[str, int, int], Any] | None = None,
    stop: Callable[[], bool] | None = None,
) -> SequencePlan:
    """Return the order and waits for an estimate's tacks and stitches, by the heat-flow model.

    Parameters
    ----------
    result : Estimate
    progress : called with (what, done, of how many) while it works
    stop : returns True to end the search and keep the best order so far

    Raises
    ------
    OutOfRange
        The sheet never cools below the interpass limit, or a length is out of range.
    """
    values, job = result.values, result.job
    power = values["voltage_v"] * values["current_a"] * values["thermal_efficiency"]

    def heated(welds: Sequence[Weld]) -> list[WeldRun]:
        return [
            WeldRun(path, power * arc_s(result, weld), arc_s(result, weld), weld.patch)
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
        job.panel_shape,
        result.runs,
        job.sheet.thickness,
        heated(result.tacks),
        heated(result.welds),
    )
    rules = Rules(job.weld.interpass_limit)
    return plan_sequence(piece, protect, rules=rules, progress=progress, stop=stop)
