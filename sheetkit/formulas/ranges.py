"""How far figures can differ: the one home of the rule of ranges.

An input whose row has a low and a high is uncertain, every other input stands
still.  Every uncertain input is moved alone to each end of its range; the
departures are added as squares, since the inputs err independently of one
another.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from ..base.showing import Range
from ..base.tables import Row
from .chain import Chain

Span = tuple[float, float]
"""A figure's (low, high)."""


def told(likely: float, span: Span, unit: str = "") -> Range:
    """Return a figure's range as it is told: no amount lies below zero."""
    return Range(max(span[0], 0.0), float(likely), span[1], unit)


def uncertain(row: Row) -> bool:
    """Say whether an input has a range."""
    return row.low is not None and row.high is not None and row.low < row.high


def moved_alone(
    chain: Chain, jobs: Sequence[Mapping[str, Row]]
) -> tuple[list[str], dict[str, np.ndarray]]:
    """Return the uncertain inputs' names, and every figure as each of them is moved alone.

    Parameters
    ----------
    chain : Chain
    jobs : the inputs of one job or of many that have the same chain

    Returns
    -------
    (names, figure -> array)
        An array's rows: all inputs likely; the first uncertain input at its low, at
        its high; the second at its low, ...; its columns are the jobs.
    """
    keys = list(jobs[0])
    rows = [[job[key] for job in jobs] for key in keys]
    moved = [
        key for key, line in zip(keys, rows, strict=True) if any(uncertain(row) for row in line)
    ]
    shape = (1 + 2 * len(moved), len(jobs))
    columns: dict[str, np.ndarray] = {}
    for key, line in zip(keys, rows, strict=True):
        columns[key] = np.array([[row.value for row in line]], float)
    for place, key in enumerate(moved):
        column = np.repeat(columns[key], shape[0], axis=0)
        for number, job in enumerate(jobs):
            row = job[key]
            if uncertain(row):
                column[1 + 2 * place : 3 + 2 * place, number] = row.low, row.high
        columns[key] = column
    found = chain.evaluate(columns)
    return moved, {
        name: np.broadcast_to(np.asarray(column, float), shape) for name, column in found.items()
    }


def ends(table: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return (low, high) of figures from their rows of `moved_alone`, along the last axis but one."""
    likely = table[..., :1, :]
    away = table[..., 1:, :] - likely
    pairs = away.reshape(*away.shape[:-2], away.shape[-2] // 2, 2, away.shape[-1])
    down = np.minimum(pairs.min(axis=-2), 0.0)
    up = np.maximum(pairs.max(axis=-2), 0.0)
    low = likely[..., 0, :] - np.hypot.reduce(down, axis=-2, initial=0.0)
    high = likely[..., 0, :] + np.hypot.reduce(up, axis=-2, initial=0.0)
    return low, high


def ranges(chain: Chain, inputs: Mapping[str, Row]) -> dict[str, Span]:
    """Return (low, high) of each input and figure of one job."""
    _, found = moved_alone(chain, [inputs])
    low, high = ends(np.stack(list(found.values())))
    return dict(zip(found, zip(low[:, 0].tolist(), high[:, 0].tolist(), strict=True), strict=True))
