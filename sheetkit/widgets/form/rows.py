"""What each row of the form shows: the value, whose it is, how far it can differ; and what was typed, read."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any

from ...base import amounts, tables, units
from ...base.errors import plain
from ...base.tables import GIVEN, Row, limit
from ...formulas.settings import gas_group
from ...job.job import Job
from ...job.titles import CHOICES
from ...repair.estimate import Estimate
from ...sketch.drawing import Drawing
from ...sketch.shape_kinds import BEND_RADIUS_MM, BENT, KINDS, SWAGE_DEPTH_MM, Shape
from .fields import CUT, NEAR, SWITCHES, Entry

_LIMITS = {
    "patch__margin": "margin",
    "patch__corner_radius": "corner_radius",
    "patch__web": "web",
    "patch__overlap": "overlap",
    "patch__joggle__run": "joggle_run",
    "weld__stitch": "stitch",
    "weld__interpass_limit": "interpass_limit",
}
"""Path -> the row of the table "limits" that is taken for it."""
_INPUTS = {
    "patch__gap": "gap_mm",
    "weld__wire": "wire_diameter_mm",
    "weld__current": "current_a",
    "weld__voltage": "voltage_v",
    "weld__travel": "travel_mm_min",
    "weld__flow": "flow_l_min",
    "weld__pre_flow": "pre_flow_s",
    "weld__post_flow": "post_flow_s",
    "weld__plug_hole": "hole_diameter_mm",
    "weld__plug_pitch": "plug_pitch_mm",
    "shop__labour_rate": "labour_rate_per_h",
    "shop__cylinder__water_volume": "water_volume_l",
    "shop__cylinder__pressure": "pressure_bar",
}
"""Path -> the input of the estimate that is taken for it."""
_ORIGINS = {
    "published": "published",
    "published from memory": "published, copy not seen",
    "derived": "worked out",
    "common practice": "common practice",
    "guess": "our guess",
}
_MUST_BE = {"sheet__thickness"}
"""What every job must say for itself."""
_GUESSED = "assumed, our guess"
_BARE = re.compile(r"[+-]?[\d.,][\d.,\s/]*")
"""A number as somebody types it who means the unit shown."""


def value_of(job: Job, path: str) -> Any:
    """Return what the job's model holds at a path; a price or part that isn't given is None."""
    value: Any = job
    for key in path.split("__"):
        value = value.get(key) if isinstance(value, Mapping) else getattr(value, key, None)
    return value


def row(entry: Entry, job: Job, result: Estimate | None, display: str) -> dict[str, Any]:
    """Return what the page shows of one field.

    text, choice : the value; usual : whether it can go back to what is assumed; given : whether the user gave it; note : whose it is and how
    far it can differ; limits : what can be set; off : whether it has no part in this job;
    slider : where it is, its ends and step, in the unit shown; unit : beside the box
    """
    given = job.given(entry.field)
    shown: dict[str, Any] = {"given": given, "off": _is_off(entry.path, job)}
    shown["usual"] = entry.kind in ("choice", "quantity", "number") and entry.path not in _MUST_BE
    if entry.kind == "choice":
        values = [value for _, value in entry.options]
        note = "yours" if given else _GUESSED
        return shown | {"choice": values.index(value_of(job, entry.path)), "note": note}
    taken = None if given else _taken(entry, job, result)
    value: Any = value_of(job, entry.path) if taken is None else taken.value
    if entry.kind == "quantity":
        return shown | _quantity(entry, value, given, taken, display)
    shown["unit"] = entry.unit.format(currency=plain(job.shop.currency))
    if entry.kind == "number":
        text, note = _plain_number(value), _whose(given, taken, value, _plain_number)
        limits = f"{_plain_number(entry.low)} to {_plain_number(entry.high)} {shown['unit']}"
        return shown | {"text": text, "note": note, "limits": limits}
    if entry.kind == "sizes":
        text = ", ".join(_size(size, display) for size in value)
    else:
        text = "; ".join(value) if entry.kind == "names" else value or ""
    return shown | {"text": text, "note": _text_note(entry.path, job, given)}


def _text_note(path: str, job: Job, given: bool) -> str:
    if path == "weld__gas" and not given:
        group = gas_group(job.weld.process, None)
        return "none needed" if group == "none" else f"assumed: {group}, common practice"
    if path == "shop__currency" and not given:
        return "assumed; prices below are starting values in it"
    return ""


def _taken(entry: Entry, job: Job, result: Estimate | None) -> Row | None:
    """Return the row that is taken where the user gave nothing."""
    path = entry.path
    if path in _LIMITS:
        return limit(_LIMITS[path])
    if path == "weld__tack":
        return limit("tack_last" if job.weld.fill == "dots" else "tack_before_stitches")
    if path.startswith("shop__prices__"):
        return tables.row("consumables", path.rpartition("__")[2], "price")
    if result is not None and _INPUTS.get(path) in result.inputs:
        return result.inputs[_INPUTS[path]]
    return None


def _quantity(
    entry: Entry, value: float | None, given: bool, taken: Row | None, display: str
) -> dict[str, Any]:
    kind = entry.shown_as
    low, unit, digits = amounts.converted(entry.low or 0.0, kind, units=display)
    high = amounts.converted(entry.high or 0.0, kind, units=display)[0]

    def number(amount: float, more: int = 1) -> str:
        return _number(amounts.converted(amount, kind, units=display)[0], digits + more)

    shown: dict[str, Any] = {"unit": unit, "text": "" if value is None else number(value)}
    shown["note"] = _whose(given, taken, value, lambda end: number(end, 0))
    if value is None and entry.path == "sheet__beneath":
        shown["note"] = "assumed: as thick as the sheet, our guess"
    shown["limits"] = f"{_number(low, 3)} to {_number(high, 3)} {unit}"
    if entry.top and value is not None:
        shown["slider"] = _slider(entry, value, display)
    return shown


def _slider(entry: Entry, value: float, display: str) -> list[float]:
    """Return where a slider is, its ends and its step; an end goes as far as the value is."""
    at, unit, _ = amounts.converted(value, entry.shown_as, units=display)
    step = {"in": 0.05, "A": 1.0}.get(unit, 1.0) if entry.shown_as != "thickness" else None
    step = step or (0.005 if unit == "in" else 0.1)
    top = amounts.converted(entry.top, entry.shown_as, units=display)[0]
    bottom = 10.0 if unit == "A" else 0.0
    top = round(round(top / step) * step, 6)
    return [at, min(bottom, at), max(top, at), step]


def _whose(given: bool, taken: Row | None, value: Any, number: Callable[[float], str]) -> str:
    """Say whose a value is: the user's, or assumed, with its range and what it rests on."""
    if given or (taken is not None and taken.status == GIVEN):
        return "yours"
    if taken is None:
        return "not said" if value is None else _GUESSED
    low, high = taken.low, taken.high
    ends = "" if low is None or high is None else f": {number(low)} to {number(high)}"
    return f"assumed{ends}, {_ORIGINS.get(taken.status, taken.status)}"


def _is_off(path: str, job: Job) -> bool:
    """Say whether a field has no part in this job."""
    joint, gas = job.patch.joint, gas_group(job.weld.process, job.weld.gas)
    if path == "patch__gap":
        return joint != "butt"
    if path in ("patch__overlap", "sheet__beneath"):
        return joint == "butt"
    if path.startswith("patch__joggle"):
        return joint == "butt" or (job.patch.joggle is None and path not in SWITCHES)
    if path in ("weld__fill", "weld__stitch", "weld__spacing", "weld__tack"):
        return joint == "plug"
    if path in ("weld__plug_hole", "weld__plug_pitch"):
        return joint != "plug"
    if path in ("weld__gas", "weld__flow", "weld__pre_flow", "weld__post_flow"):
        return gas == "none"
    return path.startswith("shop__cylinder") and gas in ("none", "C1")


def _number(value: float, digits: int) -> str:
    text = f"{value:.{digits}f}"
    return (text.rstrip("0").rstrip(".") if "." in text else text) or "0"


def _plain_number(value: float | None) -> str:
    return "" if value is None else f"{value:.10g}"


def _size(size: tuple[float, float], display: str) -> str:
    sides = [amounts.converted(side, "length", units=display) for side in size]
    return f"{_number(sides[0][0], 2)} x {_number(sides[1][0], 2)} {sides[0][1]}"


def read(entry: Entry, text: str, display: str) -> Any:
    """Return what somebody typed or chose as `Job.changed` takes it; None: back to the usual.

    A choice comes as its index.  What is no number stays a text, for the job to refuse in words.
    """
    text = text.strip() if entry.kind != "lines" else text
    if not text:
        return None
    if entry.kind == "choice":
        index = int(text) if text.isdecimal() else -1
        return entry.options[index][1] if 0 <= index < len(entry.options) else text
    if entry.kind == "quantity":
        if _BARE.fullmatch(text):
            unit = amounts.converted(1.0, entry.shown_as, units=display)[1]
            return f"{text.replace(',', '.')} {unit}"
        return text
    if entry.kind == "number":
        return _read_number(text)
    if entry.kind == "names":
        return [name.strip() for name in text.split(";") if name.strip()]
    if entry.kind == "sizes":
        return [_read_size(part, display) for part in text.split(",") if part.strip()]
    return text


def _read_number(text: str) -> Any:
    """Return a number, whole if it is one; a text that is none stays one."""
    try:
        number = float(text.replace(",", ".").replace(" ", "").removesuffix("%"))
    except ValueError:
        return text
    return int(number) if number.is_integer() else number


def _read_size(text: str, display: str) -> list[str]:
    """Return a sheet's two sides, each with its unit; "1000 x 500" is in the unit shown."""
    sides = [side.strip() for side in re.split(r"[x×*]", text, maxsplit=1)]
    unit = re.search(r"[^\d\s.,/+-]+$", sides[-1])
    said = unit[0] if unit else display
    return [side if re.search(r"[^\d\s.,/+-]$", side) else f"{side} {said}" for side in sides]


def things(drawing: Drawing, display: str) -> list[tuple[Entry, dict[str, Any]]]:
    """Return a row for the name and number of everything drawn that has one, with its words."""
    found = []
    for shape in drawing.shapes:
        kind = KINDS[shape.kind]
        group = CUT if shape.kind in BENT else NEAR
        called = shape.name or _counted(shape, drawing)
        if kind.named:
            entry = Entry(f"drawn__{shape.id}__name", f"{kind.label}: name", group, "text")
            found.append((entry, {"text": shape.name, "given": bool(shape.name), "off": False,
                                  "note": _counted(shape, drawing)}))  # fmt: skip
        if kind.value and kind.default is not None:
            found.append(_thing(shape, called, group, display))
        if shape.kind in BENT:
            found += [_bend(shape, called, display), _toward(shape, called)]
        if shape.kind == "swage":
            found.append(_length(shape, "depth", f"{called}: depth", SWAGE_DEPTH_MM, display))
    return found


def _thing(shape: Shape, called: str, group: str, display: str) -> tuple[Entry, dict[str, Any]]:
    kind = KINDS[shape.kind]
    dimension = {"mm": "length", "°C": "temperature", "°": "angle"}[kind.unit]
    words = {
        "mounting": "ring inspectors look at",
        "fold": "bend",
        "lip": "height",
        "swage": "width",
    }.get(shape.kind, "stays below")
    entry = Entry(
        f"drawn__{shape.id}__value", f"{called}: {words}", group, "quantity", dimension,
        kind.low, kind.high,
    )  # fmt: skip
    given = shape.value is not None
    value = kind.default if shape.value is None else shape.value
    shown = _quantity(entry, value, given, None, display)
    return entry, shown | {"given": given, "off": False}


def _bend(shape: Shape, called: str, display: str) -> tuple[Entry, dict[str, Any]]:
    """Return the row of a fold's or lip's inner radius."""
    return _length(shape, "radius", f"{called}: inner radius", BEND_RADIUS_MM, display)


def _length(
    shape: Shape, what: str, label: str, ends: tuple[float, float, float], display: str
) -> tuple[Entry, dict[str, Any]]:
    """Return the row of a length of a shape, with the least, the usual and the most it can be."""
    low, usual, high = ends
    group = CUT if shape.kind in BENT else NEAR
    path = f"drawn__{shape.id}__{what}"
    entry = Entry(path, label, group, "quantity", "thickness", low, high)
    value = getattr(shape, what)
    shown = _quantity(entry, usual if value is None else value, value is not None, None, display)
    return entry, shown | {"given": value is not None, "off": False}


def _toward(shape: Shape, called: str) -> tuple[Entry, dict[str, Any]]:
    """Return the row of the face a fold or lip is bent to."""
    said = CHOICES["patch.folds.toward"]
    options = tuple((words, value or "") for value, words in said.items())
    entry = Entry(f"drawn__{shape.id}__toward", f"{called}: bent", CUT, "choice", options=options)
    values = [value for _, value in options]
    return entry, {"choice": values.index(shape.toward), "given": bool(shape.toward), "off": False,
                   "usual": False, "note": "yours" if shape.toward else "not said"}  # fmt: skip


def _counted(shape: Shape, drawing: Drawing) -> str:
    alike = [one.id for one in drawing.of_kind(shape.kind)]
    label = KINDS[shape.kind].label
    return f"{label} {alike.index(shape.id) + 1}" if len(alike) > 1 else label


def read_thing(entry: Entry, text: str, display: str) -> dict[str, Any]:
    """Return the edit of a drawn thing's name or number that somebody typed.

    Raises SheetkitError if it is no number with a unit of the right kind.
    """
    id_, _, what = entry.path.removeprefix("drawn__").rpartition("__")
    if what == "name":
        return {"op": "describe", "id": id_, "name": text.strip()}
    if what == "toward":
        return {"op": "describe", "id": id_, "toward": read(entry, text, display)}
    bare = amounts.converted(1.0, entry.shown_as, units=display)[1]
    dimension = "length" if what in ("radius", "depth") else entry.shown_as
    value = units.parse(text.replace(",", "."), dimension, field=entry.label, bare=bare)
    return {"op": "describe", "id": id_, what: value}
