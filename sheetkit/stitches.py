"""Seam -> tacks, stitches, dots or plugs: where each one lies along the seam.

A seam is a list of runs (lines), each closed (its first point repeated) or
open.  Positions are mm along a run from its first point.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString
from shapely.ops import substring

from .errors import Fault, OutOfRange, require

MOST_WELDS = 20_000
"""More tacks or stitches than this on one seam means a wrong unit, not a job."""
TACK_LENGTH_MM = 5.0
"""The length of seam one tack closes. Common practice, no source (dots of 4-6 mm)."""


@dataclass(frozen=True)
class Weld:
    """One start of the arc: a tack, a stitch, a group of dots, or a plug.

    `start` and `end` are mm along run `run` of patch `patch`; `round` counts
    the tacking rounds; `dots` is the number of dots in a group.
    """

    kind: str
    patch: int
    run: int
    start: float
    end: float
    round: int = 0
    dots: int = 0

    @property
    def middle(self) -> float:
        """Its middle, mm along the run."""
        return (self.start + self.end) / 2

    @property
    def length(self) -> float:
        """Its length, mm."""
        return self.end - self.start


def _count(field: str, length: float, each: float, remedy: str) -> int:
    """Return how many pieces of at most `each` mm tile `length`, at least one."""
    number = max(1, math.ceil(length / each - 1e-9))
    if number > MOST_WELDS:
        raise OutOfRange(Fault(field, f"{number} of them", f"must be at most {MOST_WELDS}", remedy))
    return number


def tacks(
    run: LineString, *, first: float = 175.0, last: float = 25.0, patch: int = 0, index: int = 0
) -> list[Weld]:
    """Return the tacks of one run: wide apart first, the distance halved each round.

    Parameters
    ----------
    run : LineString, mm
    first : float
        Greatest distance between the tacks of the first round, mm, 20 to 1000.
    last : float
        The rounds go on until no two neighbours are further apart, mm, 5 to 1000.

    Returns
    -------
    list of Weld
        By round, then along the run.  A closed run gets at least 3 in the
        first round, so that the patch can't turn; an open one has one near each end.

    Source
    ------
    First 150-200 mm apart, halved to 12-25 mm: common practice, no source.
    """
    require("tack spacing of the first round", first, 20, 1000, "mm")
    require("weld.tack", last, 5, 1000, "mm")
    length, ring = run.length, run.is_closed
    inset = 0.0 if ring else min(TACK_LENGTH_MM / 2, length / 4)
    usable = length - 2 * inset
    spaces = max(3 if ring else 1, math.ceil(usable / first - 1e-9))
    rounds = max(0, math.ceil(math.log2(max(usable / spaces / last, 1.0)) - 1e-9))
    _count("weld.tack", usable, usable / (spaces << rounds), "give a longer distance")
    at: list[tuple[int, float]] = []
    for number in range(rounds + 1):
        step = usable / (spaces << number)
        if number == 0:
            at += [(0, inset + k * step) for k in range(spaces + (not ring))]
        else:
            at += [(number, inset + (2 * k + 1) * step) for k in range(spaces << (number - 1))]
    half = min(TACK_LENGTH_MM, length / (2 * len(at))) / 2
    return [Weld("tack", patch, index, s - half, s + half, number) for number, s in at]


def stitches(
    run: LineString, *, length: float = 25.0, spacing: float = 0.0, patch: int = 0, index: int = 0
) -> list[Weld]:
    """Return equal stitches that tile one run, or leave `spacing` between them.

    Parameters
    ----------
    length : float
        Longest stitch, mm, 3 to 500.
    spacing : float
        Distance between adjacent weld elements, mm, 0 to 500.  Above 0 the
        seam is not continuous: neither tight nor full strength.

    Source
    ------
    Short runs of about 25 mm: common practice, no source.  Number, length and
    distance of weld elements: ISO 2553 (value from memory).
    """
    require("weld.stitch", length, 3, 500, "mm")
    require("weld.spacing", spacing, 0, 500, "mm")
    number = _count("weld.stitch", run.length, length + spacing, "give a longer stitch")
    pitch = run.length / number
    each = pitch if spacing == 0 else min(length, pitch)
    return [
        Weld("stitch", patch, index, k * pitch + (pitch - each) / 2, k * pitch + (pitch + each) / 2)
        for k in range(number)
    ]


def dot_groups(
    run: LineString,
    *,
    group: float = 25.0,
    diameter: float = 5.0,
    overlap: float = 0.4,
    patch: int = 0,
    index: int = 0,
) -> list[Weld]:
    """Return groups of overlapping dots that tile one run.

    Parameters
    ----------
    group : float
        Longest stretch before the seam is knocked down and planished, mm, 3 to 500.
    diameter : float
        Of a dot, mm, 2 to 12.
    overlap : float
        Share of a dot's diameter that lies on the one before, 0 to 0.9.

    Source
    ------
    4-6 mm, overlap a third to a half, planished at least every 25 mm: common
    practice, no source.
    """
    require("dot diameter", diameter, 2, 12, "mm")
    require("dot overlap", overlap, 0, 0.9, "")
    total = _count("weld.fill", run.length, diameter * (1 - overlap), "give larger dots")
    groups = stitches(run, length=group, patch=patch, index=index)
    ends = [round(total * (k + 1) / len(groups)) for k in range(len(groups))]
    return [
        Weld("dots", patch, index, weld.start, weld.end, 0, max(1, end - begin))
        for weld, begin, end in zip(groups, [0, *ends[:-1]], ends, strict=True)
    ]


def plugs(
    run: LineString, *, hole: float = 6.4, pitch: float = 38.0, patch: int = 0, index: int = 0
) -> list[Weld]:
    """Return plug welds evenly along the line of the hole centres.

    Parameters
    ----------
    hole : float
        Hole diameter, mm, 3 to 25.
    pitch : float
        Greatest distance between centres, mm, more than the hole.

    Source
    ------
    Pitch 25-50 mm, factory about 38 mm: common practice, no source.
    """
    require("plug hole", hole, 3, 25, "mm")
    require("plug pitch", pitch, hole, 500, "mm")
    inset = 0.0 if run.is_closed else min(1.5 * hole, run.length / 4)
    usable = run.length - 2 * inset
    spaces = _count("plug pitch", usable, pitch, "give a longer pitch")
    spaces = max(spaces, 3) if run.is_closed else spaces
    step = usable / spaces
    centres = [inset + k * step for k in range(spaces + (not run.is_closed))]
    return [Weld("plug", patch, index, s - hole / 2, s + hole / 2) for s in centres]


def paths(welds: Sequence[Weld], runs: Sequence[LineString]) -> list[np.ndarray]:
    """Return each weld's path as (n, 2) points in mm, in the direction of its run.

    `runs` are the runs the welds' `run` counts; a plug is one point twice, a
    weld over a closed run's first point goes through it.
    """
    result = []
    for weld in welds:
        run = runs[weld.run]
        if weld.kind == "plug":
            point = run.interpolate(weld.middle % run.length if run.is_closed else weld.middle)
            result.append(np.repeat([[point.x, point.y]], 2, axis=0))
            continue
        pieces = [(weld.start, weld.end)]
        if run.is_closed and weld.start < 0:
            pieces = [(run.length + weld.start, run.length), (0.0, weld.end)]
        elif run.is_closed and weld.end > run.length + 1e-9:
            pieces = [(weld.start, run.length), (0.0, weld.end - run.length)]
        parts = [
            shapely.get_coordinates(substring(run, max(a, 0.0), min(b, run.length)))
            for a, b in pieces
        ]
        result.append(np.concatenate(parts))
    return result


def is_continuous(welds: Sequence[Weld], runs: Sequence[LineString]) -> bool:
    """Say whether the stitches or dot groups leave no gap anywhere along the runs."""
    for index, run in enumerate(runs):
        covered = sum(w.length for w in welds if w.run == index and w.kind in ("stitch", "dots"))
        if covered < run.length - 1e-6:
            return False
    return True
