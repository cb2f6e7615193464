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
    """Return the tacks of one run: wide apart first, the gaps halved round by round.

    Parameters
    ----------
    run : LineString, mm
    first : float
        Greatest distance between the tacks of the first round, mm, 20 to 1000.
    last : float
        Greatest distance between neighbours after the last round, mm, 5 to 1000; all tacks
        are evenly spaced, one more wherever this asks for it.

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
    begin = max(3 if ring else 1, math.ceil(usable / first - 1e-9))
    spaces = max(begin, count("weld.tack", usable, last, "give a longer distance"))
    step = usable / spaces
    half = min(TACK_LENGTH_MM, length / (2 * (spaces + (not ring)))) / 2
    return [
        Weld("tack", patch, index, inset + k * step - half, inset + k * step + half, number)
        for number, places in enumerate(_rounds(begin, spaces, ring))
        for k in places
    ]


def _rounds(begin: int, spaces: int, ring: bool) -> list[list[int]]:
    """Return the places 0 to `spaces` by round: `begin` gaps first, each then halved.

    The places are evenly spaced and their number is free, so a gap of an odd number of
    spaces is halved as nearly as it goes.
    """
    edges = sorted({round(k * spaces / begin) for k in range(begin + 1)})
    rounds = [edges[:-1] if ring else edges]
    while True:
        added = [(a + b) // 2 for a, b in zip(edges, edges[1:], strict=False) if b - a > 1]
        if not added:
            return rounds
        rounds.append(added)
        edges = sorted([*edges, *added])
