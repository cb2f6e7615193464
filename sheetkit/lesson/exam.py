"""Five moments of a fill on a new shape: which stitch next, and why; marked by the computed heat.

The moments are chosen so that no habit gets far: not the next one along, not the one farthest
from the last, not the opposite side, not the widest gap.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import combinations
from random import Random

import numpy as np

from ..repair.estimate import Estimate, estimate
from ..sequence.plan import SequencePlan
from .board import quick_plan
from .next_place import Heat, Moment, Place, beside, middles_mm, moment_after
from .shapes import practice_job
from .tries import BESIDE, TOO_SOON

MOMENTS = 5
TRIED = 120
"""So many beginnings of a fill are looked at for them."""
CLEAR_K = 8.0
"""What is asked why of is at least so far from the limit: nobody is asked about a hair's breadth."""
PLACE_MARKS, COOL_MARKS, REASON_MARKS = 2, 1, 1
"""For the coolest place; for one that is only cool enough; for the reason."""
FULL = MOMENTS * (PLACE_MARKS + REASON_MARKS)
BY_CHANCE = 0.22
"""A place picked blindly gets at most this share of its marks, on the average."""

OF_EACH = 6
"""So many moments of each reason are chosen among."""
MOST_BY_HABIT = 4
"""Of the ten marks for places."""

SHRINKS = "shrinks"
REASONS = {
    Heat.HOT_NOW.name: "It is too hot there already.",
    Heat.ON_ITS_WAY.name: "It is cool there now, but heat is on its way: within 20 seconds it is too hot.",
    Heat.COOL.name: "It would do. It stays below the limit; the coolest place is only cooler.",
    SHRINKS: "The weld would shrink more there.",
}
"""The answers to why; the last is never right: every place shrinks alike."""


@dataclass(frozen=True)
class Asked:
    """A moment, and the place that is asked why of: why not there?"""

    moment: Moment
    decoy: int

    @property
    def reason(self) -> str:
        """The right answer, a key of `REASONS`."""
        return self.moment.heat(self.decoy).name


@dataclass(frozen=True)
class Marked:
    """An answer marked: place and reason, and the mistake in words ("" for none)."""

    place: int
    reason: int
    mistake: str

    @property
    def marks(self) -> int:
        """Both together."""
        return self.place + self.reason


@dataclass(frozen=True)
class Exam:
    """Five moments on a new shape."""

    seed: int
    result: Estimate
    plan: SequencePlan
    asked: tuple[Asked, ...]


def exam(seed: int) -> Exam:
    """Return the exam of a seed; another seed gives another shape."""
    result = estimate(practice_job(seed))
    made = quick_plan(result)
    draw = Random(f"moments {seed}")
    count = len(made.patch)
    found = []
    for _ in range(TRIED):
        order = draw.sample(range(count), count)
        moment = moment_after(made, order[: draw.randint(2, count - 4)])
        if worth_asking(moment):
            found += [Asked(moment, one) for one in decoys(moment)]
    return Exam(seed, result, made, tuple(_chosen(found)))


HABITS: dict[str, Callable[[Moment], int]] = {}
"""What people do who don't think of the heat; each gives a stitch of a moment."""


def _habit(rule: Callable[[Moment], int]) -> Callable[[Moment], int]:
    HABITS[rule.__name__.replace("_", " ")] = rule
    return rule


def _left(moment: Moment) -> list[int]:
    return sorted(place.stitch for place in moment.places)


@_habit
def the_next_one_along(moment: Moment) -> int:
    """Return the first stitch after the last one, round the seam."""
    count, last = len(moment.plan.patch), moment.done[-1]
    return min(_left(moment), key=lambda one: (one - last) % count)


@_habit
def the_farthest_from_the_last(moment: Moment) -> int:
    """Return the stitch farthest from the one just welded."""
    at, last = middles_mm(moment.plan), moment.done[-1]
    return max(_left(moment), key=lambda one: float(np.hypot(*(at[one] - at[last]))))


@_habit
def the_opposite_side(moment: Moment) -> int:
    """Return the stitch half the seam further."""
    count = len(moment.plan.patch)
    there = (moment.done[-1] + count // 2) % count
    return min(_left(moment), key=lambda one: min((one - there) % count, (there - one) % count))


@_habit
def the_widest_gap(moment: Moment) -> int:
    """Return the stitch farthest from all that are welded."""
    at = middles_mm(moment.plan)
    done = at[list(moment.done)]
    return max(_left(moment), key=lambda one: float(np.hypot(*(done - at[one]).T).min()))


def worth_asking(moment: Moment) -> bool:
    """Say whether a moment can only be answered by thinking: few places are cool."""
    full = PLACE_MARKS * len(moment.places)
    return sum(place_marks(moment, one.stitch) for one in moment.places) <= BY_CHANCE * full


def decoys(moment: Moment) -> list[int]:
    """Return places to ask why of, one for each reason: clearly what they are, tempting if any is."""
    tempting = [rule(moment) for rule in reversed(HABITS.values())]
    found: dict[str, int] = {}
    for one in (*tempting, *(place.stitch for place in moment.places)):
        if one not in moment.coolest and _clear(moment.place(one), moment):
            found.setdefault(moment.heat(one).name, one)
    return list(found.values())


def _clear(place: Place, moment: Moment) -> bool:
    limit_c = moment.plan.interpass_limit_c
    kind = place.heat(limit_c)
    if kind is Heat.HOT_NOW:
        return min(place.now_c, place.ahead_c) > limit_c + CLEAR_K
    if kind is Heat.ON_ITS_WAY:
        return place.now_c < limit_c - CLEAR_K and place.ahead_c > limit_c + CLEAR_K
    return max(place.now_c, place.ahead_c) < limit_c - CLEAR_K


def place_marks(moment: Moment, stitch: int) -> int:
    """Return the marks for going to a stitch."""
    if stitch in moment.coolest:
        return PLACE_MARKS
    return COOL_MARKS if moment.heat(stitch) is Heat.COOL else 0


def marked(asked: Asked, stitch: int, reason: str) -> Marked:
    """Mark an answer: the stitch that comes next, and why not the one asked of."""
    moment = asked.moment
    place = place_marks(moment, stitch)
    why = REASON_MARKS if reason == asked.reason else 0
    mistake = ""
    if place < PLACE_MARKS:
        mistake = place_mistake(moment, stitch)
    elif not why:
        mistake = (
            "takes what shrinks for a reason"
            if reason == SHRINKS
            else "sees the place, not the reason"
        )
    return Marked(place, why, mistake)


def place_mistake(moment: Moment, stitch: int) -> str:
    """Return what is wrong with going to a stitch, in words."""
    if moment.heat(stitch) is Heat.COOL:
        return "stops at a cool place, misses the coolest"
    if moment.done and beside(moment.plan, stitch, moment.done[-1]):
        return BESIDE
    if moment.heat(stitch) is Heat.ON_ITS_WAY:
        return "forgets the heat that is on its way"
    return TOO_SOON


def _chosen(found: Sequence[Asked]) -> list[Asked]:
    """Return moments in which every habit is right now and then, and none often.

    Nor does one reason stand for most of them.
    """
    rules = list(HABITS.values())
    by_reason: dict[str, list[Asked]] = {}
    for one in found:
        by_reason.setdefault(one.reason, []).append(one)
    pool = [one for part in by_reason.values() for one in part[:OF_EACH]]
    gains = [[place_marks(one.moment, rule(one.moment)) for rule in rules] for one in pool]

    def cost(group: Sequence[int]) -> tuple[int, int]:
        asked = [pool[n] for n in group]
        twice = len(asked) - len({one.moment.done for one in asked})
        same = Counter(one.reason for one in asked).most_common(1)[0][1]
        sums = [sum(gains[n][rule] for n in group) for rule in range(len(rules))]
        over = sum(max(gained - MOST_BY_HABIT, 0) for gained in sums)
        never = sum(gained == 0 for gained in sums[1:])  # the next one along may be wrong always
        return (10 * twice + 3 * over + 2 * max(same - 2, 0) + never, max(sums))

    groups = combinations(range(len(pool)), min(MOMENTS, len(pool)))
    return sorted((pool[n] for n in min(groups, key=cost)), key=lambda one: len(one.moment.done))
