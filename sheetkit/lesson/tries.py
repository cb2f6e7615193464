"""An order somebody tried: how long it takes, how hot it gets, and where it waits longest, and why."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from ..sequence.plan import SequencePlan, retimed
from .next_place import beside

BESIDE = "goes on beside the stitch just made"
TOO_SOON = "comes back too soon to a place that is still hot"
LAST_GAPS = "fills the last gaps between stitches that are still warm"
"""Mistakes, as the teacher reads them."""
RECENT_TURNS = 4
"""Heat of a stitch so many turns ago counts as fresh."""
SHORT_S = 5.0
"""A wait shorter than this is none."""


@dataclass(frozen=True)
class LongestWait:
    """Where an order waits longest.

    turn : from 0; wait_s : s; near : the turn, from 0, of the freshest stitch beside it, or None;
    ago_s : how long before the wait that one ended, s
    """

    turn: int
    wait_s: float
    near: int | None
    ago_s: float

    @property
    def mistake(self) -> str:
        """What causes it, in words; "" where nothing waits."""
        if self.wait_s < SHORT_S:
            return ""
        if self.near is None:
            return LAST_GAPS
        if self.near == self.turn - 1:
            return BESIDE
        return TOO_SOON


@dataclass(frozen=True)
class Judged:
    """An order's figures: time and waits under the limit, and the heat when nobody waits.

    never_wait_c : the highest temperature along a stitch from its start to 20 s
        later, without its own heat, when each follows the other at once
    """

    name: str
    plan: SequencePlan
    never_wait_c: float

    @property
    def waiting_s(self) -> float:
        """Waits of the fill together, s."""
        return float(sum(self.plan.wait_s))

    @property
    def longest(self) -> LongestWait:
        """Where it waits longest."""
        plan = self.plan
        turn = int(np.argmax(plan.wait_s))
        begin = plan.start_s[turn] - plan.wait_s[turn]
        fresh = range(max(turn - RECENT_TURNS, 0), turn)
        near = [n for n in fresh if beside(plan, plan.order[turn], plan.order[n])]
        if not near:
            return LongestWait(turn, plan.wait_s[turn], None, math.nan)
        last = near[-1]
        ended = plan.start_s[last] + plan.model.stitches[plan.order[last]].duration_s
        return LongestWait(turn, plan.wait_s[turn], last, begin - ended)


def judged(plan: SequencePlan, order: Sequence[int], name: str) -> Judged:
    """Return the figures of an order of the fill, timed by the plan's own rules."""
    timed = retimed(plan, order)
    at_once = plan.timed(timed.order, replace(plan.rules, limit_c=math.inf))
    hot = at_once.peak_before_start_c[1:].max(initial=plan.model.ambient_c)
    return Judged(name, timed, float(hot))
