"""A contour's trace, typed as x and y on each line, turned into a cross-section's rows."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from typing import Any

from ..base import amounts
from ..base.errors import Fault, SheetkitError, shown
from ..base.units import length_unit_mm
from ..geometry.ring import LARGEST_MM
from ..geometry.trace_fit import fitted
from ..job.model import Sheet
from ..job.profile import Profile
from .profile_rows import first_rows, rows_of

MOST_LETTERS = 100_000
"""A trace of 5000 points is shorter."""


def points_of(text: str, display: str) -> list[tuple[float, float]]:
    """Return the points of a trace, mm: x and y on each line, in the unit shown.

    Raises SheetkitError with every line that can't be read, up to three.
    """
    each, points, faults = length_unit_mm(display), [], []
    for n, line in enumerate(text[:MOST_LETTERS].splitlines(), 1):
        if not line.strip():
            continue
        # a comma stands between x and y, or with blanks between them in the numbers themselves
        words = re.split(r"[\s;]+", line.strip())
        words = line.split(",") if len(words) == 1 else [w.rstrip(",") for w in words]
        try:
            x, y = (float(word.replace(",", ".")) * each for word in words)
        except ValueError:
            x = y = math.nan
        if abs(x) <= LARGEST_MM and abs(y) <= LARGEST_MM:
            points.append((x, y))
        else:
            limit = f"must be two numbers, x and y, {display}"
            faults.append(Fault("trace", f"line {n}, {shown(line[:40])}", limit, 'as "12.5 3"'))
    if faults:
        raise SheetkitError(faults[:3])
    return points


def traced(
    text: str, sheet: Sheet, rows: Mapping[str, Any] | None, drawn: list, display: str
) -> tuple[dict[str, Any], str]:
    """Return the rows that fit a contour's trace, and in words how well they do.

    Parameters
    ----------
    text : x and y of a point on each line, from end to end along the face, which lies to the
        left of who walks along: from left to right with the sheet below
    rows : those there are: how they lie on the drawing, and K, stay
    drawn : points of each shape drawn, mm

    Raises
    ------
    SheetkitError
        It can't be read, is too short, or has no bend.
    """
    fit = fitted(points_of(text, display))
    data = {
        "points": [list(corner) for corner in fit.corners],
        "radii": list(fit.inside(sheet.thickness, left=True)),
        "measured": "face",
    }
    made = rows_of(Profile.model_validate(data, context={"drawn_in": "mm"}), sheet, display)
    # a gauge tells no more than tenths of a millimetre
    digits = 3 if display == "in" else 1
    for row in (*made["flats"], *made["bends"]):
        row |= {key: f"{float(row[key]):.{digits}f}" for key in ("length", "radius") if key in row}
    for row in made["bends"]:
        row["angle"] = f"{float(row['angle']):.1f}"
    base = rows or first_rows("one", sheet, drawn, display)
    kept = {key: base[key] for key in ("run", "start", "k", "strips", "crown")}
    off = amounts.show(fit.off_mm, "thickness", units=display)
    flats, bends = len(made["flats"]), len(made["bends"])
    word = (
        f"{flats} flats and {bends} {'bend' if bends == 1 else 'bends'} were fitted; the trace lies "
        f"at most {off} off them (derived). Compare the picture with the panel."
    )
    return made | kept, word
