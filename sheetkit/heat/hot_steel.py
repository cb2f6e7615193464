"""A run with the properties of EN 1993-1-2: conductivity and specific heat vary with temperature.

The heat content per volume H is what is marched, so that heat is kept although
the specific heat peaks at 735 degC: within a step the properties stand still,
the step's change of heat is added to H, and T follows from H.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from ..base.steel import DENSITY_KG_M3
from .conduction import diagonal
from .sheet_model import SheetModel
from .state import State
from .steel import conductivity_en1993, specific_heat_en1993

_T = np.concatenate([np.arange(-60.0, 1201.0), [20_000.0]])
_C = DENSITY_KG_M3 * 1e-9 * specific_heat_en1993(_T)
_H = np.concatenate([[0.0], np.cumsum((_C[1:] + _C[:-1]) / 2 * np.diff(_T))])
_H[-1] = _H[-2] + _C[-2] * (_T[-1] - _T[-2])


def heat_content(temperature_c):
    """Heat content of steel above -60 degC, J/mm³, by EN 1993-1-2:2005 clause 3.4.1.2."""
    return np.interp(temperature_c, _T, _H)


def temperature_of(content_j_mm3):
    """Temperature at a heat content, deg C: the inverse of `heat_content`."""
    return np.interp(content_j_mm3, _H, _T)


class SteelStepper:
    """Marches a `State` with temperature-dependent properties, a step at a time."""

    def __init__(self, model: SheetModel, kernel):
        self.model, self.kernel = model, kernel
        self.live = model.capacity > 0
        self.volume = model.capacity / model.piece.steel.heat_capacity_j_mm3k
        self.loss_w_mm3k = model.loss_per_s * model.piece.steel.heat_capacity_j_mm3k
        self.lossless = np.zeros((1, model.grid.shape[1]), model.precision)
        self.base_k = model.piece.steel.conductivity_w_mk

    def _step(self, state: State, dt: float, source_w: np.ndarray | None) -> None:
        model, real = self.model, self.model.precision
        links = model.sheet(state).links
        celsius = state.field.astype(float) + model.ambient_c
        k = conductivity_en1993(celsius) / self.base_k
        c = DENSITY_KG_M3 * 1e-9 * specific_heat_en1993(celsius)
        east, north = state.east.astype(float), state.north.astype(float)
        east[:, :-1] *= (k[:, 1:] + k[:, :-1]) / 2
        north[:-1] *= (k[1:] + k[:-1]) / 2
        inverse = np.divide(1.0, self.volume * c, out=np.zeros_like(c), where=self.live)
        reach = diagonal(east, north, links)
        explicit = 0.99 / float((reach * inverse).max() + 1e-12)
        work: np.ndarray = np.zeros((3, *state.field.shape), real)
        arrays = east.astype(real), north.astype(real), links, inverse.astype(real)
        self.kernel.rate_of_change(work[2], state.field, *arrays, self.lossless)
        if source_w is not None:
            work[2] += (source_w * inverse).astype(real)
        change = np.zeros_like(state.field)
        self.kernel.step(change, work, *arrays, self.lossless, explicit, dt)
        content = heat_content(celsius) + c * change
        cooled = temperature_of(content) - model.ambient_c
        content -= c * cooled * -np.expm1(-self.loss_w_mm3k * dt / c)
        rise = temperature_of(content) - model.ambient_c
        state.field[:] = np.where(self.live, rise, 0.0)
        state.clock += dt

    def _watch(self, state: State, peak, watched) -> None:
        if peak is not None:
            np.maximum(peak, state.field, out=peak)
        if watched is not None and watched.size:
            lines = self.model.read(state)[len(self.model.welds) :] - self.model.ambient_c
            np.maximum(watched, lines, out=watched)

    def cool(self, state: State, span_s: float, *, peak=None, watched=None) -> None:
        """Let `state` cool for span_s without an arc (in place)."""
        step, growth, longest = self.model.steps
        left = span_s
        while left > 1e-9:
            now = min(step, left)
            self._step(state, now, None)
            self._watch(state, peak, watched)
            left -= now
            step = min(step * growth, longest)

    def weld(self, state: State, weld: int, *, peak=None, watched=None) -> None:
        """Weld number `weld` of the model, from now on (in place)."""
        model, placed = self.model, self.model.placed
        cells, weights = placed.samples
        model.close(state, weld)
        energy_j, duration_s = placed.energy_j[weld], placed.duration_s[weld]
        first, last = placed.begin[weld], placed.begin[weld + 1]
        parts = max(1, int(np.ceil(duration_s / min(model.steps[0], 0.3))))
        edges = np.linspace(0, last - first, parts + 1)
        dt = duration_s / parts
        for low, high in pairwise(edges):
            n = np.arange(int(low), int(np.ceil(high - 1e-9)))
            share = (np.minimum(high, n + 1) - np.maximum(low, n)) / (last - first)
            watts = np.zeros(state.field.size)
            power = weights[first + n] * (share * energy_j / dt)[:, None]
            np.add.at(watts, cells[first + n].ravel(), power.ravel())
            self._step(state, dt, watts.reshape(state.field.shape))
            self._watch(state, peak, watched)
