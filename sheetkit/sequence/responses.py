"""Tables of what each weld does to every other, by which orders are ranked."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import numpy as np

from ..heat.sheet_model import SheetModel, kernels
from ..heat.state import State

TABLE_S = 650.0


WORKERS = max(1, min(2, os.cpu_count() or 1))


def in_threads(work: Callable[[Any], Any], items: Iterable) -> list:
    """Return work(item) for each item; the kernels run outside the interpreter lock."""
    with ThreadPoolExecutor(WORKERS) as pool:
        return list(pool.map(work, items))


class Tables:
    """What each stitch sends to each other over time, by the solver with its kerf.

    Two sets: the seam only tacked, and all of it welded; an order's estimate
    goes from one to the other as the seam closes.  Rises are the highest over
    the look-ahead, for both ends and the middle of each stitch.
    """

    def __init__(
        self,
        model: SheetModel,
        tacked: State,
        *,
        first: int,
        look_ahead_s: float,
        watch: Callable[[int, int], bool],
    ):
        flow, rule = kernels()
        from . import kernel as sequence_kernel

        self.kernel = sequence_kernel
        count = len(model.stitches)
        lines = len(model.welds) + model.lines
        times = [0.0, 0.6]
        while times[-1] < TABLE_S:
            times.append(times[-1] + min(1.2 * (times[-1] - times[-2]), 20.0))
        self.times = np.array(times)
        open_kerf = model.cold()
        open_kerf.east[:], open_kerf.north[:] = tacked.east, tacked.north
        open_kerf.closed[:] = tacked.closed
        whole = open_kerf.copy()
        bins_begin, bins = model._weld_arrays[:2]

        def close(state, weld):
            flow.close_kerf(
                model._sheet(state), model._kerf_arrays, state.closed, bins,
                bins_begin[weld], bins_begin[weld + 1],
            )  # fmt: skip

        for weld in range(first, first + count):
            close(whole, weld)

        def response(state, weld):
            out = np.zeros((self.times.size, lines, 3), np.float32)
            rule.respond(
                weld, state.field, model._sheet(state), model._weld_arrays, model._probes,
                self.times[1:], out[1:], lines,
            )  # fmt: skip
            out[0] = out[1]
            return out

        own = np.zeros((len(model.welds), max(model.lines, 1)))
        table = np.zeros((count, count, self.times.size, 6), np.float32)

        def fill(stitch):
            if watch(stitch, count):
                return False
            for state, part in ((open_kerf, 0), (whole, 3)):
                now = state.copy()
                close(now, first + stitch)
                out = response(now, first + stitch)
                if model.lines:
                    highest = out[:, len(model.welds) :].max(axis=(0, 2))
                    own[first + stitch] = np.maximum(own[first + stitch], highest)
                ahead = self._ahead(out[:, first : first + count], look_ahead_s)
                table[:, stitch, :, part : part + 3] = ahead.transpose(1, 0, 2)
            return True

        self.complete = all(in_threads(fill, range(count)))
        now = tacked.copy()
        base = response(now, -1)[:, first : first + count]
        at = np.arange(0.0, sequence_kernel.HORIZON_S, sequence_kernel.RESOLUTION_S)
        at += sequence_kernel.RESOLUTION_S / 2
        index = np.searchsorted(self.times, at) - 1
        share = (at - self.times[index]) / np.diff(self.times)[index]
        base = np.ascontiguousarray(self._ahead(base, look_ahead_s))
        self.own_peak, self.arrays = own, (base, table, index, share)

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
