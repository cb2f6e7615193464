"""The search for an order, stage by stage: families, all orders or annealing, last moves."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import partial

import numpy as np

from ..base.errors import refuse
from .alternatives import families_of, quickest, total_of
from .orders import loop_order, van_der_corput_order
from .planner import Planner
from .responses import WORKERS, Tables, in_threads
from .search import EXACT_UP_TO, FillRules, Search

GROUP, GIVEN_UP = 8, 2.0
"""Orders are marched in groups of so many, and left at so many times the best time before."""
POLISH_BELOW, POLISHING = 40, 2400
"""Fewer stitches than this are polished on the fine grid; the trials are the second over them."""
MARCHED = 8000
"""Orders marched on the coarse grid: this over the stitches, at least twelve."""
ANNEALING, LEAST_ROUNDS, MOST_ROUNDS = 1.1e8, 1000, 30_000
"""Effort of one annealing: the rounds are the first over stitches squared, within the others."""
NO_WAIT = 0.01
"""An order whose waits are a smaller share of its time than this waits for nothing."""


def search_orders(run: Planner) -> None:
    """Find orders of the fill; they are kept in `run.found`, once round as "loop" among them."""
    count = run.count
    run.keep([run.confirm(("loop", loop_order(count), math.inf))])
    if not run.timings:
        refuse("interpass_limit_c", run.rules.limit_c, "the sheet doesn't cool below it within 4 h",
               "raise the limit, or let heat out at the faces")  # fmt: skip
    families = families_of(count)
    skips = [f"skip {k}" for k in range(2, 9) if f"skip {k}" in families]
    totals: dict[str, float] = {}
    if count >= POLISH_BELOW and unhurried(run, families, skips, totals):
        return
    tables = tabled(run)
    if not tables.complete:
        run.keep([run.confirm(("van der Corput", van_der_corput_order(count), math.inf))])
        return
    if not families:
        return
    search = Search.of(run.fine, run.rules, tables)
    estimates = {name: search.estimate(order) for name, order in families.items()}
    patience = 3 * min(total_of(run.timings["loop"]), *estimates.values())
    ranked = sorted(estimates, key=lambda name: estimates[name])
    march(run, families, [*ranked[: max(12, MARCHED // count)], *skips], totals)
    chosen = worth_confirming(totals)
    report = run.watch("orders on the fine grid")
    run.keep(in_threads(run.confirm, [(name, families[name], patience) for name in chosen]))
    if report(len(chosen), len(chosen)) or count < 3:
        return
    if count <= EXACT_UP_TO:
        run.keep(in_threads(run.confirm, [(f"all orders, {n + 1}", order, patience)
                                          for n, order in enumerate(search.exact())]))  # fmt: skip
        run.keep_best("all orders", "branch and bound")
        if count > 4:
            polish(run, run.choice.seed)
        return
    seed = annealed(run, search, patience)
    if count < POLISH_BELOW:
        polish(run, seed)


def batched(names: Sequence[str], size: int) -> Iterator[Sequence[str]]:
    """Yield parts of `names` of up to `size`."""
    for begin in range(0, len(names), size):
        yield names[begin : begin + size]


def tabled(run: Planner) -> Tables:
    """Return the heat responses of every stitch."""
    small = run.count <= EXACT_UP_TO
    model, state = (run.fine, run.tacked) if small else (run.coarse, run.tacked_coarse)
    return Tables(model, state, run.rules.look_ahead_s, run.watch("heat responses"))


def unhurried(run: Planner, families: dict, skips: list[str], totals: dict[str, float]) -> bool:
    """Say whether the shortest of the skip orders that wait for nothing was found and kept.

    With many stitches the first place has cooled before its neighbour's turn
    comes: no search can then do better than shorten the moves.
    """
    for pair in batched(skips, WORKERS):
        march(run, families, pair, totals)
        for name in pair:
            bound = run.no_wait_s(families[name])
            if totals[name] <= (1 + NO_WAIT) * bound:
                run.keep([run.confirm((name, families[name], (1 + NO_WAIT) * bound))])
                if name in run.timings:
                    return True
    return False


def march(run: Planner, families: dict, names: Sequence[str], totals: dict[str, float]) -> None:
    """March orders on the coarse grid into `totals`; those far behind the best are left, infinite.

    In groups of a fixed size, so that what is left doesn't hang on who is done first.
    """
    names = [name for name in dict.fromkeys(names) if name not in totals]
    shown = run.watch("orders on the coarse grid")
    loop_s = total_of(run.timings["loop"])

    def one(name: str, cutoff_s: float) -> float:
        if shown(len(totals), len(totals) + len(names)):
            return math.inf
        return total_of(run.fill(families[name], coarse=True, cutoff_s=cutoff_s))

    for group in batched(names, GROUP):
        cutoff_s = min(1.3 * loop_s, GIVEN_UP * min(totals.values(), default=math.inf))
        found = in_threads(partial(one, cutoff_s=cutoff_s), group)
        totals.update(zip(group, found, strict=True))


def worth_confirming(totals: dict[str, float]) -> list[str]:
    """Return the orders worth the fine grid: the best, the best skips, the best of each family."""
    ranked = sorted(totals, key=lambda name: totals[name])
    one_each = {name.split()[0]: name for name in reversed(ranked)}
    skips = [name for name in ranked if name.startswith("skip")]
    return list(dict.fromkeys([*ranked[:4], *skips[:4], *one_each.values()]))


def annealed(run: Planner, search: Search, patience: float) -> int:
    """Anneal the best orders twice and keep the better ones; return the next seed."""

    def calibrated(order: tuple[int, ...]) -> FillRules:
        timing = run.fill(order, coarse=True)
        return search.calibrated(order, timing.start_s - run.tacked_coarse.clock,
                                 timing.peak_before_start_c - run.fine.ambient_c)  # fmt: skip

    effort, seed = run.choice.effort, run.choice.seed
    rounds = int(effort * np.clip(ANNEALING / run.count**2, LEAST_ROUNDS, MOST_ROUNDS))
    begin = sorted(run.found, key=lambda one: one.total_s)[:2]
    for part, label in ((1.0, "annealed"), (0.4, "annealed again")):
        improved = search.anneal(
            [one.order for one in begin], [calibrated(one.order) for one in begin], seed=seed,
            rounds=int(part * rounds), watch=run.watch("better orders"),
        )  # fmt: skip
        run.keep(in_threads(run.confirm, [(f"{label}, {n + 1}", order, patience)
                                          for n, order in enumerate(improved)]))  # fmt: skip
        if run.stopped:
            break
        begin, seed = [quickest(run.found)] * 2, seed + 7
    run.keep_best("annealed", "annealed")
    return seed


def polish(run: Planner, seed: int) -> None:
    """Try swaps and insertions on the fine grid itself, in pairs, and keep what is quicker."""
    chance = np.random.default_rng(seed)
    report = run.watch("last moves on the fine grid")
    best = quickest(run.found)
    order, method = list(best.order), f"{best.method}, polished"
    total, left = best.total_s, int(run.choice.effort * POLISHING / run.count)
    for trial in range(left // 2):
        if report(trial, left // 2):
            break
        trials = []
        for _ in range(2):
            moved = list(order)
            a, b = (int(n) for n in chance.choice(run.count, 2, replace=False))
            if chance.random() < 0.5:
                moved[a], moved[b] = moved[b], moved[a]
            else:
                moved.insert(b, moved.pop(a))
            trials.append((method, moved, total))
        for _, moved, timing in in_threads(run.confirm, trials):
            if np.isfinite(timing.start_s).all() and total_of(timing) < total - 1e-6:
                total, order = total_of(timing), moved
    if total < best.total_s:
        run.keep([run.confirm((method, order, math.inf))])
