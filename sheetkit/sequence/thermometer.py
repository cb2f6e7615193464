"""Waits that follow the work: actual starts and a thermometer reading move the starts to come.

The heat-flow model is linear: every temperature rise is in proportion to the
heat put in.  A reading therefore says by how much all rises differ from what
the model expects, and the starts still to come are timed again by the same
model with the limit's rise divided by that ratio.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ..heat.state import State
from .plan import SequencePlan

LEAST_RISE_K = 5.0
"""Where the model expects less rise than this, a reading can't tell the heat input.  GUESS."""
RATIOS = (0.4, 2.5)
"""A reading further off than this is taken for a slip of the thermometer.  GUESS."""
TOUCH_AGAIN_S = 15.0
"""Least wait after a reading over the limit.  GUESS."""


@dataclass(frozen=True)
class Pace:
    """The starts to come, s after the end of tacking, in welding order.

    expected_c : what the model expected at the next stitch for the ratio in use before
    ratio : measured rise over expected rise, within RATIOS
    clipped : whether the reading was outside RATIOS
    told : whether the reading could tell the ratio at all
    """

    due_s: tuple[float, ...]
    ratio: float
    expected_c: float
    clipped: bool = False
    told: bool = False


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
    float, not yet kept within RATIOS, or None where the expected rise is below LEAST_RISE_K.

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
) -> Pace:
    """Time the rest of a plan again, from what was done and what the thermometer reads.

    Parameters
    ----------
    plan : SequencePlan with its model
    starts_s : actual starts of the stitches done, s after the end of tacking
    now_s : the present, same clock
    ratio : of earlier readings
    measured_c : reading at the next stitch, deg C; replaces the ratio

    Returns
    -------
    Pace.  `due_s` holds the actual starts, then the new ones.  After a reading
    over the limit the next start is at least TOUCH_AGAIN_S away.  With protected
    places the waits only grow: the plan has waited for these places, and the
    thermometer didn't touch them.
    """
    model, done = plan.model, len(starts_s)
    if done >= len(plan.order):
        return Pace(tuple(starts_s), ratio, model.ambient_c)
    state = state_at(plan, starts_s, now_s)
    now_s = max(now_s, state.clock - plan.tack_s)
    next_weld = len(plan.tack_order) + plan.order[done]
    plain_c = float(model.read(state)[next_weld])
    expected_c = model.ambient_c + ratio * (plain_c - model.ambient_c)
    told = clipped = False
    if measured_c is not None:
        found = heat_ratio(measured_c, plain_c, model.ambient_c)
        if found is not None:
            told, ratio = True, min(max(found, RATIOS[0]), RATIOS[1])
            clipped = ratio != found
    due = _rest(plan, state, done, ratio)
    if measured_c is not None and measured_c > plan.interpass_limit_c:
        late = max(0.0, now_s + TOUCH_AGAIN_S - due[0])
        due = [start + late for start in due]
    return Pace((*map(float, starts_s), *due), ratio, expected_c, clipped, told)


def _rest(plan: SequencePlan, state: State, done: int, ratio: float) -> list[float]:
    """Return the starts of the stitches not done, with all rises `ratio` times the model's."""
    model, tacks, rules = plan.model, len(plan.tack_order), plan.rules
    allowed = model.ambient_c + (rules.limit_c - model.ambient_c) / ratio
    timing = plan.timed(
        plan.order[done:], replace(rules, limit_c=allowed), state=state,
        after=plan.order[done - 1] + tacks if done else None,
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
