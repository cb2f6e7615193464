"""How results show themselves in a notebook: ranges, listings, and `Shown`, their common parent.

A class takes `Shown` among its parents, writes a short `__repr__` of its own, and has its
listing and its chart in `sheetkit.views.results`, under the class's name.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from html import escape
from typing import TYPE_CHECKING, Any, Protocol

if TYPE_CHECKING:
    import pandas as pd
    from matplotlib.axes import Axes

NOTHING = "–"
"""What stands in a cell that has no value."""


class Views(Protocol):
    """What knows how each class looks (`views.results`)."""

    def view_of(self, result: object) -> Any:
        """Return what lists and draws a result."""

    def page_of(self, result: Any) -> str:
        """Return a result as HTML."""


_opener: Callable[[], Views] | None = None


def shown_by(opener: Callable[[], Views]) -> None:
    """Say what opens the views, which stand floors above; only the front door, over all, does.

    It is called when somebody looks at a result: matplotlib and pandas load for those alone.
    """
    global _opener
    _opener = opener


def _views() -> Views:
    assert _opener is not None, "the front door gives it before any room opens"
    return _opener()


class Shown:
    """A result with an HTML view, a table and a chart of its own."""

    def listing(self, *, display: str = "mm") -> Listing:
        """Return the result's rows, which know their units and digits; display is "mm" or "in"."""
        return _views().view_of(self).listing(self, display)

    def table(self, *args: Any, **options: Any) -> pd.DataFrame:
        """Return the result as a pandas DataFrame, units in the columns' names.

        Options are those of its listing, such as ``display="in"``.
        """
        return self.listing(*args, **options).table()

    def plot(self, ax: Axes | None = None, **options: Any) -> Axes:
        """Draw the result on `ax`, or on a new figure; options are those of its chart."""
        return _views().view_of(self).plot(self, ax, **options)

    def _repr_html_(self) -> str:
        return _views().page_of(self)


def counted(number: int, one: str, several: str = "") -> str:
    """Give "1 tack", "3 tacks", or with `several` "2 patches"."""
    return f"{number} {one if number == 1 else several or one + 's'}"


def sensible_digits(value: float, figures: int = 3) -> int:
    """Return how many digits after the point show a number to three significant figures."""
    if not value or not math.isfinite(value):
        return 0
    return min(max(figures - 1 - math.floor(math.log10(abs(value)) + 1e-9), 0), 9)


@dataclass(frozen=True)
class Range(Shown):
    """A figure's low, likely and high, all in `unit`.

    As text to three significant figures, or as a format says: ``f"{result.hours:.1f}"``.
    """

    low: float
    likely: float
    high: float
    unit: str = ""

    def __format__(self, spec: str) -> str:
        spec = spec or f".{sensible_digits(self.likely)}f"
        unit = f" {self.unit}" if self.unit else ""
        if self.low == self.high:
            return f"{self.likely:{spec}}{unit}"
        return f"{self.likely:{spec}}{unit} ({self.low:{spec}} to {self.high:{spec}})"

    def __repr__(self) -> str:
        return format(self)

    def _repr_html_(self) -> str:
        return f"<p>{escape(repr(self))}</p>"


@dataclass(frozen=True)
class Number:
    """A cell that is a number in a frame or a table's file, and `text` where it is read."""

    value: float
    text: str

    def __str__(self) -> str:
        return self.text


@dataclass(frozen=True)
class Column:
    """What a column holds: its name, the unit of its cells, the digits shown after the point.

    digits : None shows three significant figures
    """

    name: str
    unit: str = ""
    digits: int | None = 0

    @property
    def head(self) -> str:
        """Name and unit, such as "seam, m"."""
        return f"{self.name}, {self.unit}" if self.unit else self.name


@dataclass(frozen=True, repr=False)
class Listing:
    """Rows under columns, to stand at the end of a notebook cell.

    columns : Column, or the bare name of a column of texts or whole numbers
    rows : sequences of texts, numbers, `Number`s, `Range`s, truths and None, one for each column
    """

    columns: Sequence[Column]
    rows: Sequence[Sequence[Any]]

    def __init__(self, columns: Iterable[Column | str], rows: Iterable[Sequence[Any]]):
        named = tuple(Column(one) if isinstance(one, str) else one for one in columns)
        object.__setattr__(self, "columns", named)
        object.__setattr__(self, "rows", tuple(tuple(row) for row in rows))
        for row in self.rows:
            if len(row) != len(named):
                raise TypeError(f"{len(row)} cells under {len(named)} heads: {row}")

    @property
    def heads(self) -> tuple[str, ...]:
        """The columns' names with their units."""
        return tuple(column.head for column in self.columns)

    def texts(self) -> list[list[str]]:
        """Return the rows as they are read."""
        return [
            [_text(cell, column) for cell, column in zip(row, self.columns, strict=True)]
            for row in self.rows
        ]

    def table(self) -> pd.DataFrame:
        """Return the rows as a pandas DataFrame, unrounded, units in the columns' names.

        A range takes three columns: the likely value under the head itself, and its two ends.
        """
        import pandas as pd

        found: dict[str, list] = {}
        for number, column in enumerate(self.columns):
            cells = [row[number] for row in self.rows]
            if any(isinstance(cell, Range) for cell in cells):
                found[column.head] = [getattr(cell, "likely", cell) for cell in cells]
                for end in ("low", "high"):
                    head = Column(f"{column.name} {end}", column.unit).head
                    found[head] = [getattr(cell, end, cell) for cell in cells]
            else:
                found[column.head] = [
                    cell.value if isinstance(cell, Number) else cell for cell in cells
                ]
        return pd.DataFrame(found)

    def _repr_html_(self) -> str:
        texts = self.texts()
        sides = [
            "right"
            if any(isinstance(row[n], int | float | Number) for row in self.rows)
            else "left"
            for n in range(len(self.columns))
        ]

        def line(cells: Sequence[str], tag: str) -> str:
            return "".join(
                f'<{tag} style="text-align:{side}">{escape(cell)}</{tag}>'
                for cell, side in zip(cells, sides, strict=True)
            )

        body = "".join(f"<tr>{line(row, 'td')}</tr>" for row in texts)
        return (
            f'<div style="overflow-x:auto"><table style="border-spacing:.8em 0"><thead><tr>{line(self.heads, "th")}</tr></thead>'
            f"<tbody>{body}</tbody></table></div>"
        )

    def __repr__(self) -> str:
        return "\n".join(" | ".join(row) for row in [list(self.heads), *self.texts()])


def _is_number(cell: Any) -> bool:
    return isinstance(cell, int | float | Number | Range) and not isinstance(cell, bool)


def _rounded(value: float, digits: int | None) -> str:
    text = f"{value:.{sensible_digits(value) if digits is None else digits}f}"
    return text.removeprefix("-") if not float(text) else text


def _text(cell: Any, column: Column) -> str:
    """Return a cell as it is read."""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if cell is None or (isinstance(cell, float) and math.isnan(cell)):
        return NOTHING
    if isinstance(cell, Range):
        digits = sensible_digits(cell.likely) if column.digits is None else column.digits
        low, likely, high = (_rounded(end, digits) for end in (cell.low, cell.likely, cell.high))
        return likely if low == high else f"{likely} ({low} to {high})"
    if isinstance(cell, int):
        return str(cell)
    try:  # numpy's numbers too
        return str(cell) if isinstance(cell, str | Number) else _rounded(float(cell), column.digits)
    except (TypeError, ValueError):
        return str(cell)
