"""The log of what jobs really took: a csv file, written in one step under a lock.

A row that can't be used is set aside with its faults, and stays in the file.
"""

from __future__ import annotations

import csv
import io
import os
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date
from math import isfinite
from pathlib import Path
from uuid import uuid4

from ..base.errors import Fault, SheetkitError, shown
from ..base.files import not_written, write_text_atomically
from ..formulas.hours import STEPS

LIMITS = {
    **dict.fromkeys(STEPS, (200.0, "h")),
    "wire_g": (20_000.0, "g"),
    "pressure_before_bar": (300.0, "bar"),
    "pressure_after_bar": (300.0, "bar"),
    "cutting_discs": (500.0, "discs"),
    "flap_discs": (500.0, "discs"),
}
"""Measured thing -> the most that can be meant, and its unit.  Zero is the least."""
COLUMNS = ("entry", "date", "job", *LIMITS, "note")
LOCK_SECONDS = 20.0


@dataclass(frozen=True)
class Entry:
    """What one job took: `measured` holds hours by step, wire, pressures, discs; what is known."""

    job: str
    date: str
    measured: Mapping[str, float]
    note: str = ""
    entry: str = field(default_factory=lambda: uuid4().hex[:12])


@dataclass(frozen=True)
class SetAside:
    """A row of the log that was not used: its line (0: named by its text), what it says, why."""

    line: int
    text: str
    faults: tuple[Fault, ...]

    @property
    def where(self) -> str:
        """Its line, or what it says."""
        return f"line {self.line}" if self.line else self.text

    def __str__(self) -> str:
        return f"{self.where}: " + "; ".join(map(str, self.faults))


@dataclass(frozen=True)
class Log:
    """What a log file holds: usable entries, and the rows set aside."""

    entries: tuple[Entry, ...]
    set_aside: tuple[SetAside, ...]


def _number(name: str, value: object, faults: list[Fault]) -> float | None:
    top, unit = LIMITS[name]
    try:
        number = float(value)
    except (TypeError, ValueError, OverflowError):
        number = float("nan")
    if not isfinite(number):
        faults.append(
            Fault(
                name, shown(value), "must be a number", f"write it in {unit}, with a decimal point"
            )
        )
    elif number < 0:
        faults.append(Fault(name, f"{number:g} {unit}", "must not be negative", "read it again"))
    elif number > top:
        faults.append(
            Fault(name, f"{number:g} {unit}", f"must be at most {top:g} {unit}", "check the unit")
        )
    else:
        return number
    return None


def _entry(row: Mapping[str, object]) -> tuple[Entry | None, list[Fault]]:
    """Return the entry in a row, or None and every fault of it."""
    faults: list[Fault] = []
    job, day = str(row.get("job") or "").strip(), str(row.get("date") or "").strip()
    if not job:
        faults.append(Fault("job", "nothing", "must name the job's file", "write trunk_floor.json"))
    try:
        date.fromisoformat(day)
    except ValueError:
        faults.append(Fault("date", shown(day), "must be a date", "write it as 2024-05-31"))
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


def _text(path: Path, *, strict: bool) -> str:
    """Return the log's text, empty if there is none; without `strict`, odd bytes are marked."""
    try:
        content = path.read_bytes() if path.exists() else b""
        return content.decode("utf-8-sig", "strict" if strict else "replace")
    except UnicodeDecodeError as error:
        raise SheetkitError(
            Fault("log", f"byte {error.start} is not UTF-8", "must be a UTF-8 text",
                  "save the log as UTF-8")
        ) from None  # fmt: skip
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise SheetkitError(
            Fault("log", f"it can't be read ({reason})", "must be a readable csv file",
                  "check its name and permissions")
        ) from None  # fmt: skip


def _rows(reader, aside: list[SetAside]) -> Iterator[list[str]]:
    """Give the rows of a csv reader; a row that csv itself refuses is set aside."""
    while True:
        try:
            yield next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            fault = Fault("row", str(error), "must be one csv row", "mend the row's quotes")
            aside.append(SetAside(reader.line_num, "", (fault,)))


def read_log(path: str | os.PathLike) -> Log:
    """Return the log in a csv file; an absent file is an empty log.

    Rows that are missing something, negative, absurd or there twice are set
    aside, each with its line and every fault.
    """
    path = Path(path)
    entries, aside = [], []
    seen: dict[object, int] = {}
    reader = csv.reader(io.StringIO(_text(path, strict=False), newline=""))
    rows = _rows(reader, aside)
    head = next(rows, [])
    unknown = [name for name in head if name not in COLUMNS]
    for cells in rows:
        if not cells:
            continue
        line, text = reader.line_num, ",".join(cells)
        if len(cells) > len(head) or unknown:
            what = f"unknown column {shown(unknown[0])}" if unknown else f"{len(cells)} cells"
            fault = Fault(
                "row", what, f"the head has {len(head)} known columns", "mend the row or head"
            )
            aside.append(SetAside(line, text, (fault,)))
            continue
        entry, faults = _entry(dict(zip(head, cells, strict=False)))
        if entry is not None:
            keys = [("content", entry.job, entry.date, tuple(sorted(entry.measured.items())))]
            keys += (
                [("entry", entry.entry)]
                if dict(zip(head, cells, strict=False)).get("entry")
                else []
            )
            first = min((seen[key] for key in keys if key in seen), default=None)
            if first is not None:
                faults = [Fault("row", "an entry twice", f"already at line {first}", "delete one")]
            else:
                seen |= dict.fromkeys(keys, line)
                entries.append(entry)
        if faults:
            aside.append(SetAside(line, text, tuple(faults)))
    return Log(tuple(entries), tuple(aside))


@contextmanager
def _locked(path: Path) -> Iterator[None]:
    """Hold the lock beside `path`; the system lets it go even if this process dies."""
    try:
        opened = path.with_name(f".{path.name}.lock").open("a+b")
    except OSError as error:
        raise not_written(path, error) from None
    with opened as file:
        end = time.monotonic() + LOCK_SECONDS
        while True:
            try:
                if os.name == "nt":
                    import msvcrt

                    file.seek(0)
                    msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
                else:
                    import fcntl

                    fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
                break
            except OSError:
                if time.monotonic() > end:
                    raise SheetkitError(
                        Fault("log", "locked by another program", f"waited {LOCK_SECONDS:g} s",
                              "close the other program and log it again")
                    ) from None  # fmt: skip
                time.sleep(0.01)
        try:
            yield
        finally:
            if os.name == "nt":
                file.seek(0)
                msvcrt.locking(file.fileno(), msvcrt.LK_UNLCK, 1)


def add(path: str | os.PathLike, entry: Entry) -> None:
    """Add an entry to the log, in one step: two writers lose no row, a crash leaves the old file.

    Raises
    ------
    SheetkitError
        The entry's every fault, a file whose head is not a log's or that can't be
        written; nothing is written.
    """
    path = Path(path)
    row = {"entry": entry.entry, "date": entry.date, "job": entry.job, "note": entry.note}
    unknown = [name for name in entry.measured if name not in LIMITS]
    faults = [
        Fault(name, shown(name), f"must be one of {', '.join(LIMITS)}", "rename it")
        for name in unknown
    ]
    row |= {name: value for name, value in entry.measured.items() if name in LIMITS}
    faults += _entry(row)[1]
    if faults:
        raise SheetkitError(faults)
    with _locked(path):
        text = _text(path, strict=True)
        if not text.strip():
            text = ",".join(COLUMNS) + "\n"
        head = next(_rows(csv.reader([text.split("\n", 1)[0]]), []), [])
        lacking = [name for name, value in row.items() if value != "" and name not in head]
        unknown = [f"unknown column {shown(name)}" for name in head if name not in COLUMNS]
        faulty = unknown + [f"no column {shown(name)}" for name in lacking]
        if faulty:
            raise SheetkitError(
                Fault("log", faulty[0], "the head must have a log's columns",
                      f"let the first line be {','.join(COLUMNS)}")
            )  # fmt: skip
        out = io.StringIO()
        csv.writer(out, lineterminator="\n").writerow([row.get(name, "") for name in head])
        text += ("" if text.endswith("\n") else "\n") + out.getvalue()
        rows = list(_rows(csv.reader(io.StringIO(text, newline="")), []))
        if rows[-1] != [str(row.get(name, "")) for name in head]:
            raise SheetkitError(
                Fault("log", "a quote left open in it", "would swallow the new entry",
                      "close the quote in the log's last lines and log the job again")
            )  # fmt: skip
        write_text_atomically(path, text)
