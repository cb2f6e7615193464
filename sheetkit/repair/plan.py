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
from ..sequence.plan import CoolPlace, SequencePlan, plan_sequence
from .estimate import Estimate


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

    def seconds(weld: Weld) -> float:
        if weld.kind == "tack":
            return values["tack_time_s"]
        if weld.kind == "dots":
            return weld.dots / values["dot_count"] * values["fill_time_s"]
        if weld.kind == "plug":
            return values["fill_time_s"] / values["plug_count"]
        return weld.length / values["welded_length_mm"] * values["fill_time_s"]

    def heated(welds: Sequence[Weld]) -> list[WeldRun]:
        return [
            WeldRun(path, power * seconds(weld), seconds(weld), weld.patch)
            for weld, path in zip(welds, paths(welds, result.runs), strict=True)
        ]

    protect = [
        CoolPlace(
            item.name or f"protected place {number}",
            shapely.Point(item.at) if item.at else LineString(item.line),
            item.limit,
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
