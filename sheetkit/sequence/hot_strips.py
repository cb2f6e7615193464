"""How hot a plan gets each place, and when the last of it can be touched."""

from __future__ import annotations

from functools import lru_cache

from ..heat.peak_reached import PeakReached, peak_reached
from .plan import SequencePlan


@lru_cache(maxsize=8)
def reached(plan: SequencePlan) -> PeakReached:
    """Return the highest temperatures of a plan, tacks and cooling included.

    With the heat it was planned with: the unkind end, so strips come out wide.
    """
    return peak_reached(plan.model, *plan.schedule())


def all_ends_s(plan: SequencePlan) -> float:
    """Return when the last arc goes out, s after the first one burns."""
    order, start = plan.schedule()
    return start[-1] + plan.model.welds[order[-1]].duration_s
