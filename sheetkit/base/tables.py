"""Reference tables: every number with its range, unit, source and status.

A row of a csv file is one quantity of one thing; `low` and `high` show where sources disagree.
"""

from __future__ import annotations

import csv
from bisect import bisect
from dataclasses import dataclass, fields, replace
from functools import cache, lru_cache
from importlib.resources import files

from .errors import check, unknown

GIVEN = "given by the user"
"""The status of an input that stands in the job."""


STATUSES = ("published", "published from memory", "derived", "common practice", "guess")
"""Every status a row can have, from the firmest to the weakest.

"published": found again in a public copy, or in a named edition and page; "published from
memory": known to be printed there, its copy not seen."""


@dataclass(frozen=True, slots=True)
class Row:
    """One quantity of one named thing; None for a bound that isn't known."""

    table: str
    name: str
    quantity: str
    low: float | None
    value: float
    high: float | None
    unit: str
    source: str
    status: str
    note: str

    @property
    def origin(self) -> str:
        """Status and source in words, neither said twice."""
        said = self.source.startswith(self.status)
        return self.source if said else f"{self.status}: {self.source}"


COLUMNS = tuple(field.name for field in fields(Row))[1:]
"""The columns of every table's file, in order."""


@cache
def table_names() -> tuple[str, ...]:
    """Return the names of all tables, sorted."""
    found = (file.name for file in (files(__package__) / "tables").iterdir())
    return tuple(sorted(name[:-4] for name in found if name.endswith(".csv")))


@cache
def rows(table: str) -> tuple[Row, ...]:
    """Return all rows of a table, in the file's order; UnknownName if there is no such table."""
    if table not in table_names():
        unknown("table", table, "must be a table", table_names())
    text = (files(__package__) / "tables" / f"{table}.csv").read_text(encoding="utf-8")
    return tuple(_row(table, *line) for line in list(csv.reader(text.splitlines()))[1:])


def _row(table: str, name: str, quantity: str, low: str, value: str, high: str, *words: str) -> Row:
    def bound(text: str) -> float | None:
        return float(text) if text else None

    return Row(table, name, quantity, bound(low), float(value), bound(high), *words)


@cache
def names(table: str) -> tuple[str, ...]:
    """Return the names in a table, in the file's order, each once."""
    return tuple(dict.fromkeys(row.name for row in rows(table)))


@cache
def _index(table: str) -> dict[tuple[str, str], Row]:
    return {(row.name, row.quantity): row for row in rows(table)}


def row(table: str, name: str, quantity: str) -> Row:
    """Return one row; UnknownName names the table, the name and the nearest there are."""
    found = _index(table).get((name, quantity))
    if found is not None:
        return found
    known_name(table, name)
    known = [row.quantity for row in rows(table) if row.name == name]
    unknown("quantity", quantity, f'must be one of "{name}" in table "{table}"', known)


def known_name(table: str, name: str) -> None:
    """Raise UnknownName, with the nearest there are, for a name that isn't in a table."""
    if name not in names(table):
        unknown("name", name, f'must be a name in table "{table}"', names(table))


def frame(table: str):
    """Return a table as a pandas DataFrame, one line per row, without the table's name."""
    import pandas as pd

    return pd.DataFrame(rows(table)).drop(columns="table")


@cache
def _numbered(table: str, quantity: str) -> tuple[tuple[float, ...], tuple[Row, ...]]:
    found = [row for row in rows(table) if row.quantity == quantity]
    if not found:
        known = [row.quantity for row in rows(table)]
        unknown("quantity", quantity, f'must be a quantity in table "{table}"', known)
    try:
        found.sort(key=lambda row: float(row.name))
    except ValueError:
        numbered = [name for name in table_names() if names(name)[0].replace(".", "").isdigit()]
        unknown("table", table, "must have numbers for names (not numbers: use row())", numbered)
    return tuple(float(row.name) for row in found), tuple(found)


def interpolate(table: str, quantity: str, x: float) -> Row:
    """Return a table's row at a number, linear between the neighbouring names, never beyond.

    The table's names must be numbers, as in "settings_135"; x is in their unit.
    Returns the table's own row at a name; between names a new row, no firmer
    than its neighbours: their weaker status, "derived" if both are published.
    Raises OutOfRange outside the table, UnknownName for an unknown table or quantity.
    """
    points, found = _numbered(table, quantity)
    if not points[0] <= x <= points[-1]:
        check(f'{quantity} in table "{table}"', x, points[0], points[-1])
    i = min(bisect(points, x), len(points) - 1)
    a, b = found[i - 1], found[i]
    if x in (points[i - 1], points[i]):
        return a if x == points[i - 1] else b
    share = (x - points[i - 1]) / (points[i] - points[i - 1])

    def between(low: float, high: float) -> float:
        return low + (high - low) * share

    def bound(low: float | None, high: float | None) -> float | None:
        return None if low is None or high is None else between(low, high)

    sources = " | ".join(dict.fromkeys((a.source, b.source)))
    return Row(
        table,
        f"{x:g}",
        quantity,
        bound(a.low, b.low),
        between(a.value, b.value),
        bound(a.high, b.high),
        a.unit,
        f"linear between {a.name} and {b.name}: {sources}",
        max("derived", a.status, b.status, key=STATUSES.index),
        f"from rows of status {a.status}, {b.status}",
    )


def plug_hole(quantity: str, thickness_mm: float) -> Row:
    """Return a quantity of plug holes for a sheet, mm; the end rows' beyond the table's ends."""
    points = [float(name) for name in names("plug_holes")]
    return interpolate("plug_holes", quantity, min(max(thickness_mm, points[0]), points[-1]))


def given(name: str, value: float, unit: str, note: str = "") -> Row:
    """Return an input the user gave, as a row."""
    return Row("job", name, name, None, float(value), None, unit, "the job", GIVEN, note)


def derived(name: str, value: float, unit: str, source: str) -> Row:
    """Return an input computed outside the chain (geometry, counts), as a row."""
    return Row("geometry", name, name, None, float(value), None, unit, source, "derived", "")


@lru_cache(maxsize=4096)
def renamed(row: Row, name: str, scale: float = 1.0, unit: str | None = None) -> Row:
    """Return a table's row under the name it has in the chain."""

    def by(x: float | None) -> float | None:
        return None if x is None else x * scale

    return Row(
        row.table,
        row.name,
        name,
        by(row.low),
        row.value * scale,
        by(row.high),
        unit or row.unit,
        row.source,
        row.status,
        row.note,
    )


@lru_cache(maxsize=4096)
def chosen(row: Row) -> Row:
    """Return a row as a choice that was made: its value stands, and is no uncertainty."""
    return replace(row, low=None, high=None)


def limit(name: str) -> Row:
    """Return a row of the table "limits"."""
    return row("limits", name, "value")
