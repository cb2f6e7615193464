"""A document as blocks: headings, paragraphs, tables, boxes to tick, frames, pictures.

One list of blocks becomes pages (`flow`) and HTML (`html`); its tables become CSV and
XLSX (`spreadsheet`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

from ..base.showing import Number
from .page import Box, Page

BODY_PT = 11.5
CELL_LINES = 24
"""More lines in one cell end in an ellipsis."""


@dataclass(frozen=True)
class Heading:
    """A heading; `size` in points."""

    text: str
    size: float = 16.0


@dataclass(frozen=True)
class Paragraph:
    """Running text; `size` in points, `most` lines at most."""

    text: str
    size: float = BODY_PT
    bold: bool = False
    most: int | None = None


@dataclass(frozen=True)
class Worked(Number):
    """A number that a workbook works out by itself, from the cells above it.

    formula : as a spreadsheet has it, the table's first row of numbers being its row 2
    """

    formula: str = ""


@dataclass(frozen=True)
class Table:
    """Rows under heads; `widths` are shares; `tick` puts a box before each row.

    Without `columns` there are no heads, and the first of each pair of cells is bold.
    """

    name: str
    columns: Sequence[str]
    rows: Sequence[Sequence[str | Number]]
    widths: Sequence[float]
    tick: bool = False
    size: float = BODY_PT
    least_mm: float = 0.0
    bold_last: bool = False
    most: int = CELL_LINES
    """Lines on paper of one cell; the table's files hold all of it."""
    pad_mm: float = 1.6
    """Room between a cell's text and its rules."""
    abreast: int = 1
    """On paper the rows stand in so many columns beside each other, each read downward."""


@dataclass(frozen=True)
class Ticks:
    """Short texts each with a box to tick, in columns; those `ticked` have their tick already."""

    items: Sequence[str]
    columns: int = 1
    size: float = BODY_PT
    ticked: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Frames:
    """Frames to stick photos in, each with its caption; `pictures` are those there are already."""

    captions: Sequence[str]
    height_mm: float = 60.0
    pictures: Sequence[bytes | None] = ()


@dataclass(frozen=True)
class Picture:
    """Pages that stand for themselves; `words` say what they show."""

    pages: Sequence[Page]
    words: str


@dataclass(frozen=True)
class Drawing:
    """A drawing `height_mm` high, as wide as there is room; `words` say what it shows."""

    draw: Callable[[Page, Box], None]
    height_mm: float
    words: str


@dataclass(frozen=True)
class Columns:
    """Blocks beside blocks; the left ones take `share` of the width. At least `height_mm` is kept free."""

    left: Sequence[Block]
    right: Sequence[Block]
    share: float = 0.5
    height_mm: float = 30.0


@dataclass(frozen=True)
class NewPage:
    """What follows starts on a new page."""


Block = Heading | Paragraph | Table | Ticks | Frames | Picture | Drawing | Columns | NewPage


def tables(blocks: Iterable[Block]) -> Iterator[Table]:
    """Yield the tables of a document."""
    return (block for block in blocks if isinstance(block, Table))
