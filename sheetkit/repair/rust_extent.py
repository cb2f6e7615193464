"""How far the rust really goes: the extent as a range, and totals over it.

The margin and the hidden extent move the cut line outward.  The geometry is
worked out at a few extents; between them lengths and counts are taken as
linear, so that ten thousand draws cost five drawings.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from math import pi

import numpy as np

from ..base import tables
from ..base.errors import unquoted
from ..base.showing import Shown
from ..base.tables import Row, renamed
from ..formulas import montecarlo
from ..formulas.chain import Chain, Formula, unit_of
from ..formulas.montecarlo import DRAWS, SEED, Driver, Spread
from .estimate import GEOMETRY, Estimate, estimate

NODES = 5
"""Extents the geometry is worked out at."""
WIDEST_MM = 200.0


def hidden_extent_mm(hidden_rust_share, seam_length_mm, patch_count):
    """How far hidden rust moves every cut line outward, mm: share x seam / (2 pi patches).

    A cut grown by e has a seam longer by 2 pi e, so this is the extent at which
    the seam is longer by the share of work one repair shop found hidden.
    """
    return hidden_rust_share * seam_length_mm / (2 * pi * patch_count)


def extent_rows(result: Estimate) -> dict[str, Row]:
    """Return the two inputs that move the cut: `margin_mm` and `hidden_extent_mm`."""
    job, patches = result.job, len(result.patches)
    seam = result.values["seam_length_mm"]
    margin = tables.row("limits", "margin", "value")
    if job.given("patch.margin"):
        rows = {"margin_mm": Row(
            "job", "margin_mm", "margin_mm", None, job.patch.margin, None, "mm", "the job",
            "given by the user", "",
        )}  # fmt: skip
    else:
        rows = {"margin_mm": renamed(margin, "margin_mm")}
    share = tables.row("limits", "hidden_rust_share", "value")
    grown = renamed(share, "hidden_extent_mm", hidden_extent_mm(1.0, seam, patches), unit="mm")
    return rows | {"hidden_extent_mm": grown}


def _along(name: str, nodes: np.ndarray, heights: np.ndarray) -> Formula:
    """Return the formula of a length or count that was drawn at some extents."""

    def along(margin_mm, hidden_extent_mm):
        return np.interp(margin_mm + hidden_extent_mm, nodes, heights)

    title = f"{name}, drawn at {len(nodes)} extents of the rust, linear between them."
    needs, drawn = ("margin_mm", "hidden_extent_mm"), "drawn(margin_mm + hidden_extent_mm)"
    return Formula(name, needs, unit_of(name), title, GEOMETRY, {}, along, drawn)


@dataclass(frozen=True, eq=False, repr=False)
class Extent(Shown):
    """An estimate with its rust's extent as a range.

    `low`, `likely` and `high` are estimates of their own, with their own cut
    lines: the least margin and nothing hidden; the likely hidden extent; the most.
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
        low, likely, high = (
            f"{one.values['seam_length_mm']:.0f}" for one in (self.low, self.likely, self.high)
        )
        return (
            f"<rust extent of {unquoted(self.drawn.job.title) or 'an untitled job'}: "
            f"seam {low} mm, likely {likely}, at most {high}; {self.draws} draws>"
        )

    @cached_property
    def simulated(self) -> dict[str, np.ndarray]:
        """The draws of every input and figure."""
        return montecarlo.simulate(self.chain, self.inputs, draws=self.draws, seed=self.seed)

    @cached_property
    def likely_values(self) -> dict[str, float]:
        """Every figure with each input at its likely value, hidden rust too."""
        values = {name: row.value for name, row in self.inputs.items()}
        return {k: float(v) for k, v in self.chain.evaluate(values).items()}

    def spread(self, name: str) -> Spread:
        """Return a figure's distribution and closed worst case; UnknownName gives the nearest."""
        self.drawn.range(name)
        return montecarlo.spread(self.chain, self.inputs, name, drawn=self.simulated)

    def drivers(self, name: str) -> list[Driver]:
        """Return what drives a figure's range, the strongest first; UnknownName gives the nearest."""
        self.drawn.range(name)
        return montecarlo.drivers(self.chain, self.inputs, name)


def with_extent(result: Estimate, *, draws: int = DRAWS, seed: int = SEED) -> Extent:
    """Return an estimate's ranges, with the rust's own extent among what is uncertain."""
    job = result.job
    rows = extent_rows(result)
    ends = {
        end: sum(
            row.value if getattr(row, end) is None else getattr(row, end) for row in rows.values()
        )
        for end in ("low", "value", "high")
    }
    at = {end: min(max(x, 0.0), WIDEST_MM) for end, x in ends.items()}
    nodes = np.unique([*np.linspace(at["low"], at["high"], NODES), at["value"]])

    def grown(margin: float) -> Estimate:
        return estimate(job.changed(patch__margin=f"{margin:.6f} mm"))

    found = {node: grown(node) for node in nodes.tolist()}
    counted = [name for name, row in result.inputs.items() if row.source == GEOMETRY]
    heights = {
        name: np.array([found[node].values[name] for node in nodes.tolist()]) for name in counted
    }
    drawn = [_along(name, nodes, heights[name]) for name in counted]
    inputs = {name: row for name, row in result.inputs.items() if name not in counted} | rows
    low, likely, high = (found[at[end]] for end in ("low", "value", "high"))
    chain = Chain([*drawn, *result.chain.values()], inputs)
    return Extent(result, low, likely, high, chain, inputs, draws, seed)
