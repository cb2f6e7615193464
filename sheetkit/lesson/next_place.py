"""Which stitch next: the computed heat of every place that is left, at one moment of a fill."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from enum import Enum

import numpy as np
import shapely

from ..base.errors import refuse
from ..heat.state import State
from ..sequence.plan import SequencePlan

AS_COOL_K = 3.0
"""Places that differ by no more than this are equally cool: no thermometer tells them apart."""


class Heat(Enum):
    """What keeps a stitch from a place, or doesn't."""

    HOT_NOW = "over the limit, now and when the arm is there"
    ON_ITS_WAY = "below the limit now, over it within the look-ahead: heat is on its way"
    COOL = "below the limit when the arm is there, and stays so"


@dataclass(frozen=True)
class Place:
    """A stitch that could be the next one.

    now_c : the highest temperature along it at this moment, deg C
    ahead_c : the highest from when the arm can be there to the look-ahead later, without
        its own heat, deg C
    ready_s : how long until it may start: move and wait, s
    """

    stitch: int
    now_c: float
    ahead_c: float
    ready_s: float

    def heat(self, limit_c: float) -> Heat:
        """Return what the limit says of it."""
        if self.ahead_c <= limit_c:
            return Heat.COOL
        return Heat.HOT_NOW if self.now_c > limit_c else Heat.ON_ITS_WAY


@dataclass(frozen=True)
class Moment:
    """A fill under way, at the end of the last stitch done.

    done : the stitches done, in order; ago_s : how long ago each ended, s
    places : what is left, coolest first
    """

    plan: SequencePlan
    done: tuple[int, ...]
    ago_s: tuple[float, ...]
    places: tuple[Place, ...]
    state: State = field(repr=False, compare=False)

    @property
    def coolest(self) -> tuple[int, ...]:
        """The stitches that are as cool as the coolest."""
        least = self.places[0].ahead_c + AS_COOL_K
        return tuple(place.stitch for place in self.places if place.ahead_c <= least)

    def place(self, stitch: int) -> Place:
        """Return a place by its stitch."""
        return next(place for place in self.places if place.stitch == stitch)

    def heat(self, stitch: int) -> Heat:
        """Return what keeps a stitch from a place, or that nothing does."""
        return self.place(stitch).heat(self.plan.interpass_limit_c)

    def peak_field_k(self) -> np.ndarray:
        """Return the highest rise of every cell, K, as the grid lies: from now until the look-ahead
        after the arm could be at the farthest place."""
        later, rules = self.state.copy(), self.plan.rules
        peak = later.field.copy()
        at = middles_mm(self.plan)
        move_s = rules.settle_s + float(np.hypot(*np.ptp(at, axis=0))) / rules.move_mm_s
        self.plan.model.cool(later, move_s + rules.look_ahead_s, peak=peak)
        return peak


def moment_after(plan: SequencePlan, done: Sequence[int]) -> Moment:
    """Return the moment after the tacks and some stitches, each as early as the plan's rules allow.

    Parameters
    ----------
    plan : SequencePlan; its rules and sheet count, not its order
    done : stitches in the order they were welded, at least one left

    Raises
    ------
    OutOfRange : a stitch twice, or none of the plan, or none left
    """
    done, count = tuple(int(n) for n in done), len(plan.patch)
    if len(set(done)) != len(done) or not set(done) < set(range(count)):
        refuse("done", f"{len(done)} stitches", f"must be different ones of 0 to {count - 1}, not all",
               "leave at least one to choose")  # fmt: skip
    tacks, model = len(plan.tack_order), plan.model
    timing = plan.timed(done, plan.rules, held=plan.held)
    state, last = timing.state, done[-1] + tacks if done else plan.last_tack
    ends = [
        start + model.stitches[n].duration_s for n, start in zip(done, timing.start_s, strict=True)
    ]
    now = model.read(state)
    free = replace(plan.rules, limit_c=math.inf)
    places = []
    for stitch in sorted(set(range(count)) - set(done)):
        ahead = plan.timed([stitch], free, state=state, after=last)
        allowed = plan.timed([stitch], plan.rules, state=state, after=last, held=plan.held)
        places.append(
            Place(
                stitch, float(now[tacks + stitch]), float(ahead.peak_before_start_c[0]),
                float(allowed.start_s[0]) - state.clock,
            )
        )  # fmt: skip
    places.sort(key=lambda place: place.ahead_c)
    ago = tuple(state.clock - end for end in ends)
    return Moment(plan, done, ago, tuple(places), state)


def middles_mm(plan: SequencePlan) -> np.ndarray:
    """Return the middle of each stitch, (stitches, 2) mm."""
    return np.array([run.path.mean(axis=0) for run in plan.model.stitches])


def beside(plan: SequencePlan, stitch: int, other: int) -> bool:
    """Say whether two stitches lie beside each other: no other is much nearer."""
    lines = [shapely.LineString(run.path) for run in plan.model.stitches]
    away = np.array([lines[stitch].distance(line) for line in lines])
    nearest = np.delete(away, stitch).min(initial=np.inf)
    return stitch != other and bool(away[other] <= 1.3 * nearest + 2.0)
