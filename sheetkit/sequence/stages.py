"""The search for an order, stage by stage: families, then all orders or annealing."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from functools import partial
from typing import NamedTuple

import numpy as np

from ..base.errors import refuse
from .alternatives import Alternative, families_of, quickest
from .exact import MOST_CHECKED, Exact
from .orders import loop_order, van_der_corput_order
from .planner import Planner, Settled
from .polish import Polish
from .responses import WORKERS, Tables, in_threads
from .search import EXACT_UP_TO, SCHEDULES, FillRules, Search

ALL_ORDERS = "branch and bound"
SERIES = " no. "
"""In the names of several orders of one kind, of which only the best is told."""
GROUP, GIVEN_UP = 8, 2.0
"""Orders are marched in groups of so many, and left at so many times the best time before."""
SKIPS_FIRST = 40
"""With so many stitches or more the skips are marched before anything else."""
MARCHED = 8000
"""Orders marched on the coarse grid: this over the stitches, at least twelve."""
CHECKED = 4
"""Orders checked on the finer grid at most, of fewer stitches than FEW."""
POLISHED, OF_BEST, MARCHES, POLISHED_BELOW = 3, 8, 6000, 40
"""With fewer stitches the first so many of the best ones, as the check leaves them, are polished,
each by so many stitches marched."""
ANNEALING, LEAST_ROUNDS, MOST_ROUNDS = 1.1e8, 1000, 30_000
"""Effort of one annealing: the rounds are the first over stitches squared, within the others."""

NO_WAIT = 0.01
"""An order whose waits are a smaller share of its time than this waits for nothing."""


class Effort(NamedTuple):
    """How orders are annealed, two at a time: first from many starts, then the best ones again.

    wide, again : how many pairs; wide_share, again_share : of the rounds of one annealing
    schedule : of the many starts, warmest and coldest, for each of a pair
    """

    wide: int
    wide_share: float
    again: int
    again_share: float
    schedule: tuple[tuple[float, float], tuple[float, float]]


WARM = ((2e-2, 2e-4), (6e-3, 1e-4))
MANY = Effort(1, 1.0, 1, 0.4, SCHEDULES)
"""With many stitches one start is about as good as another, and each takes long."""
TO_BEGIN = Effort(2, 0.05, 1, 0.05, WARM)
"""Where all orders are looked at, a good one to begin from is enough."""
FEW, WIDE, LEAST_WIDE, OF_STITCHES = 80, 5, 2, 20
"""With fewer than FEW, where one begins counts for more than how long one looks: WIDE pairs with up
to OF_STITCHES, fewer by the square of the stitches' number, but not below LEAST_WIDE."""


def effort_for(count: int) -> Effort:
    """Return how to anneal the orders of so many stitches."""
    if count >= FEW or count <= EXACT_UP_TO:
        return MANY if count >= FEW else TO_BEGIN
    wide = round(np.clip(WIDE * (OF_STITCHES / count) ** 2, LEAST_WIDE, WIDE))
    return Effort(wide, 0.5, wide, 0.3, WARM)


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
    if count >= SKIPS_FIRST:
        first = first_ready(run)
        families |= {name: [(first + n) % count for n in families[name]] for name in skips}
        if unhurried(run, families, skips, totals):
            return
    tables = tabled(run)
    if not tables.complete:
        run.keep([run.confirm(("van der Corput", van_der_corput_order(count), math.inf))])
        return
    if not families:
        return
    search = Search.of(run.fine, run.rules, run.held, tables, run.last)
    estimates = {name: search.estimate(order) for name, order in families.items()}
    ranked = sorted(estimates, key=lambda name: estimates[name])
    march(run, families, [*ranked[: max(12, MARCHED // count)], *skips], totals)
    patience = 3 * min(run.timings["loop"].total_s, *totals.values())
    chosen = worth_confirming(totals)
    report = run.watch("orders on the fine grid")
    run.keep(in_threads(run.confirm, [(name, families[name], patience) for name in chosen]))
    if report(len(chosen), len(chosen)) or count < 3:
        return
    annealed(run, search, patience)
    if run.stopped:
        return
    if EXACT_UP_TO < count < POLISHED_BELOW:
        polished(run, search)
    if count <= EXACT_UP_TO:
        exact = Exact(run, search.rules, run.watch("all orders on the fine grid"))
        order = exact.best(run.found)
        run.keep([(ALL_ORDERS, order, run.checked_fill(order).timing)])
        if exact.least_s > run.no_wait_s(order):
            run.least_s = max(run.least_s, exact.least_s)


def settle_best(run: Planner) -> tuple[Alternative, Settled]:
    """Return the order that is quickest with its starts as the finer grid lets them stand.

    What the check costs differs from order to order: a few are checked, as long
    as one may still become the quickest.
    """
    ranked = sorted(distinct(run.found), key=lambda one: one.total_s)
    checked: dict[str, Settled] = {}
    quickest_s = math.inf
    most = MOST_CHECKED if run.count <= EXACT_UP_TO else CHECKED if run.count < FEW else 1
    for one in ranked[:most]:
        if checked and (one.total_s >= quickest_s or run.stopped):
            break
        checked[one.method] = run.checked_fill(one.order, run.timings[one.method], quickest_s)
        quickest_s = min(quickest_s, checked[one.method].timing.total_s)
        run.keep([(one.method, one.order, checked[one.method].timing)])
    best = quickest(one for one in run.found if one.method in checked)
    fill = checked[best.method]
    best = replace(best, method=best.method.split(SERIES)[0])
    others = [one for one in run.found if SERIES not in one.method and one.order != best.order]
    run.found = [best, *others]
    return best, fill


def distinct(found: Iterable[Alternative]) -> list[Alternative]:
    """Return the orders, each once."""
    return list({one.order: one for one in found}.values())


def batched(names: Sequence[str], size: int) -> Iterator[Sequence[str]]:
    """Yield parts of `names` of up to `size`."""
    for begin in range(0, len(names), size):
        yield names[begin : begin + size]


def tabled(run: Planner) -> Tables:
    """Return the heat responses of every stitch."""
    small = run.count <= EXACT_UP_TO
    model, state = (run.fine, run.tacked) if small else (run.coarse, run.tacked_coarse)
    held = np.flatnonzero(run.places.held).tolist()
    return Tables(model, state, run.rules.look_ahead_s, run.watch("heat responses"), held=held)


def first_ready(run: Planner) -> int:
    """Return the stitch nearest to the last tack that may start at once; if none may, the coolest.

    Protected places are left out: what they wait for differs little from stitch to stitch.
    """
    times = [0.6]
    while times[-1] < run.rules.settle_s + run.rules.look_ahead_s:
        times.append(1.2 * times[-1])
    later = np.array(times) >= run.rules.settle_s
    rises = run.coarse.responses(run.tacked_coarse.copy(), -1, np.array(times))
    hottest = rises[later, : run.count, 0].max(axis=(0, 2))
    ends = run.coarse.placed.ends_mm
    away = np.hypot(*(ends[run.tacks :, :2] - ends[run.last, 2:]).T)
    ready = hottest <= run.rules.limit_c - run.coarse.ambient_c
    return int(np.where(ready, away, np.inf).argmin() if ready.any() else hottest.argmin())


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
    loop_s = run.timings["loop"].total_s

    def one(name: str, cutoff_s: float) -> float:
        if shown(len(totals), len(totals) + len(names)):
            return math.inf
        return run.fill(families[name], coarse=True, cutoff_s=cutoff_s).total_s

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


def annealed(run: Planner, search: Search, patience: float) -> None:
    """Anneal from the best orders, then the better ones again, and keep the best.

    The estimate errs by a few percent and differently for every order; each
    annealing takes it to err as it does where it begins, on the fine grid.
    """

    def calibrated(one: Alternative) -> FillRules:
        timing = run.timings[one.method]
        return search.calibrated(one.order, timing.start_s - run.tacked.clock,
                                 timing.peak_before_start_c - run.fine.ambient_c,
                                 timing.wait_s)  # fmt: skip

    plan, effort = effort_for(run.count), run.choice.effort
    rounds = np.clip(ANNEALING / run.count**2, LEAST_ROUNDS, MOST_ROUNDS)
    # each held place's row is looked up as a stitch is, and over longer waits
    rounds /= 1 + 1.5 * search.rules.room_k.shape[1]
    families = sorted(run.found, key=lambda one: one.total_s)
    turns = plan.wide + plan.again
    shown = run.watch("better orders")
    for turn in range(turns):
        if turn < plan.wide:
            share, schedule = plan.wide_share, plan.schedule
            begin = [families[(2 * turn + n) % len(families)] for n in (0, 1)]
        else:
            share, schedule = plan.again_share, SCHEDULES
            ranked = sorted(run.found, key=lambda one: one.total_s)
            second = next((one for one in ranked if one.order != ranked[0].order), ranked[0])
            begin = [ranked[0], second if plan is not MANY and turn % 2 else ranked[0]]
        improved = search.anneal(
            [one.order for one in begin], [calibrated(one) for one in begin],
            seed=1000 * run.choice.seed + turn, rounds=int(effort * share * rounds),
            watch=lambda done, parts, turn=turn: shown(turn * parts + done, turns * parts),
            schedules=schedule,
        )  # fmt: skip
        run.keep(in_threads(run.confirm, [(f"annealed{SERIES}{turn}, {n + 1}", order, patience)
                                          for n, order in enumerate(improved)]))  # fmt: skip
        if run.stopped:
            break


def polished(run: Planner, search: Search) -> None:
    """Polish the orders that are quickest by the finer grid's check, and keep the best."""
    ranked = sorted(distinct(run.found), key=lambda one: one.total_s)[:OF_BEST]
    checked = in_threads(lambda one: run.checked_fill(one.order, run.timings[one.method]), ranked)
    starts = sorted(
        (part.timing.total_s, one.order) for part, one in zip(checked, ranked, strict=True)
    )
    shown = run.watch("small moves")
    most = int(run.choice.effort * MARCHES)

    def chain(number: int) -> tuple[float, list[int]]:
        one = Polish(run, search, shown, most)
        return one.best(
            starts[number % len(starts)][1], np.random.default_rng([run.choice.seed, number])
        )

    _, order = min(in_threads(chain, range(POLISHED)))
    run.keep([("polished", order, run.checked_fill(order).timing)])
