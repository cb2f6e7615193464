"""Where a run of the heat solver stands, what it timed, and how much sheet it needs."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

LOSS_LENGTHS = 6.0
"""Margin of a panel that isn't given: this many times sqrt(k t / h), where e^-6 is left."""
MARGIN_MM = (120.0, 400.0)


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
        parts = (self.field, self.east, self.north, self.closed)
        return State(*(part.copy() for part in parts), self.clock)


@dataclass(frozen=True)
class Timing:
    """Starts, waits before them and the highest temperature before each, in the order given."""

    start_s: np.ndarray
    wait_s: np.ndarray
    peak_before_start_c: np.ndarray
    end_s: float
    points_peak_c: np.ndarray
    state: State = field(repr=False)


def default_margin_mm(thickness_mm, conductivity_w_mk, h_top, h_bottom) -> float:
    """Return how much sheet to take around the seams when no panel is given, mm.

    Six decay lengths sqrt(k t / (h_top + h_bottom)) of a sheet that loses heat
    from both faces: beyond them a steady temperature rise is down to e^-6,
    0.25 %.  Kept between 120 and 400 mm.
    """
    loss = max(h_top + h_bottom, 1e-9)
    length = 1000 * math.sqrt(conductivity_w_mk * thickness_mm / 1000 / loss)
    return min(max(LOSS_LENGTHS * length, MARGIN_MM[0]), MARGIN_MM[1])
