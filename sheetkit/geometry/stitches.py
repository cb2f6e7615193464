"""Seam -> tacks, stitches, dots or plugs: where each one lies along the seam.

A seam is a list of runs (lines), each closed (its first point repeated) or
open.  Positions are mm along a run from its first point.
"""

from __future__ import annotations

from shapely import LineString

from ..base.errors import check
from .welds import Weld, count


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
    check("weld.stitch", length, 3, 500, "mm")
    check("weld.spacing", spacing, 0, 500, "mm")
    number = count("weld.stitch", run.length, length + spacing, "give a longer stitch")
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
    check("dot diameter", diameter, 2, 12, "mm")
    check("dot overlap", overlap, 0, 0.9)
    total = count("weld.fill", run.length, diameter * (1 - overlap), "give larger dots")
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
    check("plug hole", hole, 3, 25, "mm")
    check("plug pitch", pitch, hole, 500, "mm")
    inset = 0.0 if run.is_closed else min(1.5 * hole, run.length / 4)
    usable = run.length - 2 * inset
    spaces = count("plug pitch", usable, pitch, "give a longer pitch")
    spaces = max(spaces, 3) if run.is_closed else spaces
    step = usable / spaces
    centres = [inset + k * step for k in range(spaces + (not run.is_closed))]
    return [Weld("plug", patch, index, s - hole / 2, s + hole / 2) for s in centres]
