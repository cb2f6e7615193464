"""A document as blocks: headings, paragraphs, tables, boxes to tick, frames, pictures.

One list of blocks becomes PDF pages (`flowed`) and HTML (`webpage`); its
tables become CSV and XLSX (`workbook`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from ..base.showing import Number
from . import lettering
from .lettering import LINE, POINT_MM
from .page import Page, Pen

HEAD_MM, FOOT_MM = 12.0, 8.0
BODY_PT = 11.5
CELL_MM = 1.6
"""Room between a table's text and its rules."""
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
class Table:
    """Rows under heads; `widths` are shares; `tick` puts a box before each row."""

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


@dataclass(frozen=True)
class Ticks:
    """Short texts each with a box to tick, in columns."""

    items: Sequence[str]
    columns: int = 1
    size: float = BODY_PT


@dataclass(frozen=True)
class Frames:
    """Empty frames to stick photos in, each with its caption."""

    captions: Sequence[str]
    height_mm: float = 60.0


@dataclass(frozen=True)
class Picture:
    """Pages that stand for themselves; `words` say what they show."""

    pages: Sequence[Page]
    words: str


@dataclass(frozen=True)
class NewPage:
    """What follows starts on a new page."""


Block = Heading | Paragraph | Table | Ticks | Frames | Picture | NewPage


@dataclass
class _Flow:
    """Fills pages from the top; `y` is where the next block's top stands, mm."""

    paper: str
    title: str
    kind: str
    pages: list[Page] = field(default_factory=list)
    y: float = 0.0

    def __post_init__(self):
        self.turn()

    @property
    def page(self) -> Page:
        return self.pages[-1]

    def turn(self) -> None:
        page = Page(self.paper)
        left, _, right, top = page.inner
        page.text(left, top - 4.5, self.kind, size=11, bold=True, room=60)
        page.text(right, top - 4.5, self.title, size=11, align="right", room=right - left - 65)
        page.line((left, top - 7), (right, top - 7))
        self.pages.append(page)
        self.y = top - HEAD_MM

    def need(self, height: float) -> bool:
        """Turn the page unless `height` mm is left on it; say whether it was turned."""
        _, bottom, _, top = self.page.inner
        fresh = self.y > top - HEAD_MM - 1e-6
        if self.y - height >= bottom + FOOT_MM or fresh:
            return False
        self.turn()
        return True

    def lines(self, lines: Iterable[str], size: float, bold: bool, left: float = 0.0) -> None:
        pitch = LINE * size * POINT_MM
        for line in lines:
            self.need(pitch)
            baseline = self.y - lettering.ASCENT * size * POINT_MM
            self.page.text(self.page.inner[0] + left, baseline, line, size=size, bold=bold)
            self.y -= pitch


def flowed(blocks: Iterable[Block], *, paper: str, title: str, kind: str) -> list[Page]:
    """Return the pages of a document; `kind` and `title` head each, the number foots it."""
    flow = _Flow(paper, title, kind)
    blocks = list(blocks)
    for block, following in zip(blocks, [*blocks[1:], None], strict=True):
        if isinstance(block, Heading):
            flow.y -= 2.5
            below = following.height_mm + 12 if isinstance(following, Frames) else 30
            flow.need(LINE * block.size * POINT_MM + below)
            room = flow.page.inner[2] - flow.page.inner[0]
            flow.lines(
                lettering.wrapped(block.text, block.size, room, True, most=3), block.size, True
            )
            flow.y -= 1.5
        elif isinstance(block, Paragraph):
            room = flow.page.inner[2] - flow.page.inner[0]
            found = lettering.wrapped(block.text, block.size, room, block.bold, most=block.most)
            flow.lines(found, block.size, block.bold)
            flow.y -= 2
        elif isinstance(block, Table):
            _table(flow, block)
        elif isinstance(block, Ticks):
            _ticks(flow, block)
        elif isinstance(block, Frames):
            _frames(flow, block)
        elif isinstance(block, Picture):
            fresh = flow.page
            untouched = flow.y > fresh.inner[3] - HEAD_MM - 1e-6
            if untouched:
                flow.pages.pop()
            flow.pages += block.pages
            flow.turn()
        elif flow.y < flow.page.inner[3] - HEAD_MM - 1e-6:
            flow.turn()
    if flow.y > flow.page.inner[3] - HEAD_MM - 1e-6 and len(flow.pages) > 1:
        flow.pages.pop()
    for number, page in enumerate(flow.pages, 1):
        _, bottom, right, _ = page.inner
        page.text(right, bottom + 1, f"page {number} of {len(flow.pages)}", size=9, align="right")
    return flow.pages


def _box(page: Page, x: float, top: float, size: float) -> None:
    """Draw a box to tick as high as a capital letter and a little more."""
    side = size * POINT_MM * 0.95
    page.box(x, top - side, x + side, top, Pen(0.35))


def _table(flow: _Flow, table: Table) -> None:
    left, _, right, _ = flow.page.inner
    size, unit = table.size, table.size * POINT_MM
    tick = unit + 3 if table.tick else 0.0
    total = sum(table.widths)
    widths = [w / total * (right - left - tick) for w in table.widths]
    edges = [left + tick]
    for width in widths:
        edges.append(edges[-1] + width)

    def row(cells: Sequence, bold: bool, head: bool = False) -> None:
        wrapped = [
            lettering.wrapped(str(cell), size, width - 2 * CELL_MM, bold, most=table.most)
            for cell, width in zip(cells, widths, strict=True)
        ]
        height = max(
            max(map(len, wrapped)) * LINE * unit + 2 * CELL_MM, table.least_mm * (not head)
        )
        if flow.need(height) and not head:
            row(table.columns, True, head=True)
        page, top = flow.page, flow.y
        if head:
            page.box(left, top - height, right, top, Pen(0.3), fill=0.9)
        for cell, lines, start, width in zip(cells, wrapped, edges, widths, strict=False):
            right_aligned = isinstance(cell, Number)
            x = start + width - CELL_MM if right_aligned else start + CELL_MM
            for number, line in enumerate(lines):
                page.text(
                    x,
                    top - CELL_MM - lettering.ASCENT * unit - number * LINE * unit,
                    line,
                    size=size,
                    bold=bold,
                    align="right" if right_aligned else "left",
                )
        if table.tick and not head:
            _box(page, left + 1.2, top - CELL_MM - 0.1 * unit, size)
        page.box(left, top - height, right, top, Pen(0.2))
        for edge in edges[0 if table.tick else 1 : -1]:
            page.line((edge, top - height), (edge, top), pen=Pen(0.15))
        flow.y -= height

    flow.need(3 * (LINE * unit + 2 * CELL_MM))
    row(table.columns, True, head=True)
    for number, cells in enumerate(table.rows):
        row(cells, table.bold_last and number == len(table.rows) - 1)
    flow.y -= 3


def _ticks(flow: _Flow, ticks: Ticks) -> None:
    left, _, right, _ = flow.page.inner
    size, unit = ticks.size, ticks.size * POINT_MM
    each = (right - left) / ticks.columns
    for first in range(0, len(ticks.items), ticks.columns):
        cells = [
            lettering.wrapped(item, size, each - unit - 4, most=CELL_LINES)
            for item in ticks.items[first : first + ticks.columns]
        ]
        height = max(map(len, cells)) * LINE * unit + 1.2
        flow.need(height)
        for column, lines in enumerate(cells):
            x = left + column * each
            _box(flow.page, x + 0.3, flow.y - 0.1 * unit, size)
            for number, line in enumerate(lines):
                baseline = flow.y - lettering.ASCENT * unit - number * LINE * unit
                flow.page.text(x + unit + 2, baseline, line, size=size)
        flow.y -= height
    flow.y -= 2


def _frames(flow: _Flow, frames: Frames) -> None:
    left, _, right, _ = flow.page.inner
    each = (right - left - 6) / 2
    for first in range(0, len(frames.captions), 2):
        flow.need(frames.height_mm + 8)
        for column, caption in enumerate(frames.captions[first : first + 2]):
            x = left + column * (each + 6)
            flow.page.box(x, flow.y - frames.height_mm, x + each, flow.y, Pen(0.25, (2, 1.5)))
            flow.page.text(x, flow.y - frames.height_mm - 4.5, caption, size=10, room=each)
        flow.y -= frames.height_mm + 9


def tables(blocks: Iterable[Block]) -> Iterator[Table]:
    """Yield the tables of a document."""
    return (block for block in blocks if isinstance(block, Table))
