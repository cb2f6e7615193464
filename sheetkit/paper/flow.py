"""Blocks put below one another on pages, from the top, each page headed and numbered."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from ..base.showing import Number
from . import lettering
from .blocks import (
    CELL_LINES,
    Block,
    Columns,
    Drawing,
    Frames,
    Heading,
    Paragraph,
    Picture,
    Table,
    Ticks,
)
from .job_photos import put
from .lettering import LINE, POINT_MM
from .page import Page, Pen

HEAD_MM, FOOT_MM = 12.0, 8.0
CELL_MM = 1.6
"""Room between a table's text and the rules beside it."""
COLUMN_GAP_MM = 5.0


@dataclass
class _Flow:
    """Fills pages from the top; `y` is where the next block's top stands, between `left` and `right`, mm."""

    paper: str
    title: str
    kind: str
    pages: list[Page] = field(default_factory=list)
    y: float = 0.0
    left: float = 0.0
    right: float = 0.0

    def __post_init__(self):
        self.turn()
        self.left, _, self.right, _ = self.page.inner

    @property
    def page(self) -> Page:
        return self.pages[-1]

    @property
    def room(self) -> float:
        return self.right - self.left

    @property
    def fresh(self) -> bool:
        """Whether nothing stands on the page yet."""
        return self.y > self.page.inner[3] - HEAD_MM - 1e-6

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
        if self.y - height >= self.page.inner[1] + FOOT_MM or self.fresh:
            return False
        self.turn()
        return True

    def lines(self, lines: Iterable[str], size: float, bold: bool) -> None:
        pitch = LINE * size * POINT_MM
        for line in lines:
            self.need(pitch)
            baseline = self.y - lettering.ASCENT * size * POINT_MM
            self.page.text(self.left, baseline, line, size=size, bold=bold)
            self.y -= pitch


def flowed(blocks: Iterable[Block], *, paper: str, title: str, kind: str) -> list[Page]:
    """Return the pages of a document; `kind` and `title` head each, the number foots it."""
    flow = _Flow(paper, title, kind)
    _put(flow, list(blocks))
    if flow.fresh and len(flow.pages) > 1:
        flow.pages.pop()
    for number, page in enumerate(flow.pages, 1):
        _, bottom, right, _ = page.inner
        page.text(right, bottom + 1, f"page {number} of {len(flow.pages)}", size=9, align="right")
    return flow.pages


def _put(flow: _Flow, blocks: Sequence[Block]) -> None:
    """Put blocks below one another."""
    for block, following in zip(blocks, [*blocks[1:], None], strict=True):
        if isinstance(block, Heading):
            _heading(flow, block, following)
        elif isinstance(block, Paragraph):
            found = lettering.wrapped(
                block.text, block.size, flow.room, block.bold, most=block.most
            )
            flow.lines(found, block.size, block.bold)
            flow.y -= 2
        elif isinstance(block, Table):
            (_table if block.abreast == 1 else _abreast)(flow, block)
        elif isinstance(block, Ticks):
            _ticks(flow, block)
        elif isinstance(block, Frames):
            _frames(flow, block)
        elif isinstance(block, Drawing):
            flow.need(block.height_mm)
            bottom = flow.y - block.height_mm
            block.draw(flow.page, (flow.left, bottom, flow.right, flow.y))
            flow.y = bottom - 2
        elif isinstance(block, Columns):
            _columns(flow, block)
        elif isinstance(block, Picture):
            if flow.fresh:
                flow.pages.pop()
            flow.pages += block.pages
            flow.turn()
        elif not flow.fresh:
            flow.turn()


def _heading(flow: _Flow, heading: Heading, following: Block | None) -> None:
    flow.y -= 2.5 if not flow.fresh else 0.0
    below = 30.0
    if isinstance(following, Frames):
        below = following.height_mm + 12
    elif isinstance(following, Table) and following.least_mm:
        below = 2 * following.least_mm
    flow.need(LINE * heading.size * POINT_MM + below)
    found = lettering.wrapped(heading.text, heading.size, flow.room, True, most=3)
    flow.lines(found, heading.size, True)
    flow.y -= 1.5


def _columns(flow: _Flow, columns: Columns) -> None:
    """Put blocks beside blocks; where the left ones turn the page, the right ones follow them."""
    flow.need(columns.height_mm)
    left, right, top, page = flow.left, flow.right, flow.y, flow.page
    middle = left + columns.share * (right - left - COLUMN_GAP_MM)
    flow.right = middle
    _put(flow, columns.left)
    ended, lowest = flow.page, flow.y
    flow.left, flow.right = middle + COLUMN_GAP_MM, right
    if ended is page:
        flow.y = top
    _put(flow, columns.right)
    flow.left = left
    if flow.page is ended:
        flow.y = min(flow.y, lowest)


def _box(page: Page, x: float, top: float, size: float, ticked: bool = False) -> None:
    """Draw a box to tick, or a ticked one, as high as a capital letter and a little more."""
    side = size * POINT_MM * 0.95
    page.box(x, top - side, x + side, top, Pen(0.35))
    if ticked:
        page.line((x, top - side), (x + side, top), pen=Pen(0.5))
        page.line((x, top), (x + side, top - side), pen=Pen(0.5))


def _abreast(flow: _Flow, table: Table) -> None:
    """Put a table's rows in columns, each read downward before the next, page by page."""
    one = replace(table, abreast=1)
    row = max(LINE * table.size * POINT_MM + 2 * table.pad_mm, table.least_mm) + 1e-6
    left, right = flow.left, flow.right
    each = (right - left - (table.abreast - 1) * COLUMN_GAP_MM) / table.abreast
    rows = list(table.rows)
    while rows:
        flow.need(6 * row)
        # a row for the heads, which may take two lines
        fit = max(int((flow.y - flow.page.inner[1] - FOOT_MM) / row) - 2, 1)
        tall = min(fit, -(-len(rows) // table.abreast))
        top, lowest = flow.y, flow.y
        for column in range(table.abreast):
            part, rows = rows[:tall], rows[tall:]
            if not part:
                break
            flow.y, flow.left = top, left + column * (each + COLUMN_GAP_MM)
            flow.right = flow.left + each
            _table(flow, replace(one, rows=part))
            lowest = min(lowest, flow.y)
        flow.y, flow.left, flow.right = lowest, left, right


def _table(flow: _Flow, table: Table) -> None:
    left, right = flow.left, flow.right
    size, unit = table.size, table.size * POINT_MM
    tick = unit + 3 if table.tick else 0.0
    total = sum(table.widths)
    widths = [w / total * (right - left - tick) for w in table.widths]
    edges = [left + tick]
    for width in widths:
        edges.append(edges[-1] + width)

    def row(cells: Sequence, bold: bool, head: bool = False) -> None:
        weights = [bold or (not table.columns and n % 2 == 0) for n in range(len(cells))]
        wrapped = [
            lettering.wrapped(str(cell), size, width - 2 * CELL_MM, weight, most=table.most)
            for cell, width, weight in zip(cells, widths, weights, strict=True)
        ]
        height = max(
            max(map(len, wrapped)) * LINE * unit + 2 * table.pad_mm, table.least_mm * (not head)
        )
        if flow.need(height) and not head and table.columns:
            row(table.columns, True, head=True)
        page, top = flow.page, flow.y
        if head:
            page.box(left, top - height, right, top, Pen(0.3), fill=0.9)
        for cell, lines, start, width, weight in zip(
            cells, wrapped, edges, widths, weights, strict=False
        ):
            right_aligned = isinstance(cell, Number)
            x = start + width - CELL_MM if right_aligned else start + CELL_MM
            for number, line in enumerate(lines):
                page.text(
                    x,
                    top - table.pad_mm - lettering.ASCENT * unit - number * LINE * unit,
                    line,
                    size=size,
                    bold=weight,
                    align="right" if right_aligned else "left",
                )
        if table.tick and not head:
            _box(page, left + 1.2, top - table.pad_mm - 0.1 * unit, size)
        page.box(left, top - height, right, top, Pen(0.2))
        for edge in edges[0 if table.tick else 1 : -1]:
            page.line((edge, top - height), (edge, top), pen=Pen(0.15))
        flow.y -= height

    flow.need(3 * (LINE * unit + 2 * table.pad_mm))
    if table.columns:
        row(table.columns, True, head=True)
    for number, cells in enumerate(table.rows):
        row(cells, table.bold_last and number == len(table.rows) - 1)
    flow.y -= 3


def _ticks(flow: _Flow, ticks: Ticks) -> None:
    left, right = flow.left, flow.right
    size, unit = ticks.size, ticks.size * POINT_MM
    each = (right - left) / ticks.columns
    for first in range(0, len(ticks.items), ticks.columns):
        items = ticks.items[first : first + ticks.columns]
        cells = [lettering.wrapped(item, size, each - unit - 4, most=CELL_LINES) for item in items]
        height = max(map(len, cells)) * LINE * unit + 1.2
        flow.need(height)
        for column, (item, lines) in enumerate(zip(items, cells, strict=True)):
            x = left + column * each
            _box(flow.page, x + 0.3, flow.y - 0.1 * unit, size, item in ticks.ticked)
            for number, line in enumerate(lines):
                baseline = flow.y - lettering.ASCENT * unit - number * LINE * unit
                flow.page.text(x + unit + 2, baseline, line, size=size)
        flow.y -= height
    flow.y -= 2


def _frames(flow: _Flow, frames: Frames) -> None:
    left, right = flow.left, flow.right
    each = (right - left - 6) / 2
    for first in range(0, len(frames.captions), 2):
        flow.need(frames.height_mm + 8)
        for column, caption in enumerate(frames.captions[first : first + 2]):
            x = left + column * (each + 6)
            number = first + column
            picture = frames.pictures[number] if number < len(frames.pictures) else None
            if picture is not None:
                put(flow.page, picture, (x, flow.y - frames.height_mm, x + each, flow.y))
            flow.page.box(x, flow.y - frames.height_mm, x + each, flow.y, Pen(0.25, (2, 1.5)))
            flow.page.text(x, flow.y - frames.height_mm - 4.5, caption, size=10, room=each)
        flow.y -= frames.height_mm + 9
