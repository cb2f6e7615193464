"""Test strips as rows to type in: blank, folded legs, radius; K follows from them.

Texts in the unit shown on the page -> what the job file's profile takes, and back.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from ..base.units import length_unit_mm
from ..job.model import Sheet
from ..job.profile import Profile

MOST_STRIPS = 20
_WITHIN_MM = 0.2
"""A length by rule or caliper is good to that (guess)."""

Read = Callable[[str, object, str, float, float], float]
"""Reads (row's name, text, dimension, low, high); nan after it noted a fault."""


def length_text(mm: float, display: str) -> str:
    """Return a length as a number of the unit shown."""
    return f"{mm / length_unit_mm(display):.6g}"


def empty_strip(display: str) -> dict[str, str]:
    """Return a strip to fill in: nothing is taken for what was not measured."""
    within = length_text(_WITHIN_MM, display)
    return {"blank": "", "legs": "", "radius": "", "angle": "90", "within": within}


def labels(unit: str) -> dict[str, str]:
    """Return what each box of a strip is called, in the unit shown."""
    return {
        "blank": f"length when flat, {unit}",
        "legs": f"legs folded, {unit}, as 50 + 50",
        "radius": f"inside radius, {unit}",
        "angle": "from flat, degrees",
        "within": f"read to within, {unit}",
    }


def strip_rows(profile: Profile, display: str) -> list[dict[str, str]]:
    """Return the test strips of a profile as rows."""
    return [
        {
            "blank": length_text(strip.blank, display),
            "legs": " + ".join(length_text(leg, display) for leg in strip.legs),
            "radius": length_text(strip.radius, display),
            "angle": f"{strip.angle:.6g}",
            "within": length_text(strip.within, display),
        }
        for strip in profile.strips
    ]


def strips_of(rows: Sequence[Mapping[str, str]], read: Read) -> list[dict[str, Any]]:
    """Return the job file's test strips of rows as they were typed."""
    made = []
    for n, row in enumerate(rows[:MOST_STRIPS]):
        legs = re.split(r"[+;]", str(row.get("legs") or ""))
        strip = {
            "blank": read(f"strips.{n}.blank", row.get("blank"), "length", 10, 2000),
            "radius": read(f"strips.{n}.radius", row.get("radius"), "length", 0.1, 100),
            "within": read(f"strips.{n}.within", row.get("within"), "length", 0.01, 2),
        }
        lengths = [read(f"strips.{n}.legs", leg, "length", 2, 1000) for leg in legs]
        angle = read(f"strips.{n}.angle", row.get("angle"), "angle", 15, 170)
        made.append(
            {key: f"{value:.7g} mm" for key, value in strip.items()}
            | {"legs": [f"{leg:.7g} mm" for leg in lengths], "angle": angle}
        )
    return made


def k_word(profile: Profile, sheet: Sheet) -> str:
    """Say what K the test strips give, with its uncertainty; "" without any."""
    found = profile.measured_k(sheet.thickness)
    if found is None:
        return ""
    return f" K of this sheet is {found}, derived from your test strips, about 95 in 100."
