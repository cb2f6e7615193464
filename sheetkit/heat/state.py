"""Where a run of the heat solver stands, what it timed, and what holds it back."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import NamedTuple

import numpy as np

from .conduction import Links


@dataclass
class State:
    """Where a run stands: rise above ambient, open and closed kerf, clock."""

    field: np.ndarray
    east: np.ndarray
    north: np.ndarray
    closed: np.ndarray
    clock: float = 0.0

    def copy(self) -> State:
        """Return a state of its own, sharing no array."""
        return State(
            self.field.copy(), self.east.copy(), self.north.copy(), self.closed.copy(), self.clock
        )


@dataclass(frozen=True)
class Timing:
    """Starts, waits before them and the highest temperature before each, in the order given.

    begin_s, end_s : when the arm set out for the first, and the end of the last
    """

    start_s: np.ndarray
    wait_s: np.ndarray
    peak_before_start_c: np.ndarray
    begin_s: float
    end_s: float
    points_peak_c: np.ndarray
    state: State = field(repr=False)

    @property
    def total_s(self) -> float:
        """From the moment one could set out for the first weld: no wait is left out."""
        return float(self.end_s - self.begin_s)


@dataclass(frozen=True)
class Held:
    """What starts are held to besides the interpass limit.

    limit_c : of the first protected lines, deg C; own_peak : (welds, lines) what each weld adds there, K
    less_k : by how much less than the limit each weld may find
    """

    limit_c: np.ndarray
    own_peak: np.ndarray
    less_k: np.ndarray

    def without_lines(self) -> Held:
        """Return the same for a sheet on which no line is protected."""
        return replace(self, limit_c=np.zeros(0))


class SheetArrays(NamedTuple):
    """A sheet as the kernel takes it: what conducts, what is lost, and how it is stepped."""

    east: np.ndarray
    north: np.ndarray
    """Conductance of each cell's east and north face, W/K."""
    links: Links
    per_capacity: np.ndarray
    """K/J."""
    loss_per_s: np.ndarray
    """A row for each row of cells, or one row that holds for all."""
    explicit_s: float
    """The longest stable step of forward Euler."""
    first_step_s: float
    growth: float
    longest_step_s: float
