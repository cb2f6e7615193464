"""The log of what readings said of a shop's heat and losses: a csv file beside the job log.

A row a job: its ratios to the book with their spread, and the readings they rest
on.  Kept again with more readings, a job's later row stands for the earlier.  A
row that can't be used is set aside with its faults, and stays in the file.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from math import isfinite
from pathlib import Path
from uuid import uuid4

from ..base.errors import Fault, OutOfRange, SheetkitError, shown
from ..base.files import followed
from ..base.showing import Column, Listing
from ..sequence.burnt_strip import MeasuredStrip
from ..sequence.cooling_curve import Learned, Reading
from ..sequence.shop_heat import BOOK, ShopHeat, pooled
from .log import day_of
from .log_file import LogFile, SetAside, append

HEAT_LOG_NAME = "heat.csv"
FIGURES = {
    "heat_ratio": "heat",
    "heat_spread": "heat_sd",
    "loss_ratio": "loss",
    "loss_spread": "loss_sd",
    "together": "together",
    "readings": "readings",
}
"""Column -> field of `ShopHeat`; spreads are standard deviations of the ratios' logarithms."""
COLUMNS = ("entry", "date", "job", *FIGURES, "read", "note")
MOST_READINGS = 1000


@dataclass(frozen=True)
class HeatEntry:
    """What one job's readings said: `heat`, and in `read` the readings as they were."""

    job: str
    date: str
    heat: ShopHeat
    read: str = ""
    note: str = ""
    entry: str = field(default_factory=lambda: f"h{uuid4().hex[:11]}")
    """Begins with a letter, so that no spreadsheet takes it for a number."""


@dataclass(frozen=True)
class HeatLog:
    """What a heat log holds: usable entries, and the rows set aside."""

    entries: tuple[HeatEntry, ...] = ()
    set_aside: tuple[SetAside, ...] = ()

    @property
    def own(self) -> ShopHeat:
        """The shop's own heat and losses, for the next job; without an entry the book's."""
        return pooled([entry.heat for entry in self.entries])

    def listing(self) -> Listing:
        """Return heat and losses: the book's range of the ratio beside your own."""
        own, rests = (
            self.own,
            "your own thermometer and ruler" if self.entries else "the book alone",
        )
        rows = [
            (what, book, mine, own.jobs, own.readings, rests)
            for what, book, mine in (
                ("heat into the sheet", BOOK.heat_range, own.heat_range),
                ("loss to the air", BOOK.loss_range, own.loss_range),
            )
        ]
        return Listing(
            ["over the book's", Column("by the book", "", 2), Column("your own", "", 2), "jobs",
             "readings", "rests on"],
            rows,
        )  # fmt: skip


def entry_of(
    job: str,
    learned: Learned,
    readings: tuple[Reading, ...] = (),
    strip: MeasuredStrip | None = None,
    **more: str,
) -> HeatEntry:
    """Return the entry of one job's readings, dated today unless `date` is given."""
    read = [f"{one.after_s:.0f} s {one.celsius:.1f} degC" for one in readings]
    if strip is not None:
        read.append(f"strip {strip.width_mm:.1f} mm to {strip.edge_c:.0f} degC")
    return HeatEntry(**{"job": job, "date": date.today().isoformat()} | more, heat=learned.heat,
                     read="; ".join(read))  # fmt: skip


def _entry(cells: Mapping[str, object]) -> tuple[HeatEntry | None, list[Fault]]:
    """Return the entry in a row, or None and every fault of it."""
    faults: list[Fault] = []
    day = day_of(str(cells.get("date") or "").strip(), faults)
    numbers: dict[str, float] = {}
    for column, name in FIGURES.items():
        try:
            number = float(str(cells.get(column) or ""))
        except ValueError:
            number = float("nan")
        if isfinite(number):
            numbers[name] = number
        else:
            faults.append(Fault(column, shown(cells.get(column) or ""), "must be a number",
                                "write it with a decimal point"))  # fmt: skip
    count = numbers.pop("readings", 1.0)
    if not (count == int(count) and 1 <= count <= MOST_READINGS):
        faults.append(Fault("readings", f"{count:g}", f"must be a whole number, 1 to {MOST_READINGS}",
                            "count them again"))  # fmt: skip
    heat = None
    if len(numbers) == len(FIGURES) - 1:
        try:
            heat = ShopHeat(**numbers, readings=int(count), jobs=1)
        except OutOfRange as error:
            of = {name: column for column, name in FIGURES.items()}
            faults += [replace(one, field=of.get(one.field, one.field)) for one in error.faults]
    if faults or heat is None:
        return None, faults
    extra = {"entry": str(cells["entry"]).strip()} if cells.get("entry") else {}
    texts = {name: str(cells.get(name) or "").strip() for name in ("job", "read", "note")}
    return HeatEntry(date=day, heat=heat, **texts, **extra), []


def read_heat_log(path: str | os.PathLike) -> HeatLog:
    """Return the log in a csv file, or in a folder's heat.csv; an absent file is an empty log.

    A spreadsheet may have saved it (see `log_file`).  Rows that are missing
    something or absurd are set aside, each with its line and every fault.
    """
    file = LogFile.opened(heat_log_path(path), COLUMNS, strict=False)
    found: dict[object, HeatEntry] = {}
    aside: list[SetAside] = []
    if told := file.head_faults(COLUMNS):
        aside.append(SetAside(file.head_line, file.separator.join(file.head), tuple(told)))
    for row in file.rows():
        entry, faults = None, list(row.faults)
        if not faults:
            cells = {n: file.number(c) if n in FIGURES else c for n, c in row.cells.items()}
            entry, faults = _entry(cells)
        if entry is not None:
            content = (entry.job, entry.date, entry.read)
            named = bool(row.cells.get("entry"))
            if entry.read and any((e.job, e.date, e.read) == content for e in found.values()):
                found = {k: e for k, e in found.items() if (e.job, e.date, e.read) != content}
            found[entry.entry if named else row.line] = entry
        if faults:
            aside.append(SetAside(row.line, row.text, tuple(faults)))
    return HeatLog(tuple(found.values()), tuple(aside))


def heat_log_path(path: str | os.PathLike) -> Path:
    """Return the heat log's file: the path itself, or heat.csv in the folder it is."""
    path = followed(path)
    return path / HEAT_LOG_NAME if path.is_dir() else path


def own_heat(path: str | os.PathLike) -> ShopHeat:
    """Return a shop's own heat and losses from its log, for `plan(..., own=...)`.

    Raises
    ------
    SheetkitError
        There is no such file, or no usable entry in it.
    """
    where = heat_log_path(path)
    if not where.exists():
        raise SheetkitError(Fault("own", where.name, "must be a heat log that is there",
                                  "keep a job's readings first, or check the name"))  # fmt: skip
    log = read_heat_log(where)
    if not log.entries:
        told = "; ".join(map(str, log.set_aside)) or "it is empty"
        raise SheetkitError(Fault("own", f"{where.name} ({told})", "must hold a usable entry",
                                  "keep a job's readings, or leave it out"))  # fmt: skip
    return log.own


def keep(path: str | os.PathLike, entry: HeatEntry) -> None:
    """Add an entry to the log, in one step; kept again, it stands for its earlier row.

    Raises
    ------
    SheetkitError
        Every fault of the entry, a file whose head is not a heat log's or that
        can't be written; nothing is written.
    """
    row: dict[str, object] = {"entry": entry.entry, "date": entry.date, "job": entry.job}
    for column, name in FIGURES.items():
        value = getattr(entry.heat, name)
        row[column] = value if column == "readings" else round(value, 5)
    row |= {"read": entry.read, "note": entry.note}
    sound, faults = _entry(row)
    if sound is None:
        raise SheetkitError(faults)
    row["date"] = sound.date
    append(heat_log_path(path), COLUMNS, row)
