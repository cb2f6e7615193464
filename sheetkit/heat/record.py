"""A given schedule of welds played through: frames, curves, peaks and the heat balance."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..base.errors import check, refuse
from .grid import Grid
from .hot_steel import SteelStepper, heat_content
from .sheet_model import SheetModel, kernels
from .state import State

MOST_FRAMES = 20_000


@dataclass(frozen=True)
class HeatRun:
    """What a schedule does to the sheet.

    time_s : (n,) recorded times, s
    frames_c : (n, rows, columns) deg C, NaN off the panel; cell centres in x_mm, y_mm
    welds_c : (n, welds) highest temperature along each weld, deg C
    points_c : (n, lines) highest temperature at each protected point or line
    peak_c : (rows, columns) highest temperature each cell reached, deg C
    points_peak_c : (lines,) highest of all steps, not only of the recorded times
    input_j, held_j, lost_j : heat put in, held by the sheet at the end, and lost
        from both faces by the closed form exp(-b t); lost_j is NaN with lossy
        edges, overlapping sheets or temperature-dependent properties
    """

    grid: Grid
    time_s: np.ndarray
    frames_c: np.ndarray
    welds_c: np.ndarray
    points_c: np.ndarray
    peak_c: np.ndarray
    points_peak_c: np.ndarray
    input_j: float
    held_j: float
    lost_j: float

    @property
    def x_mm(self) -> np.ndarray:
        """Centres of the frames' columns, mm."""
        return self.grid.x[1 : 1 + self.grid.columns]

    @property
    def y_mm(self) -> np.ndarray:
        """Centres of the frames' rows, mm."""
        return self.grid.y[1:-1]

    @property
    def imbalance(self) -> float:
        """(input - held - lost) / input: what the arithmetic has mislaid."""
        return (self.input_j - self.held_j - self.lost_j) / self.input_j


def _schedule(model: SheetModel, order, start_s, clock: float) -> tuple[list[int], list[float]]:
    """Return order and starts, checked: one start each, in time, no two arcs at once."""
    order, start = [int(n) for n in order], [float(s) for s in start_s]
    if len(order) != len(start):
        refuse(
            "start_s", f"{len(start)} starts", f"must be {len(order)}, one a weld", "complete it"
        )
    end = clock
    for weld, begin in zip(order, start, strict=True):
        if not 0 <= weld < len(model.welds):
            refuse(
                "order", weld, f"must be 0 to {len(model.welds) - 1}", "name a weld of the model"
            )
        if not begin >= end - 1e-9:
            refuse("start_s", f"{begin:g} s", f"the arc is busy until {end:g} s", "start later")
        end = begin + model.welds[weld].duration_s
    return order, start


def simulate(
    model: SheetModel,
    order: Sequence[int],
    start_s: Sequence[float],
    *,
    until_s: float | None = None,
    every_s: float | None = None,
    state: State | None = None,
    frames: bool = True,
    properties: str = "constant",
) -> HeatRun:
    """Weld `order` (indices into the model's `welds`) at the given starts; record what happens.

    Records every `every_s` (a hundredth of the run by default; times that
    fall into an arc move to its end) until `until_s` (the last arc's end).
    `properties`: "constant", or "en1993" for conductivity and specific heat
    that vary with temperature (a hundred times slower).
    """
    if properties not in ("constant", "en1993"):
        refuse("properties", properties, "must be constant or en1993", "choose one of these")
    steel = SteelStepper(model, kernels().flow) if properties == "en1993" else None
    cool = steel.cool if steel else model.cool
    now = model.cold() if state is None else state.copy()
    order, start = _schedule(model, order, start_s, now.clock)
    last = start[-1] + model.welds[order[-1]].duration_s if order else now.clock
    until = last if until_s is None else max(float(until_s), last)
    every = max((until - now.clock) / 100, 1e-3) if every_s is None else float(every_s)
    check("every_s", every, (until - now.clock) / MOST_FRAMES, 1e9, "s")
    due = [*np.arange(now.clock, until - 1e-6, every), until]
    loss, rate = float(model.loss_per_s.max()), model.capacity
    held_by_form = float((now.field * rate).sum()) * np.exp(-loss * (until - now.clock))
    put_in = float((now.field * rate).sum())
    for weld, begin in zip(order, start, strict=True):
        run = model.welds[weld]
        put_in += run.energy_j
        build_up = -np.expm1(-loss * run.duration_s) / (loss * run.duration_s) if loss else 1.0
        held_by_form += run.energy_j * build_up * np.exp(-loss * (until - begin - run.duration_s))
    grid = model.grid
    live = grid.inner(grid.active) > 0
    peak, watched = now.field.copy(), np.zeros(model.lines)
    times, pictures, welds, points = [], [], [], []

    def record(at):
        if frames:
            pictures.append(np.where(live, grid.inner(now.field) + model.ambient_c, np.nan))
        times.append(at)
        lines = model.read(now)
        welds.append(lines[: len(model.welds)])
        points.append(lines[len(model.welds) :])

    steps: list[tuple[int | None, float]] = [*zip(order, start, strict=True), (None, until)]
    for now_due, begin in steps:
        while due and due[0] <= begin + 1e-9:
            if due[0] > now.clock:
                cool(now, due[0] - now.clock, peak=peak, watched=watched)
            record(now.clock)
            due.pop(0)
        if now_due is None:
            break
        if steel:
            steel.cool(now, begin - now.clock, peak=peak, watched=watched)
            steel.weld(now, now_due, peak=peak, watched=watched)
        else:
            timing = model.play([now_due], [begin], state=now, peak=peak)
            now = timing.state
            watched = np.maximum(watched, timing.points_peak_c - model.ambient_c)
        while due and due[0] < now.clock:
            due.pop(0)
            if not due or due[0] >= now.clock:
                record(now.clock)
    held = float((now.field.astype(float) * rate).sum())
    if steel:
        gained = heat_content(now.field.astype(float) + model.ambient_c) - heat_content(
            model.ambient_c
        )
        held = float((gained * steel.volume)[steel.live].sum())
    uneven = model.piece.losses.edges > 0 or model.piece.overlap is not None
    lost = float("nan") if steel or uneven else put_in - held_by_form
    return HeatRun(
        grid, np.array(times), np.array(pictures, np.float32), np.array(welds),
        np.array(points), np.where(live, grid.inner(peak) + model.ambient_c, np.nan),
        watched + model.ambient_c, put_in, held, lost,
    )  # fmt: skip
