"""Workbooks as a spreadsheet reads them: formats, sums as formulas, how they print."""

import io
from decimal import ROUND_HALF_UP, Decimal

import openpyxl
import pytest

import sheetkit as sk
from sheetkit.base.showing import Number
from sheetkit.paper import spreadsheet
from sheetkit.paper.blocks import Table, Worked
from sheetkit.paper.reckoning import reckoned_table


def read(*tables, **options):
    return openpyxl.load_workbook(io.BytesIO(spreadsheet.xlsx(tables, **options)))


def offer(**shop):
    return sk.estimate(
        sk.Job.from_data(
            {"format": "sheetkit-job/1", "sheet": {"thickness": 0.9}, "shop": shop,
             "rust": [{"ring": [[0, 0], [60, 0], [60, 40], [0, 40]]}]}
        )
    )  # fmt: skip


@pytest.mark.parametrize(("value", "text", "format_"), [
    (0.6, "0.60", "0.00"), (1062.92, "1,062.92", "#,##0.00"), (40.0, "40", "0"), (51.4, "51", "0"),
    (-1.5, "-1.5", "0.0"), (75.0, "1 min 15 s", "General"), (0.004, "0", "General"), (0.0, "0", "0"),
])  # fmt: skip
def test_numbers_are_shown_as_on_paper(value, text, format_):
    sheet = read(Table("t", ("a",), [(Number(value, text),)], (1,)))["t"]
    assert sheet["A2"].value == value and sheet["A2"].number_format == format_


@pytest.mark.parametrize("shop", [{"tax": 19}, {"tax": 7.75}, {}, {"tax": 8, "currency": "JPY"}])
def test_sums_are_formulas_that_give_the_offer_s_own_sums(shop):
    """Worked out here from the cells alone, half a cent up, as spreadsheets round."""
    table = reckoned_table(offer(labour_rate=61.37, **shop))
    sheet = read(table)["quote"]
    rows = [[cell.value for cell in row[:2]] for row in sheet.iter_rows(min_row=2)]
    lines = [Decimal(str(amount)) for _, amount in rows[:-3]]
    (_, net), (_, tax), (_, total) = rows[-3:]
    last = len(lines) + 1
    assert net == f"=SUM(B2:B{last})" and total == f"=B{last + 1}+B{last + 2}"
    percent, digits = tax.removeprefix(f"=ROUND(B{last + 1}*").removesuffix(")").split(",")
    share = Decimal(percent.removesuffix("/100")) / 100
    assert share == Decimal(str(shop.get("tax", 0))) / 100
    worked = (sum(lines) * share).quantize(Decimal(1).scaleb(-int(digits)), ROUND_HALF_UP)
    said = [Decimal(str(row[1].value)) for row in table.rows[-3:]]
    assert said == [sum(lines), worked, sum(lines) + worked]


def test_only_sums_of_ours_are_formulas():
    rows = [("=1+1", Number(1.0, "1")), ("@x", Worked(1.0, "1", "=SUM(B2:B2)"))]
    sheet = read(Table("t", ("=a", "b"), rows, (1, 1)))["t"]
    assert [cell.data_type for row in sheet.iter_rows() for cell in row] == [
        "s",
        "s",
        "s",
        "n",
        "s",
        "f",
    ]
    assert "=SUM" not in spreadsheet.csv_text(Table("t", ("a", "b"), rows, (1, 1)))


@pytest.mark.parametrize(("paper", "number"), [("a4", 9), ("letter", 1)])
def test_sheets_print_in_their_paper_s_width_with_heads(paper, number):
    wide = Table("wide", ("a", "b", "c"), [("word " * 30,) * 3], (1, 1, 1))
    long = Table("long", ("n",), [(Number(n, f"{n}"),) for n in range(200)], (1,))
    book = read(wide, long, paper=paper)
    for sheet in book:
        assert sheet.page_setup.paperSize == number and sheet.page_setup.fitToWidth == 1
        assert sheet.sheet_properties.pageSetUpPr.fitToPage and sheet.print_title_rows == "$1:$1"
    assert (book["wide"].page_setup.orientation, book["wide"].page_setup.fitToHeight) == (
        "landscape",
        1,
    )
    assert (book["long"].page_setup.orientation, book["long"].page_setup.fitToHeight) == (
        "portrait",
        0,
    )
