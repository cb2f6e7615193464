"""Simulated pupils of the test: habits, chance, and one who thinks of the heat by a reckoning of their own."""

from __future__ import annotations

from random import Random

import numpy as np

from sheetkit.heat.record import simulate
from sheetkit.lesson.exam import HABITS, REASONS, SHRINKS, Exam, marked
from sheetkit.lesson.next_place import Moment


def hottest_c(moment: Moment, stitch: int) -> tuple[float, float]:
    """Return how hot a place is now, and at most from when the arm can be there to 20 s later.

    The whole schedule is played through and read every half second.
    """
    plan = moment.plan
    tacks = len(plan.tack_order)
    starts = plan.timed(list(moment.done), plan.rules, held=plan.held).start_s
    order = [*plan.tack_order, *(tacks + one for one in moment.done)]
    begins = [*plan.tack_start_s, *starts]
    now = begins[-1] + plan.model.welds[order[-1]].duration_s
    left, there = plan.model.welds[order[-1]].path[-1], plan.model.stitches[stitch].path[0]
    arrives = now + plan.rules.settle_s + np.hypot(*(there - left)) / plan.rules.move_mm_s
    run = simulate(plan.model, order, begins, until_s=arrives + 20, every_s=0.5, frames=False)
    seen = run.welds_c[:, tacks + stitch]
    after = run.time_s >= arrives - 0.5
    return float(seen[run.time_s >= now - 1e-6][0]), float(seen[after].max())


def thinker(exam: Exam) -> int:
    """Return the marks of one who goes to the place that stays coolest, and knows why."""
    total = 0
    for asked in exam.asked:
        limit_c = asked.moment.plan.interpass_limit_c
        heat = {
            place.stitch: hottest_c(asked.moment, place.stitch) for place in asked.moment.places
        }
        chosen = min(heat, key=lambda one: heat[one][1])
        now_c, ahead_c = heat[asked.decoy]
        why = "COOL" if ahead_c <= limit_c else "HOT_NOW" if now_c > limit_c else "ON_ITS_WAY"
        total += marked(asked, chosen, why).marks
    return total


def by_chance(exam: Exam, draw: Random) -> int:
    """Return the marks of one who picks places and reasons blindly."""
    return sum(
        marked(asked, draw.choice(asked.moment.places).stitch, draw.choice(list(REASONS))).marks
        for asked in exam.asked
    )


def by_habit(exam: Exam, habit: str, draw: Random) -> int:
    """Return the marks of one with a habit, who guesses the reasons, though never shrinkage."""
    reasons = [one for one in REASONS if one != SHRINKS]
    return sum(
        marked(asked, HABITS[habit](asked.moment), draw.choice(reasons)).marks
        for asked in exam.asked
    )
