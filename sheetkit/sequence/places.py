"""Places that must stay cool while one welds: what each weld does to them, and what waits can do."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from shapely.geometry.base import BaseGeometry

from ..heat.sheet_model import SheetModel
from ..heat.state import Held
from .responses import TABLE_S, in_threads

MOST_ON_FINE = 60
"""With more welds than this what each adds is reckoned on the coarse grid first."""
AS_COLD = 0.95
"""A place with this share of its allowance left counts as cold."""
OVER_K = 0.5
"""A place is called over its limit from here on: less can't be shown in whole degrees."""


@dataclass(frozen=True)
class CoolPlace:
    """A place that must stay cool.

    name : need not be different from others'; place : shapely point or line, mm
    limit_c : deg C
    held : starts wait for it; False: it is followed, but will be taken off
    """

    name: str
    place: BaseGeometry
    limit_c: float
    held: bool = True


@dataclass(frozen=True)
class PlacePeak:
    """How hot a place that must stay cool gets, tacking included, deg C.

    peak_c : the higher of the plan's grid and the finer one
    alone_c : by the worst tack or stitch alone, from a cold sheet
    held : starts wait for it
    """

    name: str
    peak_c: float
    limit_c: float
    alone_c: float
    held: bool

    @property
    def over(self) -> bool:
        """Whether it gets hotter than it may."""
        return self.peak_c > self.limit_c + OVER_K

    @property
    def beyond_waiting(self) -> bool:
        """Whether one tack or stitch alone makes it hotter than it may: no wait can help."""
        return self.alone_c > self.limit_c


class Places:
    """The places of one planning run.

    alone_c : by the worst weld alone, deg C; own_peak : (welds, places) what each adds, K
    """

    def __init__(
        self,
        places: Sequence[CoolPlace],
        models: tuple[SheetModel, SheetModel, SheetModel],
        watch: Callable[[int, int], bool],
    ):
        self.places = tuple(places)
        fine, coarse, checked = models
        self.ambient_c = fine.ambient_c
        self.limits_c = np.array([one.limit_c for one in places], float)
        self.own_peak = np.zeros((len(fine.welds), max(len(places), 1)))
        if places:
            model = fine if len(fine.welds) <= MOST_ON_FINE else coarse
            self.own_peak = _own_peaks(model, range(len(model.welds)), watch)
            worst = self.own_peak.argmax(axis=0)
            finer = _own_peaks(checked, sorted({int(n) for n in worst}), watch)
            for place, weld in enumerate(worst):  # near a weld a coarse grid reads low
                found, right = self.own_peak[weld, place], finer[weld, place]
                self.own_peak[:, place] *= max(right / max(found, 1e-9), 1.0)
        self.alone_c = self.ambient_c + self.own_peak.max(axis=0)[: len(places)]
        self.held = np.array([one.held for one in places], bool) & (self.alone_c <= self.limits_c)

    def hold(self, limits_c: np.ndarray | None = None, less_k: np.ndarray | None = None) -> Held:
        """Return the limits (theirs, or lower ones) of those waits can help.

        A weld that alone takes nearly all of the allowance waits until the place is
        as good as cold, not until it is colder than that.  less_k : what each weld
        is held to less than the interpass limit.
        """
        limits_c = self.limits_c if limits_c is None else limits_c
        own, less = self.own_peak, np.zeros(len(self.own_peak)) if less_k is None else less_k
        if not self.held.any():
            return Held(np.zeros(0), own, less)
        own = np.minimum(own, AS_COLD * (limits_c - self.ambient_c))
        return Held(np.where(self.held, limits_c, np.inf), own, less)

    def over(self, *peaks_c: np.ndarray) -> np.ndarray:
        """Return by how much those that are waited for are over their limits, K; 0 for the rest."""
        return np.where(self.held, np.maximum(np.max(peaks_c, axis=0) - self.limits_c, 0.0), 0.0)

    def peaks(self, *peaks_c: np.ndarray) -> tuple[PlacePeak, ...]:
        """Return the places with the highest of these temperatures, in the order given."""
        rows = zip(self.places, np.max(peaks_c, axis=0), self.alone_c, self.held, strict=True)
        return tuple(
            PlacePeak(one.name, float(peak), float(one.limit_c), float(alone), bool(held))
            for one, peak, alone, held in rows
        )


def _own_peaks(
    model: SheetModel, welds: Sequence[int], watch: Callable[[int, int], bool]
) -> np.ndarray:
    """Return (welds, places) what each of `welds` adds at each protected place, K.

    Tacks on a sheet that nothing joins yet, stitches on one that is tacked.
    """
    own = np.zeros((len(model.welds), model.lines))
    tacked, tacks = model.cold(), len(model.tacks)
    for weld in range(tacks):
        model.close(tacked, weld)

    def fill(weld: int) -> None:
        if not watch(weld, len(model.welds)):
            alone = model.play([weld], [0.0], state=tacked if weld >= tacks else None)
            own[weld] = alone.points_peak_c - model.ambient_c
            model.cool(alone.state, TABLE_S, watched=own[weld])

    in_threads(fill, welds)
    return own
