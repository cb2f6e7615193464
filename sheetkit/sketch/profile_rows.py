"""A panel's cross-section as rows to type in: a flat, a bend, a flat; and what was typed, read.

The rows are texts, as a page shows and sends them; the profile is the job file's entry.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from typing import Any

import numpy as np

from ..base import units as unit_text
from ..base.errors import Fault, SheetkitError, shown
from ..base.units import length_unit_mm
from ..geometry.measured import LEAST_TURN_DEG, MOST_TURN_DEG
from ..job.model import Sheet
from ..job.profile import Profile
from .strip_rows import Read, length_text, strip_rows, strips_of

MOST_BENDS = 40
"""More rows than that nobody types; a traced section with more stays in the job file."""
MEASURED = {
    "outside": "outside to outside", "inside": "inside to inside",
    "face": "between the face's corners", "back": "between the back's corners",
    "tape": "by a tape round the face",
}  # fmt: skip
RUNS = {"y": "level, flat 1 lowest", "x": "upright, flat 1 on the left"}
"""Which way the section runs over the drawing, told by its bend lines."""
POSITIONS = {"": "as the sheet", "flat": "flat", "vertical": "vertical", "overhead": "overhead"}
TOWARD = {"face": "toward the face, UP", "back": "toward the back, DOWN"}
STARTS = {
    "one": "One bend: a flange, a floor's edge",
    "channel": "Two bends to one side: a sill, a channel",
    "step": "Two bends to both sides: a step, a joggle",
}
"""What the rows begin with."""
NO_CROWN = {"curved": False, "over": "", "rise": ""}
_BEGIN = {"one": ("face",), "channel": ("face", "face"), "step": ("face", "back")}
K_RANGE = (0.2, 0.6)
"""What K from a test strip can be, in thicknesses."""
_FLANGE_MM, _WIDE_MM = 40.0, 100.0
"""Lengths to begin with, to be typed over."""
_RADIUS_TIMES = 2.0
"""Inside radius to begin with, in thicknesses (common practice, no source)."""


def rows_of(profile: Profile, sheet: Sheet, display: str) -> dict[str, Any]:
    """Return the rows of a profile in a sheet, lengths in the unit shown."""
    points, given, measured = profile.as_measured(sheet.thickness)
    steps = np.diff(np.asarray(points, float), axis=0)
    lengths = np.hypot(*steps.T)
    headings = np.degrees(np.arctan2(steps[:, 1], steps[:, 0]))
    turns = (np.diff(headings) + 180) % 360 - 180
    radii = given if len(given) == len(turns) else given[:1] * len(turns)
    up = 1 if profile.face == "left" else -1
    run = {0.0: "x", 90.0: "y"}.get(profile.run, f"{profile.run:g} deg")
    return {
        "flats": [
            {
                "length": length_text(length, display),
                "position": profile.positions[n] if profile.positions else "",
                "closed": profile.closed[n] if profile.closed else not sheet.back_access,
            }
            for n, length in enumerate(lengths)
        ],
        "bends": [
            {
                "angle": f"{abs(turn):.6g}",
                "radius": length_text(radius, display),
                "toward": "face" if turn * up > 0 else "back",
            }
            for turn, radius in zip(turns, radii, strict=True)
        ],
        "measured": measured,
        "run": run,
        "start": length_text(profile.start, display),
        "k": "" if profile.k is None else f"{profile.k:.6g}",
        "strips": strip_rows(profile, display),
        "unit": display,
    }


def first_rows(kind: str, sheet: Sheet, drawn: list[np.ndarray], display: str) -> dict:
    """Return rows to begin with, whose first flat holds what is drawn already.

    Parameters
    ----------
    kind : of `STARTS`
    drawn : points of each shape drawn, mm
    """
    toward = _BEGIN.get(kind, _BEGIN["one"])
    low, wide = 0.0, _WIDE_MM
    if drawn:
        heights = np.concatenate(drawn)[:, 1]
        low = math.floor(heights.min() / 10) * 10.0 - 10.0
        wide = math.ceil(heights.max() / 10) * 10.0 + 20.0 - low
    lengths = [max(wide, _WIDE_MM), *([_WIDE_MM] * (len(toward) - 1)), _FLANGE_MM]
    radius = length_text(round(_RADIUS_TIMES * sheet.thickness, 1), display)
    return {
        "flats": [
            {
                "length": length_text(length, display),
                "position": "",
                "closed": not sheet.back_access,
            }
            for length in lengths
        ],
        "bends": [{"angle": "90", "radius": radius, "toward": way} for way in toward],
        "measured": "outside",
        "run": "y",
        "start": length_text(low, display),
        "k": "",
        "strips": [],
        "crown": dict(NO_CROWN),
        "unit": display,
    }


def more(rows: Mapping, sheet: Sheet) -> dict[str, Any]:
    """Return the rows with one more bend and a flat at the end."""
    unit = rows["unit"]
    last = rows["bends"][-1] if rows["bends"] else None
    bend = dict(last) if last else {
        "angle": "90", "radius": length_text(_RADIUS_TIMES * sheet.thickness, unit), "toward": "face",
    }  # fmt: skip
    flat = {
        "length": length_text(_FLANGE_MM, unit),
        "position": "",
        "closed": not sheet.back_access,
    }
    return {**rows, "flats": [*rows["flats"], flat], "bends": [*rows["bends"], bend]}


def less(rows: Mapping, number: int) -> dict[str, Any] | None:
    """Return the rows without a bend and the flat after it; None where no bend is left."""
    if not 0 <= number < len(rows["bends"]):
        return dict(rows)
    bends = [*rows["bends"][:number], *rows["bends"][number + 1 :]]
    flats = [*rows["flats"][: number + 1], *rows["flats"][number + 2 :]]
    return {**rows, "flats": flats, "bends": bends} if bends else None


class RowsRefused(SheetkitError):
    """Something typed in the rows can't be read; each fault's field is its row's name."""


def reader(unit: str, faults: list[Fault]) -> Read:
    """Return what reads a row's text (see `strip_rows.Read`); it notes what can't be read."""

    def read(name: str, text: object, dimension: str, low: float, high: float) -> float:
        bare = {"length": unit, "angle": "deg"}.get(dimension)
        try:
            typed = str(text).strip()[:40]
            number = typed.replace(",", ".")
            value = (
                unit_text.parse(number, dimension, field=name, bare=bare)
                if dimension
                else float(number)
            )
        except SheetkitError as error:
            faults.extend(error.faults)
            return math.nan
        except ValueError:
            value = math.nan
        if not low <= value <= high:
            kind = {"angle": " degrees from flat", "length": " mm"}.get(dimension, "")
            limit = f"must be {low:g} to {high:g}{kind}"
            faults.append(Fault(name, shown(typed), limit, "type another"))
            return math.nan
        return value

    return read


def profile_of(
    rows: Mapping, sheet: Sheet, drawn_in: str, before: Mapping | None = None
) -> dict[str, Any]:
    """Return the job file's profile of rows as they were typed.

    Parameters
    ----------
    sheet : what the flats are that say nothing of their own
    drawn_in : the unit of the job's bare numbers
    before : the profile in the job, whose face stays on its side

    Raises
    ------
    RowsRefused
        With every fault; its field is the row's name, such as "flats.0.length".
    """
    faults: list[Fault] = []
    unit = "in" if rows.get("unit") == "in" else "mm"

    read = reader(unit, faults)
    lengths = [
        read(f"flats.{n}.length", flat.get("length"), "length", 0.1, 20_000)
        for n, flat in enumerate(rows["flats"])
    ]
    angles = [
        read(f"bends.{n}.angle", bend.get("angle"), "angle", LEAST_TURN_DEG, MOST_TURN_DEG)
        for n, bend in enumerate(rows["bends"])
    ]
    radii = [
        read(f"bends.{n}.radius", bend.get("radius"), "length", 0.1, 5000)
        for n, bend in enumerate(rows["bends"])
    ]
    start = read("start", rows.get("start"), "length", -100_000, 100_000)
    k = read("k", rows["k"], "", *K_RANGE) if str(rows.get("k") or "").strip() else None
    strips = strips_of(rows.get("strips", ()), read)
    if faults:
        raise RowsRefused(faults)
    face = (before or {}).get("face", "left")
    sense = 1 if face == "left" else -1
    at, heading, points = np.zeros(2), 0.0, [np.zeros(2)]
    for n, length in enumerate(lengths):
        at = at + length * np.array([math.cos(heading), math.sin(heading)])
        points.append(at)
        if n < len(angles):
            way = 1 if rows["bends"][n].get("toward") == "face" else -1
            heading += sense * way * math.radians(angles[n])
    each = length_unit_mm(drawn_in)
    made: dict[str, Any] = {
        "points": [[round(float(v) / each, 7) + 0.0 for v in point] for point in points],
        "radii": [f"{radius:.6g} mm" for radius in radii],
        "measured": rows.get("measured") if rows.get("measured") in MEASURED else "outside",
        "run": str(rows.get("run") or "y")[:40],
        "start": f"{start:.7g} mm",
    }
    if k is not None:
        made["k"] = k
    if strips:
        made["strips"] = strips
    if "face" in (before or {}):
        made["face"] = face
    positions = [str(flat.get("position") or "") for flat in rows["flats"]]
    if any(positions):
        made["positions"] = [place or sheet.position for place in positions]
    closed = [bool(flat.get("closed")) for flat in rows["flats"]]
    if any(one == sheet.back_access for one in closed):
        made["closed"] = closed
    return made


def told_at(error: SheetkitError) -> dict[str, str]:
    """Return the faults of a refused profile by the row they belong to; "" for the whole."""
    told: dict[str, str] = {}
    for fault in error.faults:
        name = fault.field if isinstance(error, RowsRefused) else _row_of(fault.field)
        words = f"{fault.value}: {fault.limit}; {fault.remedy}"
        told[name] = f"{told[name]} {words}" if name in told else words
    return told


_FLANGE = re.compile(r"panel\.profile\.points\[(\d+)\]")
_RADIUS = re.compile(r"panel\.profile\.radii\[(\d+)\]")

_STRIP = re.compile(r"panel\.profile\.strips\[(\d+)\](?:\.(blank|legs|radius|angle|within).*)?")


def _row_of(field: str) -> str:
    if found := _FLANGE.fullmatch(field):
        return f"flats.{int(found[1]) - 1}.length"
    if found := _RADIUS.fullmatch(field):
        return f"bends.{found[1]}.radius"
    if found := _STRIP.fullmatch(field):
        return f"strips.{found[1]}.{found[2] or 'blank'}"
    if field.startswith("panel.crowns"):
        return "crown.over" if field.endswith("over") else "crown.rise"
    return {"panel.profile.k": "k", "panel.profile.start": "start", "panel.profile.run": "run"}.get(
        field, ""
    )
