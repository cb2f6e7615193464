"""Heat flow in a thin sheet with an open kerf, by finite volumes.

rho c t dT/dt = div(k t grad T) - (h_top + h_bottom)(T - T_ambient) + q

The temperature is uniform through the thickness (a 1 mm sheet's Biot number
is below 0.001).  Patch and panel are joined nowhere but where a tack or
stitch has been welded.  Heat of a weld enters along its path over its
duration, half on each side of the kerf.
"""

from __future__ import annotations

import copy
import math
import threading
from collections.abc import Callable, Sequence
from functools import cached_property
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np
from shapely.geometry import LineString

from .conduction import conduct
from .grid import GridChoice, build
from .kerf import open_kerf
from .placing import place_welds
from .rules import Rules, StartRules
from .state import Held, SheetArrays, State, Timing
from .weld_source import WeldRun
from .workpiece import Workpiece

Order = Sequence[int] | np.ndarray
"""Indices into a model's `welds`, in welding order."""

PART_MM, MOST_ROWS = 50.0, 4
"""Protected lines are followed in parts of about so many mm, three to a row, in at most so many rows:
what several welds send to different places along a long line does not add up."""

Progress = Callable[[str, int, int], object]


class Kernels(NamedTuple):
    """The inner loops: `flow` (heat from step to step), `rule` (when a weld may start)."""

    flow: Any
    rule: Any


_ready = threading.Event()


def kernels(progress: Progress | None = None) -> Kernels:
    """Return the compiled kernels; the first call in a process loads or compiles them."""
    from . import kernel, wait_rule

    if not _ready.is_set():
        if progress:
            progress("preparing the heat solver (compiled once)", 0, 1)
        _ready.set()
        line = LineString([(0, 0), (16, 0)])
        run = WeldRun(np.array([[0.0, 0.0], [8.0, 0.0]]), 1.0, 0.6)
        tiny = SheetModel(Workpiece(line.buffer(16).envelope, [line], 1.0, stitches=[run]))
        tiny.time([0], Rules(60.0))
        if progress:
            progress("preparing the heat solver (compiled once)", 1, 1)
    return Kernels(kernel, wait_rule)


def uncompiled() -> Kernels:
    """Return the same in plain numpy: forty times slower, but there at once."""
    from . import plain

    return Kernels(plain.flow, plain.rule)


class SheetModel:
    """A workpiece cut into cells, ready to be heated.

    Parameters
    ----------
    piece : Workpiece
    choice : GridChoice; its cells and steps
    run_by : `kernels`, or `uncompiled`

    Attributes
    ----------
    tacks, stitches : WeldRuns; together `welds`, tacks first
    grid, kerf : cells, and the open faces between them
    capacity, loss_per_s : what a cell holds, J/K, and loses to the air, 1/s
    placed, probes : where welds heat the sheet and temperatures are read, for the kernel
    lines : how many protected places are followed

    Source
    ------
    Energy balance of a thin sheet, as in Carslaw and Jaeger, Conduction of
    Heat in Solids, 2nd ed. (from memory).
    """

    def __init__(
        self,
        piece: Workpiece,
        choice: GridChoice | None = None,
        run_by: Callable[[], Kernels] = kernels,
    ):
        self.run_by = run_by
        choice = GridChoice() if choice is None else choice
        self.piece, self.choice = piece, choice
        self.tacks, self.stitches, self.welds = piece.tacks, piece.stitches, piece.welds
        self.cell_mm, self.precision, self.steps = choice.cell_mm, choice.precision, choice.steps
        self.ambient_c, self.lines = piece.losses.ambient_c, len(piece.protect)
        self.grid = build(piece.sheet, piece.zones, choice)
        self.kerf = open_kerf(self.grid, piece.seams, cell_mm=choice.cell_mm)
        held = conduct(self.grid, self.kerf, piece, choice.precision)
        self._east, self._north, self._links = held.east, held.north, held.links
        self.kerf_arrays, self.second_rows = held.kerf, held.second_rows
        self.capacity, self.per_capacity = held.capacity, held.per_capacity
        self.loss_per_s, self.explicit_s = held.loss_per_s, held.explicit_s
        self.placed, self.probes = place_welds(self.grid, self.kerf, piece, choice)

    def cold(self) -> State:
        """Return the sheet at ambient with every kerf open."""
        bins = np.zeros(max(int(self.kerf.offset[-1]), 1), np.uint8)
        return State(np.zeros(self.capacity.shape, self.precision), self._east.copy(),
                     self._north.copy(), bins)  # fmt: skip

    def sheet(self, state: State) -> SheetArrays:
        """Return the sheet as it stands in `state`, for the kernel; shares its arrays."""
        return SheetArrays(
            state.east, state.north, self._links, self.per_capacity, self.loss_per_s,
            self.explicit_s, *self.steps,
        )  # fmt: skip

    def time(
        self,
        order: Order,
        rules: Rules,
        *,
        state: State | None = None,
        after: int = -1,
        held: Held | None = None,
        cutoff_s: float = math.inf,
    ) -> Timing:
        """Weld `order` as early as the rules allow.

        Parameters
        ----------
        order : indices into `welds`
        state : where to begin; None: a cold sheet
        after : the weld whose end the arm comes from; -1: it is in place
        held : limits of protected lines, waited for as well, and what each weld is held to less
        cutoff_s : once the order takes longer the rest of the starts are infinite
        """
        return self._weld(order, np.zeros(0), rules, state, after, held, cutoff_s)

    def play(
        self,
        order: Order,
        start_s: Sequence[float] | np.ndarray,
        *,
        state: State | None = None,
        look_ahead_s: float = 0.0,
        peak: np.ndarray | None = None,
    ) -> Timing:
        """Weld `order` (indices into `welds`) at given starts, s.

        The temperatures before each are the highest until look_ahead_s later.
        `peak`, if given, keeps the highest rise of every cell, K.
        """
        rules = Rules(math.inf, look_ahead_s=look_ahead_s)
        return self._weld(order, np.asarray(start_s, float), rules, state, peak=peak)

    def _weld(
        self,
        order: Order,
        fixed: np.ndarray,
        rules: Rules,
        state: State | None,
        after: int = -1,
        held: Held | None = None,
        cutoff_s: float = math.inf,
        peak: np.ndarray | None = None,
    ) -> Timing:
        rule = self.run_by().rule
        now = state.copy() if state is not None else self.cold()
        limit_k = np.full(len(self.welds), float(rules.limit_c - self.ambient_c))
        numbers = StartRules(
            limit_k if held is None else limit_k - held.less_k, float(rules.look_ahead_s),
            float(cutoff_s), float(rules.settle_s), float(rules.move_mm_s), float(now.clock),
            float(after),
        )  # fmt: skip
        watched = np.zeros(self.lines)
        held_k = np.zeros(0) if held is None else np.asarray(held.limit_c, float) - self.ambient_c
        own_peak = np.zeros((len(self.welds), 1)) if held is None else held.own_peak
        order = np.asarray(order, np.int64)
        start, wait, before = rule.time_welds(
            order, fixed, numbers, now.field, self.sheet(now), now.closed, self.kerf_arrays,
            self.placed, self.probes, held_k, own_peak, watched,
            np.zeros((1, 1), self.precision) if peak is None else peak,
        )  # fmt: skip
        begin, end = now.clock, now.clock
        if len(order):
            end = float(start[-1] + self.welds[order[-1]].duration_s)
        now.clock = end
        return Timing(
            start, wait, before + self.ambient_c, begin, end, watched + self.ambient_c, now
        )

    def close(self, state: State, weld: int) -> None:
        """Let the kerf conduct where `weld` bridges it (in place)."""
        begin = self.placed.bins_begin
        self.run_by().flow.close_kerf(
            self.sheet(state), self.kerf_arrays, state.closed, self.placed.bins,
            begin[weld], begin[weld + 1],
        )  # fmt: skip

    def responses(self, state: State, weld: int, times_s: np.ndarray) -> np.ndarray:
        """Return the rises after the arc of `weld` (-1: none), (times, rows, 2, 3), K.

        The highest along each third of each stitch, and the mean; then the same
        of the protected lines' parts, three a row (`line_of_row`).  Changes `state`.
        """
        flow, placed, begin = self.run_by().flow, self.placed, self.placed.begin
        sheet, field = self.sheet(state), state.field
        work = np.zeros((3, *field.shape), self.precision)
        unseen = (self.probes, np.zeros((1, 1), self.precision), np.zeros(0), len(self.welds))
        if weld >= 0:
            flow.arc(
                field, work, sheet, placed.samples, begin[weld], begin[weld + 1],
                placed.energy_j[weld], placed.duration_s[weld], *unseen,
            )  # fmt: skip
        fields = np.empty((times_s.size, field.size), self.precision)
        for n, span in enumerate(np.diff(times_s, prepend=0.0)):
            flow.cool(field, work, sheet, span, span, *unseen)
            fields[n] = field.reshape(-1)
        cells, weights, thirds = self._thirds
        values = (fields[:, cells] * weights).sum(axis=2)
        sizes = np.diff(thirds, append=cells.shape[0])
        highest = np.maximum.reduceat(values, thirds, axis=1)
        mean = np.add.reduceat(values, thirds, axis=1) / sizes.astype(self.precision)
        shape = times_s.size, len(self.stitches) + self.line_of_row.size, 3
        rises = np.stack([highest.reshape(shape), mean.reshape(shape)], axis=2)
        return np.maximum(rises, 0.0)

    @cached_property
    def line_of_row(self) -> np.ndarray:
        """The protected line of each row that `responses` has after those of the stitches."""
        lengths = [place.length for place in self.piece.protect]
        rows = [min(max(math.ceil(mm / (3 * PART_MM)), 1), MOST_ROWS) for mm in lengths]
        return np.repeat(np.arange(self.lines), rows)

    @cached_property
    def _thirds(self) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """The probes of the stitches by thirds, and of the lines by parts: cells, weights, begins."""
        begin, cells, weights = self.probes
        rows, thirds = [], [0]
        parts = [3] * len(self.stitches) + [
            3 * int(count) for count in np.bincount(self.line_of_row, minlength=self.lines)
        ]
        for (first, end), of in zip(pairwise(begin[len(self.tacks) :]), parts, strict=True):
            for k in range(of):
                low, high = k * (end - first) // of, (k + 1) * (end - first) // of
                rows.append(np.arange(first + low, first + max(high, low + 1)))
                thirds.append(thirds[-1] + rows[-1].size)
        chosen = np.concatenate(rows)
        return cells[chosen], weights[chosen], np.array(thirds[:-1])

    def cool(
        self,
        state: State,
        span_s: float,
        *,
        peak: np.ndarray | None = None,
        watched: np.ndarray | None = None,
    ) -> None:
        """Let `state` cool for span_s without an arc (in place)."""
        work: np.ndarray = np.zeros((3, *state.field.shape), self.precision)
        self.run_by().flow.cool(
            state.field, work, self.sheet(state), float(span_s), self.steps[0],
            self.probes, np.zeros((1, 1), self.precision) if peak is None else peak,
            np.zeros(self.lines) if watched is None else watched, len(self.welds),
        )  # fmt: skip
        state.clock += span_s

    def read(self, state: State) -> np.ndarray:
        """Return the highest temperature along each weld, then at each protected line, deg C."""
        begin, cells, weights = self.probes
        values = (weights * state.field.reshape(-1)[cells]).sum(axis=1)
        lines = [values[a:b].max() for a, b in pairwise(begin)]
        return np.array(lines, float) + self.ambient_c

    def varied(
        self, *, energy: float = 1.0, conductivity: float = 1.0, film: float = 1.0
    ) -> SheetModel:
        """Return this model with heat input, conductivity and face losses scaled."""
        other = copy.copy(self)
        other.placed = self.placed._replace(energy_j=self.placed.energy_j * energy)
        real = self.precision
        other._east = (self._east * conductivity).astype(real)
        other._north = (self._north * conductivity).astype(real)
        other._links = self._links._replace(
            conductance=self._links.conductance * real(conductivity)
        )
        share = self.kerf_arrays.share * real(conductivity)
        other.kerf_arrays = self.kerf_arrays._replace(share=share)
        other.loss_per_s = self.loss_per_s * real(film)
        slower = 1 / self.explicit_s + max(0.0, film - 1) * float(self.loss_per_s.max())
        other.explicit_s = 1 / (slower * max(conductivity, 1.0))
        return other
