"""Job -> Estimate: the one place where geometry, welding, time and money are put together."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import shapely
from shapely import LineString

from . import figures, pieces, tables
from . import inputs as inputs_of
from . import patch as patching
from . import stitches as stitching
from .cautions import Caution, cautions
from .figures import Explanation, derived
from .heat import WeldRun
from .job import Job
from .pieces import PatchResult
from .sequence import Protected, SequencePlan, plan_sequence
from .stitches import Weld
from .tables import Row

GEOMETRY = "the drawing, by shapely"


@dataclass(frozen=True)
class Range:
    """A figure's low, likely and high."""

    low: float
    likely: float
    high: float


@dataclass(frozen=True, eq=False)
class Estimate:
    """Everything worked out from one job; frozen.

    `values` holds every input and figure by name (the name ends in its unit);
    `explain(name)` says how one came about.
    """

    job: Job
    patches: tuple[PatchResult, ...]
    tacks: tuple[Weld, ...]
    welds: tuple[Weld, ...]
    inputs: Mapping[str, Row]
    values: Mapping[str, float]
    lens_shade_min: int
    _chain: Mapping[str, Callable] = field(repr=False)

    @cached_property
    def runs(self) -> tuple[LineString, ...]:
        """All seam runs, in the order the welds' `run` counts them."""
        return tuple(run for patch in self.patches for run in patch.seam)

    @cached_property
    def is_continuous(self) -> bool:
        """Whether the fill closes the whole seam."""
        return stitching.is_continuous(self.welds, self.runs)

    @cached_property
    def spans(self) -> dict[str, tuple[float, float]]:
        """(low, high) of every figure, from the ranges of the inputs."""
        return figures.ranges(self._chain, self.inputs)

    def range(self, name: str) -> Range:
        """Return a figure's range; LookupError if there is no such figure."""
        low, high = self.spans[name]
        return Range(max(low, 0.0), float(self.values[name]), high)

    @property
    def hours(self) -> Range:
        """Working hours, h."""
        return self.range("hours_h")

    @property
    def cost(self) -> Range:
        """Money, in the job's currency."""
        return self.range("cost")

    def with_inputs(self, changed: Mapping[str, float]) -> dict[str, float]:
        """Return every figure when some inputs, by name, have other values."""
        known = {name: row.value for name, row in self.inputs.items()}
        return figures.evaluate(self._chain, known | dict(changed))

    @property
    def chain(self) -> Mapping[str, Callable]:
        """The formulas, in the order they are computed."""
        return self._chain

    def explain(self, name: str) -> Explanation:
        """Return how a figure came about: formula, numbers, inputs, origins, source, range."""
        told = figures.explain(name, self._chain, self.inputs, self.values, self.spans)
        if name.endswith("cost"):
            told = replace(told, unit=self.job.shop.currency)
        return told

    def rests_on(self, name: str) -> str:
        """Return the statuses of the inputs a figure rests on, such as "derived, guess"."""
        return figures.rests_on(name, self._chain, self.inputs)

    def cautions(self, display: str = "mm") -> list[Caution]:
        """Return what to heed before the first cut, the gravest first; lengths in mm or in."""
        notes = cautions(
            self.job,
            cuts=[patch.cut_line for patch in self.patches],
            seam=self.runs,
            values=self.values,
            continuous=self.is_continuous,
            lens_shade=self.lens_shade_min,
            display=display,
        )
        left = self.values.get("cylinder_left_l")
        if left is not None and left < 0:
            notes.insert(
                0,
                Caution(
                    "gas",
                    f"the cylinder lacks {-left:.0f} l for this job: have "
                    "another at hand before you start.",
                ),
            )
        if "cylinder_content_l" not in self.values and "gas_real_l" in self.values:
            notes.append(
                Caution(
                    "gas",
                    "CO2 is liquid in its cylinder and its gauge does not "
                    "show what is left: weigh the cylinder (534 l a kg).",
                )
            )
        return notes


def estimate(job: Job) -> Estimate:
    """Work out everything for a job.

    Raises
    ------
    JobRefused
        If the geometry leaves no patch or nothing to weld.
    OutOfRange
        If a length is outside what a formula is valid for.
    """
    patches = pieces.patches(job)
    inputs = inputs_of.gather(job)
    tacks, welds = pieces.welds(job, patches, inputs)
    joint, fill, process = job.patch.joint, job.weld.fill, job.weld.process
    dots = sum(w.dots for w in welds)
    plugs = sum(w.kind == "plug" for w in welds)
    blank_area = sum(math.prod(patching.blank_size(patch.blank)) for patch in patches)
    seam = sum(patch.seam_length_mm for patch in patches)
    counts = {
        "seam_length_mm": seam,
        "welded_length_mm": sum(w.length for w in welds) if joint != "plug" else 0.0,
        "cut_length_mm": sum(patch.cut_line.length for patch in patches),
        "blank_mass_g": patching.mass(blank_area, job.sheet.thickness),
        "patch_count": len(patches),
        "weld_count": len(welds),
        "tack_count": len(tacks),
        "dot_count": dots,
        "plug_count": plugs,
        "starts": len(tacks) + (dots if fill == "dots" and joint != "plug" else len(welds)),
    }
    inputs |= {
        name: derived(name, value, figures.unit_of(name), GEOMETRY)
        for name, value in counts.items()
    }
    chain = inputs_of.formulas(
        joint, fill, process, "flow_l_min" in inputs, "pressure_bar" in inputs
    )
    values = figures.evaluate(chain, {name: row.value for name, row in inputs.items()})
    shade = tables.lens_shade(process, values["current_a"])
    return Estimate(job, patches, tacks, welds, inputs, values, int(shade.value), chain)


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
            return weld.dots * values["dot_time_s"]
        if weld.kind == "plug":
            return values["fill_time_s"] / values["plug_count"]
        return weld.length / values["travel_mm_min"] * 60

    def heated(welds: Sequence[Weld]) -> list[WeldRun]:
        return [
            WeldRun(path, power * seconds(weld), seconds(weld), weld.patch)
            for weld, path in zip(welds, stitching.paths(welds, result.runs), strict=True)
        ]

    protect = [
        Protected(
            item.name or f"protected place {number}",
            shapely.Point(item.at) if item.at else LineString(item.line),
            item.limit,
        )
        for number, item in enumerate(job.panel.protect, 1)
    ]
    return plan_sequence(
        heated(result.tacks),
        heated(result.welds),
        panel=job.panel_shape,
        seams=result.runs,
        thickness_mm=job.sheet.thickness,
        interpass_limit_c=job.weld.interpass_limit,
        protect=protect,
        progress=progress,
        stop=stop,
    )
