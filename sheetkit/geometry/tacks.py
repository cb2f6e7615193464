"""Where the tacks go along a seam."""

from __future__ import annotations

import math

from shapely import LineString

from ..base.errors import check
from .welds import Weld, count

TACK_LENGTH_MM = 5.0
"""The length of seam one tack closes. Common practice, no source (dots of 4-6 mm)."""


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
    check("tack spacing of the first round", first, 20, 1000, "mm")
    check("weld.tack", last, 5, 1000, "mm")
    length, ring = run.length, run.is_closed
    inset = 0.0 if ring else min(TACK_LENGTH_MM / 2, length / 4)
    usable = length - 2 * inset
    spaces = max(3 if ring else 1, math.ceil(usable / first - 1e-9))
    rounds = max(0, math.ceil(math.log2(max(usable / spaces / last, 1.0)) - 1e-9))
    count("weld.tack", usable, usable / (spaces << rounds), "give a longer distance")
    at: list[tuple[int, float]] = []
    for number in range(rounds + 1):
        step = usable / (spaces << number)
        if number == 0:
            at += [(0, inset + k * step) for k in range(spaces + (not ring))]
        else:
            at += [(number, inset + (2 * k + 1) * step) for k in range(spaces << (number - 1))]
    half = min(TACK_LENGTH_MM, length / (2 * len(at))) / 2
    return [Weld("tack", patch, index, s - half, s + half, number) for number, s in at]
