"""Tables of what each weld does to every other, by which orders are ranked."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import Any, NamedTuple

import numpy as np

from ..heat.sheet_model import SheetModel
from ..heat.state import State

TABLE_S = 650.0
"""How long after its arc a weld's heat is followed: what is left then is a few parts in a hundred."""
WORKERS = max(1, min(2, os.cpu_count() or 1))


def in_threads(work: Callable[[Any], Any], items: Iterable) -> list:
    """Return work(item) for each item; the kernels run outside the interpreter lock."""
    with ThreadPoolExecutor(WORKERS) as pool:
        return list(pool.map(work, items))


class Responses(NamedTuple):
    """What each stitch sends to each other, K, as the estimate takes it.

    base : (times, rows, 3) what the tacks left there; a row a stitch, then the held lines' parts
    table : (rows, from stitch, times, 6) thirds with the seam tacked, then with it welded
    times : of the rows, s
    row, share : for every RESOLUTION_S, the time's row before it and how far to the next
    """

    base: np.ndarray
    table: np.ndarray
    row: np.ndarray
    share: np.ndarray
    times: np.ndarray


class Tables:
    """What each stitch sends to each other over time, by the solver with its kerf.

    Two sets: the seam only tacked, and all of it welded; an order's estimate
    goes from one to the other as the seam closes.  Rises are the highest over
    the look-ahead, for both ends and the middle of each stitch.

    mean : along each third the mean is followed, not the highest: sums of these fall
        below what is found, sums of those above
    held : the protected lines that starts wait for; theirs are the rows after the stitches'
    line_of_row : the line of each of those rows
    complete : False when `watch` asked to stop
    """

    def __init__(
        self,
        model: SheetModel,
        tacked: State,
        look_ahead_s: float,
        watch: Callable[[int, int], bool],
        *,
        mean: bool = False,
        held: Sequence[int] = (),
    ):
        from . import kernel as sequence_kernel

        self.kernel = sequence_kernel
        first, count = len(model.tacks), len(model.stitches)
        times = [0.0, 0.6]
        while times[-1] < TABLE_S:
            times.append(times[-1] + min(1.2 * (times[-1] - times[-2]), 20.0))
        self.times = np.array(times)
        open_kerf = model.cold()
        open_kerf.east[:], open_kerf.north[:] = tacked.east, tacked.north
        open_kerf.closed[:] = tacked.closed
        whole = open_kerf.copy()
        for weld in range(first, first + count):
            model.close(whole, weld)

        of_held = np.isin(model.line_of_row, held)
        self.line_of_row = model.line_of_row[of_held]
        rows = np.concatenate([np.arange(count), count + np.flatnonzero(of_held)])

        def response(state: State, weld: int) -> np.ndarray:
            later = model.responses(state, weld, self.times[1:])[:, rows, int(mean)]
            return np.concatenate([later[:1], later])

        table = np.zeros((rows.size, count, self.times.size, 6), np.float32)

        def fill(stitch: int) -> bool:
            if watch(stitch, count):
                return False
            for state, part in ((open_kerf, 0), (whole, 3)):
                now = state.copy()
                model.close(now, first + stitch)
                out = response(now, first + stitch)
                ahead = self._ahead(out, look_ahead_s)
                table[:, stitch, :, part : part + 3] = ahead.transpose(1, 0, 2)
            return True

        self.complete = all(in_threads(fill, range(count)))
        base = response(tacked.copy(), -1)
        at = np.arange(0.0, sequence_kernel.HORIZON_S, sequence_kernel.RESOLUTION_S)
        at += sequence_kernel.RESOLUTION_S / 2
        index = np.searchsorted(self.times, at) - 1
        share = (at - self.times[index]) / np.diff(self.times)[index]
        base = np.ascontiguousarray(self._ahead(base, look_ahead_s))
        self.responses = Responses(base, table, index, share, self.times)

    def _ahead(self, values: np.ndarray, look_ahead_s: float) -> np.ndarray:
        """Return, for each time, the highest value from then to look_ahead_s later."""
        out = np.empty_like(values)
        for n, at in enumerate(self.times):
            end = min(at + look_ahead_s, self.times[-1])
            k = max(int(np.searchsorted(self.times, end)), 1)
            u = (end - self.times[k - 1]) / (self.times[k] - self.times[k - 1])
            out[n] = (1 - u) * values[k - 1] + u * values[k]
            if k > n:
                out[n] = np.maximum(out[n], values[n:k].max(axis=0))
        return out
