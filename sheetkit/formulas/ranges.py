"""How far figures can differ: the one home of the rule of ranges."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from ..base.tables import Row
from .chain import Chain, evaluate


def ranges(
    formulas: Mapping[str, Callable], inputs: Mapping[str, Row]
) -> dict[str, tuple[float, float]]:
    """Return each figure's (low, high) when its inputs vary over their ranges.

    Every input is moved alone to each end of its range; the departures are
    added as squares, since the inputs err independently of one another.
    """
    moved = [
        row_name
        for row_name, row in inputs.items()
        if row.low is not None and row.high is not None and row.low < row.high
    ]
    size = 1 + 2 * len(moved)
    columns = {name: np.full(size, row.value) for name, row in inputs.items()}
    for k, name in enumerate(moved):
        columns[name][1 + 2 * k] = inputs[name].low
        columns[name][2 + 2 * k] = inputs[name].high
    known = evaluate(formulas, columns)
    table = np.empty((len(known), size))
    for line, column in zip(table, known.values(), strict=True):
        line[:] = column
    likely = table[:, 0]
    pairs = (table[:, 1:] - table[:, :1]).reshape(len(known), len(moved), 2)
    down = np.minimum(pairs.min(axis=2), 0.0)
    up = np.maximum(pairs.max(axis=2), 0.0)
    low = likely - np.hypot.reduce(down, axis=1, initial=0.0)
    high = likely + np.hypot.reduce(up, axis=1, initial=0.0)
    return dict(zip(known, zip(low.tolist(), high.tolist(), strict=True), strict=True))


def uncertain(row: Row) -> bool:
    """Say whether an input has a range."""
    return row.low is not None and row.high is not None and row.low < row.high


def _moved(formulas: Chain, inputs: Mapping[str, Row], name: str) -> list[tuple[str, float, float]]:
    """Return (input, total at its low, total at its high), each input moved alone."""
    moved = [key for key, row in inputs.items() if uncertain(row)]
    columns = {key: np.full(2 * len(moved), float(row.value)) for key, row in inputs.items()}
    for k, key in enumerate(moved):
        columns[key][2 * k : 2 * k + 2] = inputs[key].low, inputs[key].high
    total = np.broadcast_to(np.asarray(evaluate(formulas, columns)[name], float), (2 * len(moved),))
    return [(key, float(total[2 * k]), float(total[2 * k + 1])) for k, key in enumerate(moved)]
