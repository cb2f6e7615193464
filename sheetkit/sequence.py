"""The order of tacks and stitches, and the waits between them, by an analytic preview.

A start is allowed once the sheet along the stitch stays at or below the
interpass limit from the start until `LOOK_AHEAD_S` later, without its own
heat.  The preview sums closed forms in an endless sheet: it doesn't see the
open gap beside a stitch, so wait on a measured temperature.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from .errors import Fault, OutOfRange, require
from .heat import WeldRun, instantaneous_line_source

LOOK_AHEAD_S = 20.0
MOVE_S = 3.0
MOVE_MM_S = 100.0
"""From one stitch to the next: 3 s + distance / 0.1 m/s (guess)."""
LONGEST_WAIT_S = 7200.0
NTH = ("", "", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth")
_POINTS = 3
_STEP_S = 1.0


@dataclass(frozen=True)
class SequencePlan:
    """An order with its times.  Indices count the tacks and stitches given.

    Times in s: `start_s` and `wait_s` follow `order`, from the first fill
    start; `peak_before_start_c` counts by stitch, not by order.
    """

    tack_order: tuple[int, ...]
    tack_s: float
    order: tuple[int, ...]
    start_s: tuple[float, ...]
    wait_s: tuple[float, ...]
    total_s: float
    loop_total_s: float
    no_wait_bound_s: float
    peak_before_start_c: tuple[float, ...]
    patch: tuple[int, ...]
    method: str
    grid_mm: float | None
    alternatives: tuple[tuple[str, float, float], ...]


def loop_order(n: int) -> list[int]:
    """Return 0 .. n-1: once round."""
    return list(range(n))


def skip_order(n: int, k: int) -> list[int]:
    """Return every k-th stitch, then the next ones, until all are done."""
    return [i for first in range(k) for i in range(first, n, k)]


def halving_order(n: int) -> list[int]:
    """Return an order in which each next one lies farthest from those done (halving)."""
    bits = max(1, (n - 1).bit_length())
    turned = [int(f"{i:0{bits}b}"[::-1], 2) for i in range(1 << bits)]
    return [i for i in turned if i < n]


def back_step_order(n: int, group: int = 3) -> list[int]:
    """Return groups of stitches, each group welded from its far end back."""
    return [
        i for first in range(0, n, group) for i in reversed(range(first, min(first + group, n)))
    ]


def tack_rounds(rounds: Sequence[int]) -> list[int]:
    """Return the tacks' order: round by round, and far apart within each round.

    `rounds[i]` is the round of tack i, whose indices run along the seam within a round.
    """
    order: list[int] = []
    for number in sorted(set(rounds)):
        members = [i for i, value in enumerate(rounds) if value == number]
        order += [members[i] for i in halving_order(len(members))]
    return order


class _Preview:
    """Temperatures by superposed sources; each run is `_POINTS` sources and as many feelers."""

    def __init__(self, runs: Sequence[WeldRun], thickness_mm: float, ambient_c: float):
        self.runs, self.ambient, self.thickness = runs, ambient_c, thickness_mm
        self.points = np.array([_spread(run.path) for run in runs]).reshape(len(runs), _POINTS, 2)
        ends = np.array([[run.path[0], run.path[-1]] for run in runs]).reshape(len(runs), 2, 2)
        between = ends[:, None, 1] - ends[None, :, 0]
        self.move_s = MOVE_S + np.hypot(between[..., 0], between[..., 1]) / MOVE_MM_S

    def felt(
        self, run: int, times: np.ndarray, done: Sequence[int], middles: np.ndarray
    ) -> np.ndarray:
        """Return the highest temperature along `run` at `times`, (m,) degC."""
        if not len(done):
            return np.full(len(times), self.ambient)
        sources = self.points[list(done)].reshape(-1, 2)
        share = np.repeat([self.runs[i].energy_j / _POINTS for i in done], _POINTS)
        since = np.repeat(middles, _POINTS)
        gap = self.points[run][:, None] - sources[None]
        r = np.hypot(gap[..., 0], gap[..., 1])
        age = np.maximum(times[:, None] - since[None], 0.1)
        rise = instantaneous_line_source(
            share[None, None], r[:, None], age[None], thickness_mm=self.thickness
        )
        return self.ambient + rise.sum(axis=2).max(axis=0)

    def schedule(
        self,
        order: Sequence[int],
        limit_c: float,
        done: list[int],
        middles: list[float],
        ready_s: float,
    ):
        """Return (starts, waits, peaks, end) of welding `order` after what is done."""
        starts, waits, peaks = [], [], []
        ahead = np.arange(0.0, LOOK_AHEAD_S + _STEP_S / 2, _STEP_S)
        now, done, middles = ready_s, list(done), list(middles)
        for run in order:
            earliest = now + (self.move_s[done[-1], run] if done else 0.0)
            start, when = earliest, np.asarray(middles)
            while True:
                felt = self.felt(run, start + ahead, done, when)
                over = np.flatnonzero(felt > limit_c)
                if not over.size:
                    break
                # nothing before the last hot moment can do; a hot last moment may still rise
                start += ahead[over[-1]] + _STEP_S
                if start - earliest > LONGEST_WAIT_S:
                    raise OutOfRange(
                        Fault(
                            "weld.interpass_limit",
                            f"{limit_c:g} degC",
                            "is not reached within two hours of waiting",
                            "raise the limit or weld less at a time",
                        )
                    )
            starts.append(start)
            waits.append(start - earliest)
            peaks.append(float(felt.max()))
            now = start + self.runs[run].duration_s
            done.append(run)
            middles.append(start + self.runs[run].duration_s / 2)
        return starts, waits, peaks, now, done, middles


def _spread(path: np.ndarray) -> np.ndarray:
    """Return `_POINTS` points evenly inside a path."""
    steps = np.hypot(*np.diff(path, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    at = (np.arange(_POINTS) + 0.5) / _POINTS * along[-1]
    return np.column_stack([np.interp(at, along, path[:, 0]), np.interp(at, along, path[:, 1])])


def plan_sequence(
    tacks: Sequence[WeldRun],
    stitches: Sequence[WeldRun],
    *,
    tack_round: Sequence[int],
    thickness_mm: float,
    interpass_limit_c: float = 60.0,
    ambient_c: float = 20.0,
    order: Sequence[int] | None = None,
    progress: Callable[[float, str], None] | None = None,
) -> SequencePlan:
    """Return tack rounds and the best of several fill orders, with starts and waits.

    Parameters
    ----------
    tacks, stitches : sequences of WeldRun
        In the order they lie along the seam.
    tack_round : sequence of int
        The round each tack belongs to.
    thickness_mm : float
        0.3 to 6 mm.
    interpass_limit_c : float
        degC; at least 5 K above `ambient_c`, at most 300.
    order : sequence of int, optional
        Your own order of all stitches, taken as it is; default the best of those tried.
    progress : callable (share, text), optional
        Told after each order tried.

    Returns
    -------
    SequencePlan
        `method` names the order; the plain loop and all tried orders are in
        `alternatives` as (name, total s, highest temperature before a start degC).

    Raises
    ------
    OutOfRange
    """
    require("thickness", thickness_mm, 0.3, 6, "mm")
    require("weld.interpass_limit", interpass_limit_c, ambient_c + 5, 300, "degC")
    preview = _Preview([*tacks, *stitches], thickness_mm, ambient_c)
    tack_order = tack_rounds(tack_round)
    *_, tacked, done, middles = preview.schedule(tack_order, interpass_limit_c, [], [], 0.0)
    n, offset = len(stitches), len(tacks)
    candidates = {"once round": loop_order(n)}
    if order is not None:
        if sorted(order) != list(range(n)):
            raise OutOfRange(
                Fault(
                    "order",
                    f"{len(order)} turns",
                    f"must name each of 0 to {n - 1} once",
                    "leave none out and none twice",
                )
            )
        candidates["your own"] = list(order)
    elif n > 2:
        candidates["halving"] = halving_order(n)
        candidates["back-step"] = back_step_order(n)
        candidates |= {f"every {NTH[k]}": skip_order(n, k) for k in range(2, min(n, 9))}
    results = {}
    for number, (name, tried) in enumerate(candidates.items()):
        starts, waits, peaks, end, *_ = preview.schedule(
            [offset + i for i in tried], interpass_limit_c, done, middles, tacked
        )
        results[name] = (end - starts[0] if starts else 0.0, starts, waits, peaks)
        if progress:
            progress((number + 1) / len(candidates), name)
    best = min(results, key=lambda name: results[name][0]) if order is None else "your own"
    total, starts, waits, peaks = results[best]
    order = candidates[best]
    by_stitch = [0.0] * n
    for i, peak in zip(order, peaks, strict=True):
        by_stitch[i] = round(peak, 2)
    first = starts[0] if starts else 0.0
    return SequencePlan(
        tuple(tack_order),
        tacked,
        tuple(order),
        tuple(start - first for start in starts),
        (0.0, *waits[1:])[:n],
        total,
        results["once round"][0],
        _no_wait(preview, order, offset),
        tuple(by_stitch),
        tuple(run.patch for run in stitches),
        best,
        None,
        tuple(
            (name, result[0], max(result[3], default=ambient_c)) for name, result in results.items()
        ),
    )


def _no_wait(preview: _Preview, order: Sequence[int], offset: int) -> float:
    """Return how long the order takes with its moves and welds but no wait, s."""
    runs = [offset + i for i in order]
    moves = sum(preview.move_s[a, b] for a, b in itertools.pairwise(runs))
    return float(moves + sum(preview.runs[i].duration_s for i in runs))
