"""Tables as CSV and XLSX, in which no text is ever read as a formula."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable

from ..base import cells
from ..base.showing import Number
from .blocks import Table
from .lettering import clean

LONGEST_CELL = 32_000
"""A spreadsheet's cell holds 32,767 characters."""


def _plain(cell: str | Number) -> str | float:
    if isinstance(cell, Number):
        return cell.value
    return " ".join(clean(str(cell))[:LONGEST_CELL].split())


def _harmless(cell: str | float) -> str | float:
    return cells.harmless(cell) if isinstance(cell, str) else cell


def csv_text(table: Table) -> str:
    """Return a table as CSV: UTF-8 with its mark, so that spreadsheets read it so."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\r\n")
    writer.writerow([_harmless(_plain(c)) for c in table.columns])
    writer.writerows([_harmless(_plain(c)) for c in row] for row in table.rows)
    return "\ufeff" + stream.getvalue()


def xlsx(tables: Iterable[Table]) -> bytes:
    """Return tables as one workbook, a sheet each; texts are marked as texts."""
    from openpyxl import Workbook
    from openpyxl.styles import Alignment, Font

    book = Workbook()
    book.remove(book.active)
    for table in tables:
        sheet = book.create_sheet(table.name[:31])
        for r, row in enumerate([table.columns, *table.rows], 1):
            for c, value in enumerate(row, 1):
                cell = sheet.cell(r, c)
                cell.value = _plain(value)
                if isinstance(cell.value, str):
                    cell.data_type = "s"
                    cell.alignment = Alignment(wrap_text=True, vertical="top")
                if r == 1:
                    cell.font = Font(bold=True)
        for c, share in enumerate(table.widths, 1):
            letter = sheet.cell(1, c).column_letter
            sheet.column_dimensions[letter].width = 12 + 60 * share / sum(table.widths)
        sheet.freeze_panes = "A2"
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()
