"""The orders worth a look, and the figures an order is chosen by."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from ..heat.sheet_model import Order, SheetModel
from ..heat.state import Timing
from .orders import (
    back_step_order,
    heat_imbalance_mm,
    opposite_order,
    skip_order,
    skip_round_order,
    van_der_corput_order,
)


@dataclass(frozen=True)
class Alternative:
    """One order tried on the fine grid.

    peak_c : the highest temperature before a start, or at the protected places if there are any
    on_front : no other order is better in one of the three figures and as good in the rest
    """

    method: str
    total_s: float
    heat_imbalance_mm: float
    peak_c: float
    order: tuple[int, ...]
    on_front: bool = False

    @property
    def figures(self) -> tuple[float, float, float]:
        """Total time, heat balance and peak: less is better in each."""
        return self.total_s, self.heat_imbalance_mm, self.peak_c


def families_of(count: int) -> dict[str, list[int]]:
    """Return every order worth a look, by name."""
    orders = {f"skip {k}": skip_order(count, k) for k in range(2, count // 2 + 1)}
    for k in range(2, count // 2 + 1):
        orders[f"skip {k}, round and round"] = skip_round_order(count, k)
    for k in range(1, max(2, count // 4 + 1)):
        orders[f"opposite, skip {k}"] = opposite_order(count, k)
    for block in (2, 3, 4, 5):
        orders[f"back-step by {block}"] = back_step_order(count, block)
    orders["van der Corput"] = van_der_corput_order(count)
    first_of = {tuple(order): name for name, order in reversed(orders.items())}
    return {name: list(order) for order, name in first_of.items() if order != tuple(range(count))}


def quickest(found: Iterable[Alternative]) -> Alternative:
    """Return the order with the shortest total."""
    return min(found, key=lambda one: one.total_s)


def with_front(found: list[Alternative]) -> tuple[Alternative, ...]:
    """Mark those no other beats in total time, heat balance and peak together; quickest first."""

    def beaten(one: Alternative) -> bool:
        return any(
            other.figures != one.figures
            and all(a <= b for a, b in zip(other.figures, one.figures, strict=True))
            for other in found
        )

    marked = [replace(one, on_front=not beaten(one)) for one in found]
    return tuple(sorted(marked, key=lambda one: one.total_s))


def imbalance_of(model: SheetModel, order: Order, timing: Timing) -> float:
    """How far the warm middle wanders from the seam's middle, mm."""
    runs = [model.stitches[n] for n in order]
    ends = timing.start_s + [run.duration_s for run in runs]
    middle = np.array([run.at(np.array([0.5]))[0] for run in runs])
    loss = float(model.loss_per_s.max())
    return heat_imbalance_mm(middle, [r.energy_j for r in runs], ends, loss_per_s=loss)


def outcome(model: SheetModel, method: str, order: Order, timing: Timing) -> Alternative:
    """Return the figures of an order timed on `model`."""
    peak = timing.points_peak_c if model.lines else timing.peak_before_start_c
    return Alternative(method, timing.total_s, imbalance_of(model, order, timing),
                       float(peak.max()), tuple(int(n) for n in order))  # fmt: skip
