"""The rules a weld's start is held to: how warm, for how long, and how fast the arm gets there."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from ..base.errors import check
from ..base.tables import limit


@dataclass(frozen=True)
class Rules:
    """When a weld may start, and how long a move takes.

    A weld may start when the arm is there (settle_s + distance / move_mm_s) and
    the temperature along it, without its own heat, stays at or below limit_c
    from its start to look_ahead_s later.

    limit_c : deg C, the interpass limit; infinite: nothing waits
    look_ahead_s : s, 0 to 300
    settle_s : s to find the next place and lower the helmet, 0 to 600
    move_mm_s : mm/s from one weld's end to the next one's start, 1 to 10,000

    The defaults are those of the table "limits" (interpass_limit,
    wait_look_ahead, move_time, move_speed), with their sources and status.
    """

    limit_c: float = field(default_factory=lambda: limit("interpass_limit").value)
    look_ahead_s: float = field(default_factory=lambda: limit("wait_look_ahead").value)
    settle_s: float = field(default_factory=lambda: limit("move_time").value)
    move_mm_s: float = field(default_factory=lambda: 1000 * limit("move_speed").value)

    def __post_init__(self) -> None:
        check("limit_c", self.limit_c, -40, float("inf"), "degC")
        check("look_ahead_s", self.look_ahead_s, 0, 300, "s")
        check("settle_s", self.settle_s, 0, 600, "s")
        check("move_mm_s", self.move_mm_s, 1, 1e4, "mm/s")


class StartRules(NamedTuple):
    """`Rules` as the kernel takes them, with where an order begins and where it is given up."""

    limit_k: np.ndarray
    """Of each weld, above ambient."""
    look_ahead_s: float
    cutoff_s: float
    """An order that takes longer is left unfinished."""
    settle_s: float
    move_mm_s: float
    clock: float
    after: float
    """The weld the arm comes from; -1: it is in place."""
