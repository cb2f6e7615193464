"""How far the rust really goes: hidden rust as a share of work, and totals over it.

Hidden rust moves the cut line outward until the seam is longer by its share.
Where it can't grow so long, since cuts meet or run out at the panel's edge, what
is missing is reckoned as so much more of the same seam: the rust goes on in metal
that is not drawn.  The geometry is worked out at a few shares; between them
lengths and counts are taken as linear, so that all draws cost a few drawings.
The margin is a choice: the cut is drawn by it, and it is no uncertainty.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from ..base.errors import SheetkitError, unquoted
from ..base.showing import Shown
from ..base.tables import Row, limit, renamed
from ..formulas.chain import Chain, Formula, unit_of
from ..formulas.montecarlo import DRAWS, SEED, simulate
from ..formulas.ranges import Driver, Span, Spread, drivers, quantiles, spread, worst_case
from ..job.job import Job
from . import patches as cut_patches
from .estimate import Estimate, estimate
from .patches import BY_SHAPELY, DRAWING

NODES = 5
"""Shares of hidden rust the geometry is worked out at."""
WIDEST_MM = 200.0
"""No cut is moved further outward than this."""
TRIED = 9
"""Extents looked at first, each half as wide again as the one before, to find where a seam grows."""
HALVINGS = 8
"""Then the extent is found to a two-hundredth of the step between two of them."""


def _seam_mm(result: Estimate, extent_mm: float) -> float:
    """Return the seam when every cut is moved outward, mm; 0 where no patch can be cut."""
    try:
        return sum(one.seam_length_mm for one in cut_patches.patches(_grown(result, extent_mm)))
    except SheetkitError:
        return 0.0


def _grown(result: Estimate, extent_mm: float) -> Job:
    job = result.job
    return job.changed(patch__margin=f"{job.patch.margin + extent_mm:.6f} mm")


def extents_mm(result: Estimate, shares: np.ndarray) -> list[float]:
    """Return how far the cuts move outward for seams longer by each share, mm, by bisection.

    A seam that meets the panel's edge, or other cuts, may never grow so long:
    its cuts then move to where it is longest.

    Parameters
    ----------
    shares : rising, from 0
    """
    drawn = result.values["seam_length_mm"]
    # a free cut moved outward by e has a seam longer by 2 pi e
    free = shares[-1] * drawn / (2 * np.pi * len(result.patches))
    tried = [0.0, *(e for e in free * 1.5 ** np.arange(4 - TRIED, 4.0) if e < WIDEST_MM)]
    seams = [_seam_mm(result, extent) for extent in tried]
    found = []
    for share in shares.tolist():
        wanted = (1 + share) * drawn
        over = next((k for k, seam in enumerate(seams) if seam >= wanted - 1e-6), None)
        if over is None:
            found.append(tried[int(np.argmax(seams))])
            continue
        high = tried[over]
        low = tried[max(over - 1, 0)]
        for _ in range(HALVINGS if over else 0):
            middle = (low + high) / 2
            low, high = (low, middle) if _seam_mm(result, middle) >= wanted else (middle, high)
        found.append(high)
    return np.maximum.accumulate(found).tolist()


def _along(name: str, nodes: np.ndarray, heights: np.ndarray) -> Formula:
    """Return the formula of a length or count that was drawn at some shares of hidden rust."""

    def along(hidden_rust_share):
        return np.interp(hidden_rust_share, nodes, heights)

    title = f"{name}, drawn at {len(nodes)} shares of hidden rust, linear between them."
    return Formula(
        name, ("hidden_rust_share",), unit_of(name), title, BY_SHAPELY, {}, along,
        "drawn(hidden_rust_share)",
    )  # fmt: skip


@dataclass(frozen=True, eq=False, repr=False)
class Extent(Shown):
    """An estimate with hidden rust among what is uncertain.

    `low`, `likely` and `high` are estimates of their own, with their own cut
    lines: nothing hidden, the likely share, the most, each as far as it can be
    drawn.  `seams_mm` are the seams reckoned with.  Hidden rust never makes a
    repair cheaper than the rust as drawn.
    """

    drawn: Estimate
    low: Estimate
    likely: Estimate
    high: Estimate
    chain: Chain
    inputs: Mapping[str, Row]
    draws: int
    seed: int

    def __repr__(self) -> str:
        low, likely, high = (f"{seam:.0f}" for seam in self.seams_mm)
        undrawn = ", partly beyond what is drawn" if self.beyond_drawing else ""
        return (
            f"<rust extent of {unquoted(self.drawn.job.title) or 'an untitled job'}: "
            f"seam {low} mm, likely {likely}, at most {high}{undrawn}; {self.draws} draws>"
        )

    @property
    def seams_mm(self) -> tuple[float, float, float]:
        """The seam reckoned with when nothing is hidden, at the likely share, and at the most, mm."""
        row, seam = self.inputs["hidden_rust_share"], self.chain["seam_length_mm"]
        shares = (row.low or 0.0, row.value, row.high or row.value)
        low, likely, high = (float(seam.function(share)) for share in shares)
        return low, likely, high

    @property
    def beyond_drawing(self) -> bool:
        """Whether the largest cut as drawn has less seam than is reckoned with."""
        return self.high.values["seam_length_mm"] < 0.99 * self.seams_mm[-1]

    @cached_property
    def simulated(self) -> dict[str, np.ndarray]:
        """The draws of every input and figure; the same draws as the estimate's own."""
        return simulate(self.chain, self.inputs, draws=self.draws, seed=self.seed)

    @cached_property
    def usual_values(self) -> dict[str, float]:
        """Every figure as if every step went as usual: each input at its own value, hidden rust too."""
        values = {name: row.value for name, row in self.inputs.items()}
        return {k: float(v) for k, v in self.chain.evaluate(values).items()}

    def added(self, name: str) -> Span:
        """Return what hidden rust alone adds to a figure: the same draws with and without it."""
        without = simulate(
            self.drawn.chain, self.drawn.inputs, draws=self.draws, seed=self.seed
        )[name]  # fmt: skip
        return Span(*quantiles(np.maximum(self.simulated[name] - without, 0.0)).tolist())

    def spread(self, name: str) -> Spread:
        """Return a figure's distribution and its worst case over the shares that were drawn.

        UnknownName gives the nearest if there is no such figure.
        """
        self.drawn.range(name)
        row, ends = self.inputs["hidden_rust_share"], []
        for share in np.linspace(row.low or 0.0, row.high or row.value, NODES):
            still = replace(row, low=None, value=float(share), high=None)
            ends.append(worst_case(self.chain, {**self.inputs, row.quantity: still}, name))
        worst = min(low for low, _ in ends), max(high for _, high in ends)
        return spread(self.simulated[name], worst)

    def drivers(self, name: str) -> list[Driver]:
        """Return what drives a figure's range, the strongest first; UnknownName gives the nearest."""
        self.drawn.range(name)
        return drivers(self.chain, self.inputs, name)


def with_extent(result: Estimate, *, draws: int = DRAWS, seed: int = SEED) -> Extent:
    """Return an estimate's ranges, with hidden rust among what is uncertain.

    Raises
    ------
    SheetkitError
        The cuts as drawn can't be moved outward at all.
    """
    row = renamed(limit("hidden_rust_share"), "hidden_rust_share")
    ends = row.low or 0.0, row.value, row.high or row.value
    nodes = np.unique([*np.linspace(ends[0], ends[-1], NODES), *ends])
    extents = extents_mm(result, np.unique([0.0, *nodes]))[-len(nodes) :]
    found = [estimate(_grown(result, extent)) for extent in extents]
    counted = [name for name, given in result.inputs.items() if given.table == DRAWING]
    seams = np.array([one.values["seam_length_mm"] for one in found])
    undrawn = np.maximum((1 + nodes) * result.values["seam_length_mm"] / seams, 1.0)

    def heights(name: str) -> np.ndarray:
        grown = np.array([one.values[name] for one in found])
        if name != "patch_count":
            grown = grown * undrawn
        return np.maximum(grown, result.values[name])

    drawn = [_along(name, nodes, heights(name)) for name in counted]
    inputs = {name: given for name, given in result.inputs.items() if name not in counted}
    inputs["hidden_rust_share"] = row
    low, likely, high = (found[int(np.searchsorted(nodes, end))] for end in ends)
    chain = Chain([*drawn, *result.chain.values()], inputs)
    return Extent(result, low, likely, high, chain, inputs, draws, seed)
