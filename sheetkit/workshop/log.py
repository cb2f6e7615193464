"""The log of what jobs really took: a csv file, written in one step under a lock.

A row that can't be used is set aside with its faults, and stays in the file.
"""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from math import isfinite
from uuid import uuid4

from ..base.errors import Fault, SheetkitError, shown
from ..base.files import followed
from ..formulas.hours import STEPS
from .log_file import LogFile, SetAside, append

LIMITS = {
    **dict.fromkeys(STEPS, (200.0, "h")),
    "wire_g": (20_000.0, "g"),
    "pressure_before_bar": (300.0, "bar"),
    "pressure_after_bar": (300.0, "bar"),
    "bottle_before_c": (50.0, "degC"),
    "bottle_after_c": (50.0, "degC"),
    "cutting_discs": (500.0, "discs"),
    "flap_discs": (500.0, "discs"),
}
"""Measured thing -> the most that can be meant, and its unit.  Zero is the least, but for `COLDEST`."""
COLDEST = {"bottle_before_c": -10.0, "bottle_after_c": -10.0}
"""The bottle's own temperature may be below zero; the gas is not reckoned any colder."""
COLUMNS = ("entry", "date", "job", *LIMITS, "note")
_DAY = re.compile(
    r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})([T ]\d{1,2}:\d{2}(:\d{2}(\.\d+)?)?(Z|[+-]\d{2}:?\d{2})?)?"
)
_DAY_FIRST = re.compile(r"\d{1,2}[-/.]\d{1,2}[-/.]\d{2,4}.*")


@dataclass(frozen=True)
class Entry:
    """What one job took: `measured` holds hours by step, wire, pressures, discs; what is known."""

    job: str
    date: str
    measured: Mapping[str, float]
    note: str = ""
    entry: str = field(default_factory=lambda: f"j{uuid4().hex[:11]}")
    """Begins with a letter, so that no spreadsheet takes it for a number."""


@dataclass(frozen=True)
class Log:
    """What a log file holds: usable entries, and the rows set aside."""

    entries: tuple[Entry, ...]
    set_aside: tuple[SetAside, ...]


def _number(name: str, value: object, faults: list[Fault]) -> float | None:
    top, unit = LIMITS[name]
    try:
        number = float(value) if isinstance(value, str | int | float) else float("nan")
    except (TypeError, ValueError, OverflowError):
        number = float("nan")
    if not isfinite(number):
        faults.append(
            Fault(
                name, shown(value), "must be a number", f"write it in {unit}, with a decimal point"
            )
        )
    elif number < COLDEST.get(name, 0.0):
        least = f"at least {COLDEST[name]:g} {unit}" if name in COLDEST else "not negative"
        faults.append(Fault(name, f"{number:g} {unit}", f"must be {least}", "read it again"))
    elif number > top:
        faults.append(
            Fault(name, f"{number:g} {unit}", f"must be at most {top:g} {unit}", "check the unit")
        )
    else:
        return number
    return None


def day_of(text: str, faults: list[Fault]) -> str:
    """Return a date as year-month-day; a fault is added unless the year stands first."""
    match = _DAY.fullmatch(text)
    try:
        if match:
            return date(*map(int, match.groups()[:3])).isoformat()
        return date.fromisoformat(text).isoformat()
    except ValueError:
        remedy = "write it as 2024-05-31"
        if _DAY_FIRST.fullmatch(text):
            remedy += "; a spreadsheet rewrote it: let it take the column for text"
        faults.append(Fault("date", shown(text), "must be a date", remedy))
        return text


def checked(row: Mapping[str, object]) -> tuple[Entry | None, list[Fault]]:
    """Return the entry in a row, or None and every fault of it."""
    faults: list[Fault] = []
    job, day = str(row.get("job") or "").strip(), str(row.get("date") or "").strip()
    if not job:
        faults.append(Fault("job", "nothing", "must name the job's file", "write trunk_floor.json"))
    day = day_of(day, faults)
    measured = {}
    for name in LIMITS:
        value = row.get(name)
        if value is None or str(value).strip() == "":
            continue
        number = _number(name, value, faults)
        if number is not None:
            measured[name] = number
    before, after = (measured.get(f"pressure_{end}_bar") for end in ("before", "after"))
    if before is not None and after is not None and after > before:
        faults.append(
            Fault("pressure_after_bar", f"{after:g} bar", f"must be at most the {before:g} bar before",
                  "swap them, or log the changed cylinder as two entries")
        )  # fmt: skip
    if not measured and not faults:
        faults.append(
            Fault(
                "entry", "nothing measured", "must hold at least one measured thing", "fill it in"
            )
        )
    if faults:
        return None, faults
    extra = {"entry": str(row["entry"]).strip()} if row.get("entry") else {}
    return Entry(job, day, measured, str(row.get("note") or ""), **extra), []


def read_log(path: str | os.PathLike) -> Log:
    """Return the log in a csv file; an absent file is an empty log.

    A spreadsheet may have saved it (see `log_file`).  Rows that are missing
    something, negative, absurd or there twice are set aside, each with its
    line and every fault; columns that no log has are told once, and left out.
    """
    file = LogFile.opened(followed(path), COLUMNS, strict=False)
    entries: list[Entry] = []
    aside: list[SetAside] = []
    if told := file.head_faults(COLUMNS):
        aside.append(SetAside(file.head_line, file.separator.join(file.head), tuple(told)))
    seen: dict[object, int] = {}
    for row in file.rows():
        entry, faults = None, list(row.faults)
        if not faults:
            cells = {n: file.number(c) if n in LIMITS else c for n, c in row.cells.items()}
            entry, faults = checked(cells)
        if entry is not None:
            keys: list[object] = [
                ("content", entry.job, entry.date, *sorted(entry.measured.items()))
            ]
            keys += [("entry", entry.entry)] if row.cells.get("entry") else []
            first = min((seen[key] for key in keys if key in seen), default=None)
            if first is None:
                seen |= dict.fromkeys(keys, row.line)
                entries.append(entry)
            else:
                faults = [Fault("row", "an entry twice", f"already at line {first}", "delete one")]
        if faults:
            aside.append(SetAside(row.line, row.text, tuple(faults)))
    return Log(tuple(entries), tuple(aside))


def add(path: str | os.PathLike, entry: Entry) -> None:
    """Add an entry to the log, in one step: two writers lose no row, a crash leaves the old file.

    It is written as the file is: its separator, decimal sign, encoding and line ends.

    Raises
    ------
    SheetkitError
        The entry's every fault, a file whose head is not a log's or that can't be
        written; nothing is written.
    """
    path = followed(path)
    row: dict[str, object] = {"entry": entry.entry, "date": entry.date, "job": entry.job}
    row |= {"note": entry.note, **{n: v for n, v in entry.measured.items() if n in LIMITS}}
    faults = [
        Fault(name, shown(name), f"must be one of {', '.join(LIMITS)}", "rename it")
        for name in entry.measured
        if name not in LIMITS
    ]
    sound, more = checked(row)
    if sound is None or faults:
        raise SheetkitError(faults + more)
    row["date"] = sound.date
    append(path, COLUMNS, row)
