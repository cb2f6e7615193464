"""The lens shade of a welding helmet by process and current."""

from __future__ import annotations

from ..base.errors import check
from ..base.tables import Row, known_name, rows


def lens_shade(process: str, current_a: float) -> Row:
    """Return the lens shade for a process and a current in A: value the least, high suggested.

    A current on a boundary belongs to the band above it (60 A of process 135:
    shade 10); the top of the last band (500 A; 550 A of 111) belongs to that band.
    Raises OutOfRange outside the bands, UnknownName for an unknown process.
    Source: 29 CFR 1910.133(a)(5); suggested: ANSI Z49.1 (value from memory).
    """
    known_name("lens_shades", process)
    bands: list[tuple[float, float, Row]] = []
    for row in rows("lens_shades"):
        if row.name == process:
            bottom, top = map(float, row.quantity.removeprefix("shade ").split("-"))
            bands.append((bottom, top, row))
    check(f"lens shade of {process}", current_a, bands[0][0], bands[-1][1], "A")
    return next((row for bottom, top, row in bands if bottom <= current_a < top), bands[-1][-1])
