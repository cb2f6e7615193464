"""Where a run of the heat solver stands, and what it timed."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np


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
    """Starts, waits before them and the highest temperature before each, in the order given."""

    start_s: np.ndarray
    wait_s: np.ndarray
    peak_before_start_c: np.ndarray
    end_s: float
    points_peak_c: np.ndarray
    state: State = field(repr=False)
