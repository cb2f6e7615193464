"""The flats of a bent panel on paper: position, what lies behind, how much of the seam, its current."""

from __future__ import annotations

import shapely

from ..base import amounts
from ..repair.estimate import Estimate
from ..repair.inputs import currents
from .blocks import Table


def faces_table(result: Estimate, display: str) -> Table:
    """Return a row for each flat of a bent panel, no rows for a flat one."""
    section = result.job.section
    rows: list[tuple[str, ...]] = []
    if section is not None:
        faces = result.job.faces(shapely.multilinestrings(list(result.runs)))
        each = currents(result.job, faces)
        seam = result.values["seam_length_mm"]
        flats = zip(section.flats, faces.positions, faces.closed, faces.shares, strict=True)
        for number, ((start, end), position, closed, share) in enumerate(flats, 1):
            wide, long = (
                amounts.show(length, "length", units=display)
                for length in (end - start, share * seam)
            )
            current = f"{each[position].value:.0f} A" if share else ""
            behind = "closed section" if closed else "open"
            rows.append((f"{number}", wide, position, behind, long if share else "none", current))
    heads = ("Flat", "Between its bends", "Welded", "Behind it", "Seam on it", "First try")
    return Table("faces", heads, rows, (12, 30, 24, 30, 24, 24), size=10.5, pad_mm=1.0)


def positions_said(result: Estimate) -> str:
    """Return the positions that the seam goes through, with their currents where those differ.

    "" where it goes through one.
    """
    faces = result.job.faces(shapely.multilinestrings(list(result.runs)))
    if len(faces.by_position) < 2:
        return ""
    amps = {name: f"{row.value:.0f} A" for name, row in currents(result.job, faces).items()}
    differ = len(set(amps.values())) > 1
    return ", ".join(
        f"{share:.0%} {name}{f' at {amps[name]}' if differ else ''}"
        for name, share in faces.by_position.items()
    )
