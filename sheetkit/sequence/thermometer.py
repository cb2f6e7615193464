"""Waits that follow the work: actual starts and a thermometer reading move the starts to come.

The heat-flow model is linear: every temperature rise is in proportion to the
heat put in.  A reading therefore says by how much all rises differ from what
the model expects, and the starts still to come are timed again by the same
model with the limit's rise divided by that ratio.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import Enum

import numpy as np

from ..base.errors import check, refuse
from ..heat.state import State
from .plan import SequencePlan

LEAST_RISE_K = 5.0
"""Where the model expects less rise than this, a reading can't tell the heat input.  GUESS."""
RATIOS = (0.4, 2.5)
"""A reading further off than this is taken for a slip and not used.  GUESS."""
ALONE = 0.8
"""One reading alone brings the ratio no lower than this; two that agree may.  GUESS."""
AGREE = 0.15
"""Two readings agree when their ratios differ by no more than this share.  GUESS."""
BELOW_AIR_K = 2.0
"""A reading further below the air's temperature than this is a slip.  GUESS."""
LEAST_READING_C, MOST_READING_C = -60.0, 1600.0
"""What a thermometer on a sheet can read at all."""
TOUCH_AGAIN_S = 15.0
"""Least wait after a reading over the limit.  GUESS."""
LATEST_S = 24 * 3600.0
"""The present may lie so far behind the end of the plan."""


class Reading(Enum):
    """What became of a thermometer reading."""

    NONE = "there was none"
    USED = "the ratio follows it"
    HALF_USED = "the ratio follows it as far as one reading alone may shorten waits"
    TOO_COOL = "the sheet is too cool there to tell the heat input"
    SLIP = "too far off to be believed: the ratio stays"
    BELOW_AIR = "below the air's temperature: the ratio stays"


@dataclass(frozen=True)
class Pace:
    """The starts to come, s after the end of tacking, in welding order.

    expected_c : what the model expected at the next stitch for the ratio in use before
    ratio : measured rise over expected rise, as used from now on
    reading : what became of the reading
    found : the ratio the reading gave, whether used or not; None where it couldn't tell
    """

    due_s: tuple[float, ...]
    ratio: float
    expected_c: float
    reading: Reading = Reading.NONE
    found: float | None = None


def heat_ratio(measured_c: float, expected_c: float, ambient_c: float) -> float | None:
    """Return measured rise over expected rise above ambient, 1.

    (T_measured - T_ambient) / (T_expected - T_ambient)

    Parameters
    ----------
    measured_c : deg C, the highest along the next stitch
    expected_c : deg C, the model's highest there at the same time, at ratio 1
    ambient_c : deg C

    Returns
    -------
    float, inside RATIOS or not, or None where the expected rise is below LEAST_RISE_K.

    Source
    ------
    The heat equation is linear in its source.  Our own use of it: no source.
    """
    if expected_c - ambient_c < LEAST_RISE_K:
        return None
    return (measured_c - ambient_c) / (expected_c - ambient_c)


def state_at(plan: SequencePlan, starts_s: Sequence[float], now_s: float) -> State:
    """Return the sheet after the tacks and the first stitches of the plan, as they were started.

    Parameters
    ----------
    starts_s : s after the end of tacking; a start before the end of the weld before moves to it
    now_s : the same clock; not before the last arc's end
    """
    model, tacks, state = plan.model, len(plan.tack_order), plan.tacked()
    free = state.clock
    fixed: list[float] = []
    for stitch, start in zip(plan.order, starts_s, strict=False):
        fixed.append(max(float(start) + plan.tack_s, free))
        free = fixed[-1] + model.stitches[stitch].duration_s
    if fixed:
        done = [tacks + stitch for stitch in plan.order[: len(fixed)]]
        state = model.play(done, fixed, state=state).state
    left = now_s + plan.tack_s - state.clock
    if left > 0:
        model.cool(state, left)
    return state


def paced(
    plan: SequencePlan,
    starts_s: Sequence[float],
    now_s: float,
    *,
    ratio: float = 1.0,
    measured_c: float | None = None,
    before: float | None = None,
) -> Pace:
    """Time the rest of a plan again, from what was done and what the thermometer reads.

    Parameters
    ----------
    plan : SequencePlan
    starts_s : actual starts of the stitches done, s after the end of tacking
    now_s : the present, same clock; at most a day after the plan's end
    ratio : of earlier readings, within RATIOS
    measured_c : reading at the next stitch, deg C
    before : what the reading before this one gave (`Pace.found`)

    Returns
    -------
    Pace.  `due_s` holds the actual starts, then the new ones.  A reading may
    lengthen the waits at once; it shortens them only down to a ratio of ALONE,
    further only if the reading before agrees.  After a reading over the limit
    the next start is at least TOUCH_AGAIN_S away.  With protected places the
    waits only grow: the plan has waited for these places, and the thermometer
    didn't touch them.

    Raises
    ------
    OutOfRange : a number isn't one, or outside its range; more starts than stitches
    """
    model, done = plan.model, len(starts_s)
    if done > len(plan.order):
        refuse("starts_s", f"{done} starts", f"must be at most {len(plan.order)}", "leave some out")
    latest_s = plan.total_s + LATEST_S
    check("now_s", now_s, 0, latest_s, "s")
    check("starts_s", np.asarray(starts_s, float), 0, latest_s, "s")
    check("ratio", ratio, *RATIOS)
    if measured_c is not None:
        check("measured_c", measured_c, LEAST_READING_C, MOST_READING_C, "degC")
    if done == len(plan.order):
        return Pace(tuple(starts_s), ratio, model.ambient_c)
    state = state_at(plan, starts_s, now_s)
    now_s = max(now_s, state.clock - plan.tack_s)
    next_weld = len(plan.tack_order) + plan.order[done]
    plain_c = float(model.read(state)[next_weld])
    expected_c = model.ambient_c + ratio * (plain_c - model.ambient_c)
    reading, found = Reading.NONE, None
    if measured_c is not None:
        found = heat_ratio(measured_c, plain_c, model.ambient_c)
        ratio, reading = _believed(found, before, ratio)
        if measured_c < model.ambient_c - BELOW_AIR_K:
            reading, found = Reading.BELOW_AIR, None
    due = _rest(plan, state, done, ratio)
    if measured_c is not None and measured_c > plan.interpass_limit_c:
        late = max(0.0, now_s + TOUCH_AGAIN_S - due[0])
        due = [start + late for start in due]
    return Pace((*map(float, starts_s), *due), ratio, expected_c, reading, found)


def _believed(found: float | None, before: float | None, ratio: float) -> tuple[float, Reading]:
    """Return the ratio to go on with, and what became of the reading that gave `found`."""
    if found is None:
        return ratio, Reading.TOO_COOL
    if not RATIOS[0] <= found <= RATIOS[1]:
        return ratio, Reading.SLIP
    if found >= ratio:
        return found, Reading.USED
    if before is not None and abs(found - before) <= AGREE * before:
        return min(ratio, max(found, before)), Reading.USED
    floor = min(ratio, ALONE)
    return max(found, floor), Reading.USED if found >= floor else Reading.HALF_USED


def _rest(plan: SequencePlan, state: State, done: int, ratio: float) -> list[float]:
    """Return the starts of the stitches not done, with all rises `ratio` times the model's."""
    model, tacks, rules = plan.model, len(plan.tack_order), plan.rules
    allowed = model.ambient_c + (rules.limit_c - model.ambient_c) / ratio
    timing = plan.timed(
        plan.order[done:], replace(rules, limit_c=allowed), state=state,
        after=plan.order[done - 1] + tacks if done else None, held=plan.held.without_lines(),
    )  # fmt: skip
    starts = [float(start) - plan.tack_s for start in timing.start_s]
    if not plan.protected:
        return starts
    seconds = [model.stitches[n].duration_s for n in plan.order]
    late = 0.0
    kept: list[float] = []
    free = state.clock - plan.tack_s
    for place, start in enumerate(starts, done):
        end_then = plan.start_s[place - 1] + seconds[place - 1] if place else 0.0
        start = max(start + late, free + plan.start_s[place] - end_then)
        late = max(late, start - starts[place - done])
        kept.append(start)
        free = start + seconds[place]
    return kept
