"""Job -> Estimate: the one place where geometry, welding, time and money are put together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import shapely
from shapely import LineString

from ..base.errors import unknown, unquoted
from ..base.showing import Range, Shown, counted
from ..base.tables import Row
from ..formulas import explain
from ..formulas.chain import MONEY, Chain
from ..formulas.explain import Explanation
from ..formulas.gas import MOST_BAR, usable_l
from ..formulas.lens_shade import lens_shade
from ..formulas.montecarlo import draw
from ..formulas.ranges import Ranges, share_over, typical, worst_case
from ..formulas.settings import ends, gas_group
from ..geometry import welds
from ..geometry.welds import Weld
from ..job.job import Job
from . import inputs as inputs_of
from . import patches as cut_patches
from .caution import Caution
from .cautions import cautions
from .chain import formulas
from .patches import PatchResult

PLAN = "plan"
"""What stands for a table's name in the rows of moves and waits that a sequence plan gave."""


@dataclass(frozen=True, eq=False)
class Estimate(Shown):
    """Everything worked out from one job; frozen.

    `values` holds every input and figure by name (the name ends in its unit), as
    if every step went as usual: each input at its own value.  `range(name)` gives
    what is likely, the middle of the draws, with the one-in-ten ends;
    `explain(name)` says how a figure came about.
    """

    job: Job
    patches: tuple[PatchResult, ...]
    tacks: tuple[Weld, ...]
    welds: tuple[Weld, ...]
    inputs: Mapping[str, Row]
    values: Mapping[str, float]
    lens_shade_min: int
    chain: Chain
    """The formulas, in the order they are computed."""

    def __repr__(self) -> str:
        values = self.values
        return (
            f"<estimate of {unquoted(self.job.title) or 'an untitled job'}: "
            f"{counted(len(self.patches), 'patch', 'patches')}, "
            f"seam {values['seam_length_mm']:.0f} mm, {counted(len(self.tacks), 'tack')}, "
            f"{counted(len(self.welds), 'weld')}, {self.hours:.1f}, {self.cost:.0f}>"
        )

    @cached_property
    def runs(self) -> tuple[LineString, ...]:
        """All seam runs, in the order the welds' `run` counts them."""
        return tuple(run for patch in self.patches for run in patch.seam)

    @cached_property
    def is_continuous(self) -> bool:
        """Whether the fill closes the whole seam."""
        return welds.is_continuous(self.welds, self.runs)

    @cached_property
    def drawn(self) -> dict[str, float | np.ndarray]:
        """Every input and figure in each of the draws; one number where nothing is uncertain."""
        return self.chain.evaluate(draw(self.inputs))

    @cached_property
    def spans(self) -> Ranges:
        """(low, likely, high) of every figure, from the draws."""
        return Ranges(self.drawn, self.inputs, self.values)

    @cached_property
    def _parts(self) -> dict[str, dict[str, float]]:
        return {}

    def parts(self, total: str) -> dict[str, float]:
        """Return every figure as it is in the repairs whose `total` is at its middle.

        What `total` is the sum of adds up here to its likely value.
        """
        if total not in self._parts:
            self._parts[total] = typical(self.drawn, total)
        return self._parts[total]

    def share_over(self, name: str, limit: float) -> float:
        """Return the share of the draws in which a figure is over a limit, 0 to 1."""
        return share_over(self.drawn[name], limit)

    def range(self, name: str) -> Range:
        """Return a figure's range; UnknownName gives the nearest if there is no such figure."""
        if name not in self.values:
            unknown("range", name, "must be a figure of this estimate", self.values)
        return Range(*self.spans[name], self.unit_of(name))

    def unit_of(self, name: str) -> str:
        """Return the unit of an input or figure, money's the job's currency; "" for a plain number."""
        unit = self.inputs[name].unit if name in self.inputs else self.chain[name].unit
        return {"1": "", MONEY: self.job.shop.currency}.get(unit, unit)

    def worst(self, name: str) -> tuple[float, float]:
        """Return the least and the most a figure can be, every input at its unkind end at once."""
        return worst_case(self.chain, self.inputs, name)

    @property
    def hours(self) -> Range:
        """Working hours, h."""
        return self.range("hours_h")

    @property
    def cost(self) -> Range:
        """Money, in the job's currency."""
        return self.range("cost")

    def with_inputs(self, changed: Mapping[str, float]) -> dict[str, float]:
        """Return every figure when some inputs, by name, have other values.

        Raises
        ------
        UnknownName
            There is no such input; the nearest names are given.
        OutOfRange
            A value is outside what the formulas hold for.
        """
        for name in changed:
            if name not in self.inputs:
                unknown("with_inputs", name, "must be an input of this estimate", self.inputs)
        known = {name: row.value for name, row in self.inputs.items()}
        return self.chain.evaluate(known | dict(changed))

    def explain(self, name: str) -> Explanation:
        """Return how a figure came about: formula, numbers, inputs, origins, source, range."""
        found = explain.explain(name, self.chain, self.inputs, self.values, self.spans)
        rows = (replace(row, unit=self.unit_of(row.quantity) or "1") for row in found.inputs)
        return replace(found, unit=self.unit_of(name) or "1", inputs=tuple(rows))

    @property
    def by_plan(self) -> bool:
        """Whether the hours hold the moves and waits of this job's own plan, not the usual ones."""
        return self.inputs["cooling_wait_s"].table == PLAN

    def rests_on(self, name: str) -> str:
        """Return the statuses of the inputs a figure rests on, such as "derived, guess"."""
        return self.chain.rests_on(name, self.inputs)

    @property
    def lens_current_a(self) -> float:
        """The current the lens shade goes by, A: the high end of its range."""
        return ends(self.inputs["current_a"])[1]

    @property
    def usable_left_l(self) -> float | None:
        """Gas left above the residual pressure after the job, l; None without a gauge that tells."""
        if "cylinder_content_l" not in self.values:
            return None
        cylinder, gas = self.job.shop.cylinder, self.job.weld.gas
        usable = usable_l(
            cylinder.water_volume,
            min(cylinder.pressure, MOST_BAR),
            gas=gas or gas_group(self.job.weld.process, None),
        )
        return usable - self.spans["gas_real_l"].likely

    def cautions(self, display: str = "mm") -> list[Caution]:
        """Return what to heed before the first cut, the gravest first; lengths in mm or in."""
        return cautions(
            self.job,
            self.patches,
            self.values,
            continuous=self.is_continuous,
            lens_shade=self.lens_shade_min,
            gas_left_l=self.usable_left_l,
            display=display,
        )


def estimate(job: Job) -> Estimate:
    """Work out everything for a job.

    Raises
    ------
    JobRefused
        If the geometry leaves no patch or nothing to weld.
    OutOfRange
        If a length is outside what a formula is valid for.
    """
    patches = cut_patches.patches(job)
    runs = shapely.MultiLineString([run for patch in patches for run in patch.seam])
    inputs = inputs_of.gather(job, job.faces(runs))
    tacks, welds = cut_patches.welds(job, patches, inputs)
    inputs |= cut_patches.counts(job, patches, tacks, welds)
    process = job.weld.process
    chain = formulas(job.patch.joint, job.weld.fill, process, tuple(inputs))
    values = chain.evaluate({name: row.value for name, row in inputs.items()})
    shade = lens_shade(process, ends(inputs["current_a"])[1])
    return Estimate(job, patches, tacks, welds, inputs, values, int(shade.value), chain)
