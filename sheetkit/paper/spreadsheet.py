"""Tables as CSV and XLSX, in which no text is ever read as a formula."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable

from ..base import cells
from ..base.showing import Number
from .blocks import Table, Worked
from .lettering import clean

LONGEST_CELL = 32_000
"""A spreadsheet's cell holds 32,767 characters."""
NARROWEST, WIDEST, BROAD = 8, 60, 95
"""Columns in letters' widths: each at least and at most; all together, for a page set broad."""
ONE_PAGE_ROWS = 60
PAPER_SIZES = {"a4": 9, "letter": 1}
"""Paper -> its number in the workbook's page setup (ECMA-376, 18.3.1.63; value from memory)."""
_SHOWN = re.compile(r"-?[\d,]+(?:\.(\d+))?")


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


def _format(number: Number) -> str:
    """Return the number format that shows a number as the page does, or the usual one."""
    digits = _SHOWN.fullmatch(str(number))
    if digits is None or (number.value and float(str(number).replace(",", "")) == 0):
        return "General"
    whole = "#,##0" if "," in str(number) or abs(number.value) >= 1000 else "0"
    return f"{whole}.{'0' * len(digits[1])}" if digits[1] else whole


def xlsx(tables: Iterable[Table], *, paper: str = "a4") -> bytes:
    """Return tables as one workbook, a sheet each; texts are marked as texts.

    Sums are formulas. A sheet prints as wide as its paper, broad where it is wide, and on one
    page where it has at most `ONE_PAGE_ROWS`; heads stand on each page.
    """
    from openpyxl import Workbook
    from openpyxl.styles import Alignment, Font
    from openpyxl.utils import get_column_letter

    book = Workbook()
    book.remove(book.active)
    for table in tables:
        sheet = book.create_sheet(table.name[:31])
        for r, row in enumerate([table.columns, *table.rows], 1):
            for c, value in enumerate(row, 1):
                cell = sheet.cell(r, c)
                cell.value = _plain(value)
                if isinstance(value, Number):
                    cell.number_format = _format(value)
                    cell.alignment = Alignment(vertical="top")
                else:
                    cell.data_type = "s"
                    cell.alignment = Alignment(wrap_text=True, vertical="top")
                if isinstance(value, Worked):
                    cell.value = value.formula
                if r == 1 or (table.bold_last and r == len(table.rows) + 1):
                    cell.font = Font(bold=True)
        broad = 0.0
        for c, column in enumerate(zip(table.columns, *table.rows, strict=True), 1):
            width = min(max(max(len(str(cell)) for cell in column) + 2, NARROWEST), WIDEST)
            sheet.column_dimensions[get_column_letter(c)].width = width
            broad += width
        sheet.freeze_panes = "A2"
        sheet.print_title_rows = "1:1"
        sheet.sheet_properties.pageSetUpPr.fitToPage = True
        sheet.page_setup.fitToWidth = 1
        sheet.page_setup.fitToHeight = 1 if len(table.rows) <= ONE_PAGE_ROWS else 0
        sheet.page_setup.orientation = "landscape" if broad > BROAD else "portrait"
        sheet.page_setup.paperSize = PAPER_SIZES[paper]
        sheet.oddFooter.right.text = "&A, page &P of &N"
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()
