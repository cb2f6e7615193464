"""The steps of one planning run: orders tried, timed on the fine grid, checked on a finer one."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from ..base.errors import refuse
from ..heat.sheet_model import SheetModel
from ..heat.state import State, Timing
from .orders import (
    back_step_order,
    heat_imbalance_mm,
    loop_order,
    opposite_order,
    skip_order,
    skip_round_order,
    van_der_corput_order,
)
from .responses import Tables, in_threads
from .search import EXACT_UP_TO, Search

MOST_EXCESS_C = 1.0
"""A plan further over its limit than this on the finer grid is timed again."""
MOST_ATTEMPTS = 6
SPREAD = 0.2
POLISH_BELOW, POLISHING = 40, 2400
"""Fewer stitches than this are polished on the fine grid; the trials are the second over them."""
MARCHED = 8000
"""Orders marched on the coarse grid: this over the stitches, at least twelve."""
ANNEALING, LEAST_ROUNDS, MOST_ROUNDS = 1.1e8, 3000, 30_000
"""Effort of one annealing: the rounds are the first over stitches squared, within the others."""


@dataclass(frozen=True)
class Alternative:
    """One order tried on the fine grid.  `on_front`: no other is better in all three figures."""

    method: str
    total_s: float
    heat_imbalance_mm: float
    peak_c: float
    order: tuple[int, ...]
    on_front: bool = False


class Planner:
    """The steps of one planning run; they share the models and the stop signal."""

    def __init__(
        self, fine: SheetModel, coarse: SheetModel, rules: dict, held, progress, stop, effort
    ):
        self.fine, self.coarse, self.rules = fine, coarse, rules
        self.tacks, self.count = len(fine.tacks), len(fine.stitches)
        self.limit_c, self.held = rules["limit_c"], held
        self.progress, self.stop, self.stopped = progress, stop, False
        self.effort, self.own_peak = effort, None

    def watch(self, label: str) -> Callable[[int, int], bool]:
        """Return a function (done, total) that reports progress and says whether to stop."""

        def report(done: int, total: int) -> bool:
            if self.progress:
                self.progress(label, done, total)
            if self.stop and self.stop():
                self.stopped = True
            return self.stopped

        return report

    def tack(self, model: SheetModel, order, **more) -> Timing:
        """Time the tacking rounds in `order` by the rules."""
        return model.time(order, **self.rules, **more)

    def fill(self, model: SheetModel, order, tacked: State, last: int, **more) -> Timing:
        """Time the fill in `order` on a tacked sheet."""
        held = {} if model is not self.fine and model is not self.coarse else self.hold()
        return model.time(
            self.tacks + np.asarray(order), state=tacked, after=last, **held, **self.rules, **more
        )

    def alone(self) -> np.ndarray:
        """Return the temperature each protected place reaches by the worst weld alone, deg C."""
        if not len(self.held):
            return np.zeros(0)
        return self.fine.ambient_c + self.own_peak.max(axis=0)

    def hold(self, held=None) -> dict:
        """Return the limits of the protected places and what each weld alone adds there.

        Where one stitch alone passes the limit no wait can help; it then waits
        until three tenths of the allowance are left.
        """
        if self.own_peak is None or not len(self.held):
            return {}
        held = self.held if held is None else held
        allowance = np.asarray(held) - self.fine.ambient_c
        return {"held_c": held, "own_peak": np.minimum(self.own_peak, 0.7 * allowance)}


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


def pareto_front(found: list[Alternative]) -> tuple[Alternative, ...]:
    """Mark those no other beats in total time, heat balance and peak together."""

    def beaten(one):
        mine = (one.total_s, one.heat_imbalance_mm, one.peak_c)
        for other in found:
            theirs = (other.total_s, other.heat_imbalance_mm, other.peak_c)
            if theirs != mine and all(a <= b for a, b in zip(theirs, mine, strict=True)):
                return True
        return False

    marked = [Alternative(**{**vars(one), "on_front": not beaten(one)}) for one in found]
    return tuple(sorted(marked, key=lambda one: one.total_s))


def total_of(timing: Timing) -> float:
    """Time from the first start to the last end, s."""
    return float(timing.end_s - timing.start_s[0])


def imbalance_of(model: SheetModel, order, timing: Timing) -> float:
    """How far the warm middle wanders from the seam's middle, mm."""
    runs = [model.stitches[n] for n in order]
    ends = timing.start_s + [run.duration_s for run in runs]
    middle = np.array([run.at(np.array([0.5]))[0] for run in runs])
    return heat_imbalance_mm(middle, [r.energy_j for r in runs], ends, loss_per_s=model.loss_per_s)


def outcome(run: Planner, method: str, order, timing: Timing) -> Alternative:
    """Return the figures an order is chosen by; the peak is at the protected places if any."""
    peak = timing.points_peak_c if len(run.held) else timing.peak_before_start_c
    return Alternative(method, total_of(timing), imbalance_of(run.fine, order, timing),
                       float(peak.max()), tuple(int(n) for n in order))  # fmt: skip


def search_orders(run: Planner, tacked: State, tacked_coarse: State, last: int, seed: int):
    """Return the orders timed on the fine grid, and their timings by method."""
    fine, count = run.fine, run.count
    found: list[Alternative] = []
    timings: dict[str, Timing] = {}

    def confirm(item):
        method, order, cutoff = item
        return method, order, run.fill(fine, order, tacked, last, cutoff_s=cutoff)

    def keep(results):
        for method, order, timing in results:
            if not np.isfinite(timing.start_s).all():
                continue
            timings[method] = timing
            found.append(outcome(run, method, order, timing))

    small = count <= EXACT_UP_TO
    model, state = (fine, tacked) if small else (run.coarse, tacked_coarse)
    tables = Tables(model, state, first=run.tacks, look_ahead_s=run.rules["look_ahead_s"],
                    watch=run.watch("heat responses"))  # fmt: skip
    run.own_peak = tables.own_peak
    keep([confirm(("loop", loop_order(count), math.inf))])
    if not timings:
        refuse("interpass_limit_c", run.limit_c, "the sheet doesn't cool below it within 4 h",
               "raise the limit, or let heat out at the faces")  # fmt: skip
    families = families_of(count)
    if not tables.complete:
        keep(map(confirm, [("van der Corput", van_der_corput_order(count), math.inf)]))
        return found, timings
    ends = fine._weld_arrays[-1][run.tacks :]
    away = np.hypot(*(ends[:, None, 2:] - ends[None, :, :2]).transpose(2, 0, 1))
    search = Search(
        tables, limit_k=run.limit_c - fine.ambient_c,
        moves=run.rules["settle_s"] + away / run.rules["move_mm_s"],
        first_ready_s=run.rules["settle_s"], duration_s=[r.duration_s for r in fine.stitches],
    )  # fmt: skip
    estimates = {name: search.estimate(order) for name, order in families.items()}
    ranked = sorted(estimates, key=estimates.get)
    if not ranked:
        return found, timings
    likely = dict.fromkeys([*ranked[: max(12, MARCHED // count)],
                            *(f"skip {k}" for k in range(2, 9) if f"skip {k}" in families)])  # fmt: skip
    shown = run.watch("orders on the coarse grid")

    def march(name):
        if shown(0, len(likely)):
            return name, math.inf
        timing = run.fill(run.coarse, families[name], tacked_coarse, last,
                          cutoff_s=1.3 * total_of(timings["loop"]))  # fmt: skip
        return name, total_of(timing)

    marched = dict(in_threads(march, likely))
    ranked = sorted(marched, key=marched.get)
    one_each = {name.split()[0]: name for name in reversed(ranked)}
    skips = [name for name in ranked if name.startswith("skip")]
    chosen = dict.fromkeys([*ranked[:4], *skips[:4], *one_each.values()])
    patience = 3 * min(total_of(timings["loop"]), *estimates.values())
    report = run.watch("orders on the fine grid")
    keep(in_threads(confirm, [(name, families[name], patience) for name in chosen]))
    if report(len(chosen), len(chosen)) or count < 3:
        return found, timings
    if count <= EXACT_UP_TO:
        keep(in_threads(confirm, [(f"all orders, {n + 1}", order, patience)
                                  for n, order in enumerate(search.exact())]))  # fmt: skip
        found, timings = named(found, timings, "all orders", "branch and bound")
        if count > 4:
            polish(run, found, confirm, keep, seed)
        return found, timings

    def calibrated(order):
        timing = run.fill(run.coarse, order, tacked_coarse, last)
        return search.calibrated(order, timing.start_s - tacked_coarse.clock,
                                 timing.peak_before_start_c - fine.ambient_c)  # fmt: skip

    rounds = int(run.effort * np.clip(ANNEALING / count**2, LEAST_ROUNDS, MOST_ROUNDS))
    seeds = sorted(found, key=lambda one: one.total_s)[:2]
    for part, label in ((1.0, "annealed"), (0.4, "annealed again")):
        rules = [calibrated(one.order) for one in seeds]
        improved = search.anneal(
            [one.order for one in seeds], rules, seed=seed, rounds=int(part * rounds),
            watch=run.watch("better orders"),
        )  # fmt: skip
        keep(in_threads(confirm, [(f"{label}, {n + 1}", order, patience)
                                  for n, order in enumerate(improved)]))  # fmt: skip
        if run.stopped:
            break
        seeds, seed = [min(found, key=lambda one: one.total_s)] * 2, seed + 7
    found, timings = named(found, timings, "annealed", "annealed")
    if count < POLISH_BELOW:
        polish(run, found, confirm, keep, seed)
    return found, timings


def polish(run: Planner, found, confirm, keep, seed: int) -> None:
    """Try swaps and insertions on the fine grid itself, in pairs, and keep what is quicker."""
    chance = np.random.default_rng(seed)
    report = run.watch("last moves on the fine grid")
    best = min(found, key=lambda one: one.total_s)
    order, method = list(best.order), f"{best.method}, polished"
    total, left = best.total_s, int(run.effort * POLISHING / run.count)
    for trial in range(left // 2):
        if report(trial, left // 2):
            break
        trials = []
        for _ in range(2):
            moved = list(order)
            a, b = chance.choice(run.count, 2, replace=False)
            if chance.random() < 0.5:
                moved[a], moved[b] = moved[b], moved[a]
            else:
                moved.insert(b, moved.pop(a))
            trials.append((method, moved, total))
        for _, moved, timing in in_threads(confirm, trials):
            if np.isfinite(timing.start_s).all() and total_of(timing) < total - 1e-6:
                total, order = total_of(timing), moved
    if total < best.total_s:
        keep([confirm((method, order, math.inf))])


def named(found, timings, begins: str, name: str):
    """Keep only the best of the orders whose method begins so, under `name`."""
    mine = [one for one in found if one.method.startswith(begins)]
    rest = [one for one in found if not one.method.startswith(begins)]
    if mine:
        best = min(mine, key=lambda one: one.total_s)
        timings[name] = timings[best.method]
        rest.append(Alternative(**{**vars(best), "method": name}))
    return rest, timings


def verify(run: Planner, checked: SheetModel, tack_order, tacking, order, timing, last):
    """Run the same starts on the finer grid; return the timing and its excess over the limit, K.

    Where that, or a protected place, comes out too hot, the order is timed
    again with the limit lowered by what it was over.
    """
    order = run.tacks + np.asarray(order)
    limit, held = run.limit_c, np.asarray(run.held, float)
    tacked = checked.time(tack_order, start_s=tacking.start_s, look_ahead_s=0.0).state
    for attempt in range(MOST_ATTEMPTS):
        there = checked.time(order, start_s=timing.start_s, state=tacked,
                             look_ahead_s=run.rules["look_ahead_s"])  # fmt: skip
        excess = float(there.peak_before_start_c.max() - run.limit_c)
        over = np.maximum(timing.points_peak_c - run.held, 0.0)
        bearable = run.alone() < run.held
        if attempt + 1 == MOST_ATTEMPTS or (
            excess <= MOST_EXCESS_C and not (over[bearable] > MOST_EXCESS_C / 4).any()
        ):
            break
        limit -= max(excess, 0.0) if excess > MOST_EXCESS_C else 0.0
        held = np.maximum(held - np.where(bearable, over, 0.0), run.fine.ambient_c + 1)
        timing = run.fine.time(order, state=tacking.state, after=last, **run.hold(held),
                               **{**run.rules, "limit_c": limit})  # fmt: skip
    return timing, max(excess, 0.0)


def vary(run: Planner, tack_order, order, last: int, total_s: float) -> tuple[float, float]:
    """Return the shortest and longest total when the sheet differs from what was assumed."""
    if run.stopped:
        return math.nan, math.nan
    kinds = ("energy", "conductivity", "film")
    cases = [{}, *({kind: f} for kind in kinds for f in (1 - SPREAD, 1 + SPREAD))]
    hard = {"energy": 1 + SPREAD, "conductivity": 1 - SPREAD, "film": 1 - SPREAD}
    cases += [hard, {kind: 2 - f for kind, f in hard.items()}]

    def total(case):
        model = run.coarse.varied(**case)
        tacked = run.tack(model, tack_order).state
        return total_of(run.fill(model, order, tacked, last))

    totals = np.array(in_threads(total, cases))
    ratios = totals / totals[0]
    return float(total_s * ratios.min()), float(total_s * ratios.max())
