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
from itertools import pairwise
from types import ModuleType
from typing import NamedTuple

import numpy as np
import shapely
from shapely.geometry import LineString
from shapely.geometry.base import BaseGeometry

from ..base.errors import check, refuse
from .air import SURFACE_C, surface_coefficient
from .grid import build
from .kerf import open_kerf
from .placing import place_welds
from .state import State, Timing, default_margin_mm
from .steel import CONDUCTIVITY_W_MK, HEAT_CAPACITY_J_MM3K
from .weld_source import WeldRun

Progress = Callable[[str, int, int], object]


class Kernels(NamedTuple):
    """The compiled modules: `flow` (heat from step to step), `rule` (when a weld may start)."""

    flow: ModuleType
    rule: ModuleType


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
        tiny = SheetModel(line.buffer(16).envelope, [line], thickness_mm=1.0, stitches=[run])
        tiny.time([0], limit_c=60.0)
        if progress:
            progress("preparing the heat solver (compiled once)", 1, 1)
    return Kernels(kernel, wait_rule)


class SheetModel:
    """A panel with seams, tacks and stitches, ready to be heated.

    Parameters
    ----------
    panel : Polygon, MultiPolygon or None, mm
        May have holes.  None: a box around the seams, `default_margin_mm` wide.
    seams : LineStrings or rings, mm: the open kerf
    thickness_mm : 0.3 to 6
    tacks, stitches : WeldRuns; together `welds`, tacks first
    cell_mm : cell size along the seams, 0.25 to 20
    far_growth, far_cell_mm : growth of cells away from the seams, and their limit
    conductivity_w_mk : 5 to 400
    heat_capacity_j_mm3k : density x specific heat, 1e-3 to 1e-2
    h_top, h_bottom : loss of the faces, W/(m² K), 0 to 500; None: `surface_coefficient`
        of a horizontal sheet at 60 degC
    ambient_c : -40 to 60; the sheet's temperature before the first weld
    edges : "insulated", or a surface coefficient of the panel's edges, W/(m² K)
    protect : shapely points or lines whose temperature is followed
    steps : longest step while the arc burns and first step after it, s; growth
        from step to step; longest step, s
    precision : numpy float type of the field

    Source
    ------
    Energy balance of a thin sheet, as in Carslaw and Jaeger, Conduction of
    Heat in Solids, 2nd ed. (from memory).
    """

    def __init__(
        self,
        panel: BaseGeometry | None,
        seams: Sequence[BaseGeometry],
        *,
        thickness_mm: float,
        tacks: Sequence[WeldRun] = (),
        stitches: Sequence[WeldRun] = (),
        cell_mm: float = 4.0,
        far_growth: float = 1.15,
        far_cell_mm: float = 32.0,
        conductivity_w_mk: float = CONDUCTIVITY_W_MK,
        heat_capacity_j_mm3k: float = HEAT_CAPACITY_J_MM3K,
        h_top: float | None = None,
        h_bottom: float | None = None,
        ambient_c: float = 20.0,
        edges: float | str = "insulated",
        protect: Sequence[BaseGeometry] = (),
        steps: tuple[float, float, float] = (0.6, 1.2, 20.0),
        precision: type = np.float32,
    ):
        check("thickness_mm", thickness_mm, 0.3, 6, "mm")
        check("cell_mm", cell_mm, 0.25, 20, "mm")
        check("far_growth", far_growth, 1.0, 2.0)
        check("conductivity_w_mk", conductivity_w_mk, 5, 400, "W/(m K)")
        check("heat_capacity_j_mm3k", heat_capacity_j_mm3k, 1e-3, 1e-2, "J/(mm³ K)")
        check("ambient_c", ambient_c, -40, 60, "degC")
        surface_c = max(SURFACE_C, ambient_c + 20)
        if h_top is None:
            h_top = surface_coefficient(surface_c, ambient_c, facing="up")
        if h_bottom is None:
            h_bottom = surface_coefficient(surface_c, ambient_c, facing="down")
        check("h_top", h_top, 0, 500, "W/(m² K)")
        check("h_bottom", h_bottom, 0, 500, "W/(m² K)")
        self.tacks, self.stitches = tuple(tacks), tuple(stitches)
        self.welds = self.tacks + self.stitches
        seams = [LineString(seam) if seam.geom_type == "LinearRing" else seam for seam in seams]
        for seam in seams:
            if seam.geom_type != "LineString" or seam.is_empty or seam.length < 1:
                refuse(
                    "seams", seam.geom_type, "must be lines of at least 1 mm", "give LineStrings"
                )
        if panel is None:
            reach = [*seams, *(shapely.linestrings(weld.path) for weld in self.welds), *protect]
            if not reach:
                refuse("panel", None, "needs a panel, seams or welds", "give one of them")
            margin = default_margin_mm(thickness_mm, conductivity_w_mk, h_top, h_bottom)
            panel = shapely.box(*(shapely.total_bounds(reach) + margin * np.array([-1, -1, 1, 1])))
        if panel.is_empty or panel.area < 100 or not panel.is_valid:
            refuse(
                "panel", panel.geom_type, "must be a valid polygon over 100 mm²", "mend its outline"
            )
        self.panel, self.thickness_mm, self.cell_mm = panel, thickness_mm, cell_mm
        self.conductivity_w_mk, self.heat_capacity_j_mm3k = conductivity_w_mk, heat_capacity_j_mm3k
        self.h_top, self.h_bottom, self.ambient_c = float(h_top), float(h_bottom), ambient_c
        self.precision, self.steps = precision, tuple(float(s) for s in steps)
        zones = seams or [shapely.linestrings(weld.path) for weld in self.welds] or [panel]
        self.grid = build(
            panel, zones, cell_mm=cell_mm, far_growth=far_growth, far_cell_mm=far_cell_mm
        )
        self.kerf = open_kerf(self.grid, seams, cell_mm=cell_mm)
        self.lossy_edges = edges != "insulated"
        self._conduct(0.0 if edges == "insulated" else check("edges", float(edges), 0, 1e5))
        self._weld_arrays, self._probes = place_welds(
            self.grid, self.kerf, self.welds, protect, cell_mm=cell_mm, precision=precision
        )
        self.lines = len(protect)

    def _conduct(self, edge: float) -> None:
        """Form conductances (W/K), 1/capacity (K/J), loss rate (1/s) and the stable step (s)."""
        grid, kt = self.grid, self.conductivity_w_mk / 1000 * self.thickness_mm
        dx, dy, active = np.diff(grid.x_faces), np.diff(grid.y_faces), grid.active
        live = active > 0
        east, north = np.zeros(grid.shape), np.zeros(grid.shape)
        open_x = np.minimum(active[:, :-1], active[:, 1:])
        east[:, :-1] = kt * np.outer(dy, 1 / np.diff(grid.x)) * open_x
        open_y = np.minimum(active[:-1], active[1:])
        north[:-1] = kt * np.outer(1 / np.diff(grid.y), dx) * open_y
        if edge > 0:
            film = edge * 1e-6 * self.thickness_mm
            rim_x, rim_y = live[:, :-1] ^ live[:, 1:], live[:-1] ^ live[1:]
            through = dy[:, None] / (0.5 * np.minimum(dx[:-1], dx[1:])[None] / kt + 1 / film)
            east[:, :-1] = np.where(rim_x, through, east[:, :-1])
            through = dx[None] / (0.5 * np.minimum(dy[:-1], dy[1:])[:, None] / kt + 1 / film)
            north[:-1] = np.where(rim_y, through, north[:-1])
        self.capacity = grid.area_mm2 * self.thickness_mm * self.heat_capacity_j_mm3k
        inverse = np.divide(1.0, self.capacity, out=np.zeros(grid.shape), where=live)
        self.loss_per_s = (
            (self.h_top + self.h_bottom) * 1e-6 / (self.heat_capacity_j_mm3k * self.thickness_mm)
        )
        total = east + north
        total[:, 1:] += east[:, :-1]
        total[1:] += north[:-1]
        self.explicit_s = 0.99 / float((total * inverse).max() + self.loss_per_s)
        flat = [east.reshape(-1), north.reshape(-1)]
        kerf = self.kerf
        share = np.zeros(kerf.face_cell.size)
        for side in (0, 1):
            mine = kerf.face_north == side
            share[mine] = flat[side][kerf.face_cell[mine]] / np.maximum(kerf.face_bins[mine], 1)
            flat[side][kerf.face_cell[mine]] = 0.0
        real = self.precision
        self._east, self._north = east.astype(real), north.astype(real)
        self._inverse = inverse.astype(real)
        self._kerf_arrays = (kerf.bin_face, kerf.face_north, kerf.face_cell, share.astype(real))

    def cold(self) -> State:
        """Return the sheet at ambient with every kerf open."""
        bins = np.zeros(max(int(self.kerf.offset[-1]), 1), np.uint8)
        return State(np.zeros(self.grid.shape, self.precision), self._east.copy(),
                     self._north.copy(), bins)  # fmt: skip

    def _sheet(self, state: State) -> tuple:
        return (
            state.east,
            state.north,
            self._inverse,
            self.loss_per_s,
            self.explicit_s,
            *self.steps,
        )

    def time(
        self,
        order: Sequence[int],
        *,
        start_s: Sequence[float] | None = None,
        limit_c: float = 1e6,
        look_ahead_s: float = 20.0,
        cutoff_s: float = math.inf,
        settle_s: float = 3.0,
        move_mm_s: float = 100.0,
        state: State | None = None,
        after: int = -1,
        held_c: Sequence[float] = (),
        own_peak: np.ndarray | None = None,
        peak: np.ndarray | None = None,
    ) -> Timing:
        """Weld `order` (indices into `welds`) as early as the limit allows, or at `start_s`.

        A weld starts when the arm is there (settle + distance / speed) and the
        temperature along it, without its own heat, stays at or below limit_c
        from its start to look_ahead_s later.  `held_c` are limits of the first
        protected lines, `own_peak` (welds, lines) what each weld adds there.
        The arm comes from the end of weld `after` (-1: it is in place).  Once
        the order takes longer than `cutoff_s` the rest of the starts are inf.
        """
        rule = kernels().rule
        now = state.copy() if state is not None else self.cold()
        fixed = np.asarray([] if start_s is None else start_s, float)
        rules = (float(limit_c - self.ambient_c), float(look_ahead_s), float(cutoff_s),
                 float(settle_s), float(move_mm_s), float(now.clock), float(after))  # fmt: skip
        watched = np.zeros(self.lines)
        held = np.asarray(held_c, float) - self.ambient_c
        if own_peak is None:
            own_peak = np.zeros((len(self.welds), max(held.size, 1)))
        order = np.asarray(order, np.int64)
        start, wait, before = rule.time_welds(
            order, fixed, rules, now.field, self._sheet(now), now.closed, self._kerf_arrays,
            self._weld_arrays, self._probes, held, own_peak, watched,
            np.zeros((1, 1), self.precision) if peak is None else peak,
        )  # fmt: skip
        end = float(start[-1] + self.welds[order[-1]].duration_s) if len(order) else now.clock
        now.clock = end
        return Timing(start, wait, before + self.ambient_c, end, watched + self.ambient_c, now)

    def cool(self, state: State, span_s: float, *, peak=None, watched=None) -> None:
        """Let `state` cool for span_s without an arc (in place)."""
        flow = kernels().flow
        work = np.zeros((3, *self.grid.shape), self.precision)
        flow.cool(
            state.field, work, self._sheet(state), float(span_s), self.steps[0],
            self._probes, np.zeros((1, 1), self.precision) if peak is None else peak,
            np.zeros(self.lines) if watched is None else watched, len(self.welds),
        )  # fmt: skip
        state.clock += span_s

    def read(self, state: State) -> np.ndarray:
        """Return the highest temperature along each weld, then at each protected line, deg C."""
        begin, cells, weights = self._probes
        values = (weights * state.field.reshape(-1)[cells]).sum(axis=1)
        lines = [values[a:b].max() for a, b in pairwise(begin)]
        return np.array(lines, float) + self.ambient_c

    def varied(self, *, energy: float = 1.0, conductivity: float = 1.0, film: float = 1.0):
        """Return this model with heat input, conductivity and face losses scaled."""
        other = copy.copy(self)
        welds = self._weld_arrays
        other._weld_arrays = welds._replace(energy_j=welds.energy_j * energy)
        other._east, other._north = self._east * conductivity, self._north * conductivity
        *faces, share = self._kerf_arrays
        other._kerf_arrays = (*faces, share * self.precision(conductivity))
        other._east = other._east.astype(self.precision)
        other._north = other._north.astype(self.precision)
        other.loss_per_s = self.loss_per_s * film
        slower = 1 / self.explicit_s + max(0.0, film - 1) * self.loss_per_s
        other.explicit_s = 1 / (slower * max(conductivity, 1.0))
        return other
