"""All files of a job: work sheet, quote, tables, and what a hostile text does to them."""

import csv
import io
import re
import subprocess
import sys
from decimal import Decimal
from html.parser import HTMLParser

import numpy as np
import openpyxl
import pytest
from reading import overlapping, pages, picture, words

import sheetkit as sk
from sheetkit import command_line as command
from sheetkit.base.errors import SheetkitError
from sheetkit.base.showing import Number
from sheetkit.job.field_types import CELL_SIGNS
from sheetkit.paper import (
    blocks,
    html,
    job_photos,
    lettering,
    quote,
    spreadsheet,
    sums,
    work_sheet,
    write,
)
from sheetkit.paper.blocks import Table, Ticks
from sheetkit.paper.flow import flowed
from sheetkit.paper.page import pdf

pytestmark = pytest.mark.usefixtures("brief_search")

HOSTILE = {
    "markup": "<script>alert(1)</script>&amp;\"'><img src=x onerror=alert(1)>",
    "formula": "=1+1",
    "path": "../../x",
    "long": "W" * 10_000,
    "words": "welding wire " * 770,
    "right to left": "תיקון רצפה \u202eevil\u202c إصلاح الأرضية",
    "math": r"$\frac{x$ \n ^_{}%",
    "control": "a\x00b\x07cd\u2028e\r\nf",
    "unicode": "Größe Ångström Łódź 漢字 🚗 ½",
}


@pytest.fixture(scope="module")
def trunk():
    result = sk.estimate(sk.load("data/trunk_floor.json"))
    return result, sk.plan(result)


@pytest.fixture(scope="module")
def written(trunk, tmp_path_factory):
    folder = tmp_path_factory.mktemp("pages") / "out"
    write.write_sheets(*trunk, folder)
    return folder


@pytest.fixture(scope="module")
def footwell():
    result = sk.estimate(sk.load("data/footwell.json"))
    return result, sk.plan(result)


def small_job(**parts):
    return sk.Job.from_data(
        {
            "format": "sheetkit-job/1",
            "sheet": {"thickness": 0.9},
            "rust": [{"ring": [[0, 0], [30, 0], [30, 20], [0, 20]]}],
        }
        | parts
    )


def names(folder):
    """The files in a folder and those below it."""
    return sorted(p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file())


def test_every_file_is_there_and_only_there(written):
    assert set(write.FILES) <= set(names(written))
    others = set(names(written)) - set(write.FILES)
    assert {name.rpartition(".")[0] for name in others} == {
        f"cutting/{part}{end}"
        for part in ("patch_1_of_2", "patch_2_of_2", "panel_cut", "stock_sheet_1_of_1")
        for end in ("", "_r12")
    }
    assert [p.name for p in written.parent.iterdir()] == ["out"]


@pytest.fixture
def quick(monkeypatch):
    """Files whose content is a word: for tests of where files go, not of what is in them."""
    monkeypatch.setattr(write, "rendered", lambda *a, **k: dict.fromkeys(write.FILES, b"new"))


def test_existing_files_are_refused_and_left_alone(trunk, tmp_path, quick):
    (tmp_path / "quote.csv").write_text("my own")
    (tmp_path / "other.txt").write_text("mine too")
    with pytest.raises(SheetkitError, match="never overwritten"):
        write.write_sheets(*trunk, tmp_path)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["other.txt", "quote.csv"]
    assert (tmp_path / "quote.csv").read_text() == "my own"
    write.write_sheets(*trunk, tmp_path, overwrite=True)
    assert (tmp_path / "quote.csv").read_text() == "new"
    assert (tmp_path / "other.txt").read_text() == "mine too"


def test_links_are_not_followed(trunk, tmp_path, quick):
    kept = tmp_path / "kept.txt"
    kept.write_text("kept")
    out = tmp_path / "out"
    out.mkdir()
    (out / "template.pdf").symlink_to(kept)
    (out / "order.csv").symlink_to(tmp_path / "nowhere")
    with pytest.raises(SheetkitError, match=r"order\.csv"):
        write.write_sheets(*trunk, out)
    write.write_sheets(*trunk, out, overwrite=True)
    assert kept.read_text() == "kept" and not (out / "template.pdf").is_symlink()
    assert not (tmp_path / "nowhere").exists()


def test_folder_that_cannot_be(trunk, tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(SheetkitError, match="not a folder"):
        write.write_sheets(*trunk, tmp_path / "file")
    with pytest.raises(SheetkitError, match="can't be written"):
        write.write_sheets(*trunk, tmp_path / "a\0b")
    with pytest.raises(SheetkitError, match="paper"):
        write.write_sheets(*trunk, tmp_path / "new", paper="a5")
    assert not (tmp_path / "new").exists()


def test_command_line_contract(tmp_path, capsys, monkeypatch):
    asked = []

    def stub(*_, **options):
        asked.append(options)
        return dict.fromkeys(write.FILES, b"new")

    monkeypatch.setattr(write, "rendered", stub)
    out = str(tmp_path / "pages")
    job = tmp_path / "small.json"
    sk.save(small_job(), job)
    arguments = ["sheets", str(job), "--out", out, "--paper", "letter", "--front", "left",
                 "--date", "2031-01-30", "--grid"]  # fmt: skip
    assert command.main(arguments) == 0
    assert len(capsys.readouterr().out.splitlines()) == len(write.FILES)
    assert asked[0] == {
        "paper": "letter", "display": "mm", "front": "left", "photos": job_photos.JobPhotos(),
        "grid": True,
    }  # fmt: skip
    assert command.main(arguments) == 1
    told = capsys.readouterr()
    assert told.out == "" and len(told.err.splitlines()) == 1 and "--overwrite" in told.err
    assert command.main([*arguments, "--overwrite", "--json"]) == 0
    for bad in (arguments[:2], [*arguments[:4], "--paper", "a5"]):
        with pytest.raises(SystemExit) as ended:
            command.main(bad)
        assert ended.value.code == 2


def test_importing_sheetkit_loads_no_plotting():
    code = "import sys, sheetkit, sheetkit.__main__; print('matplotlib' in sys.modules)"
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert told.stdout.strip() == "False"


@pytest.mark.parametrize("name", ["worksheet.pdf", "quote.pdf"])
def test_documents_overlap_nowhere_and_keep_the_margins(written, name):
    path = written / name
    for number in range(1, len(pages(path)) + 1):
        assert overlapping(path, number) == []
        grey = picture(path, number, 60)
        edge = int(9.5 / 25.4 * 60)
        assert grey.min() < 60
        grey = grey.copy()
        grey[edge:-edge, edge:-edge] = 255
        assert grey.min() > 250


def test_map_and_table_name_every_weld_once_a_page(trunk, written):
    result, plan = trunk
    path = written / "worksheet.pdf"
    text = [page.extract_text() for page in pages(path)]
    several = f"ALL {len(result.patches)} PATCHES · "
    for what, wanted in (
        ("stitches", [str(n) for n in range(1, len(plan.order) + 1)]),
        ("tacks", [f"T{n}" for n in range(1, len(plan.tack_order) + 1)]),
    ):
        (number,) = [n for n, t in enumerate(text, 1) if t.startswith(several + what)]
        inside = [word for word, (_, top, _, _) in words(path, number) if 30 < top < 185]
        assert sorted(w for w in inside if w in set(wanted)) == sorted(wanted)
    rows = list(csv.reader(io.StringIO((written / "order.csv").read_text("utf-8-sig"))))[1:]
    assert [int(row[0]) for row in rows] == list(range(1, len(plan.order) + 1))
    assert [float(row[2]) for row in rows] == pytest.approx(plan.wait_s, abs=0.06)


def test_map_numbers_are_large(written):
    path = written / "worksheet.pdf"
    for number, page in enumerate(pages(path), 1):
        if "· stitches" in page.extract_text():
            heights = [b - t for w, (_, t, _, b) in words(path, number) if re.fullmatch(r"\d+", w)]
            assert (
                np.median(heights) > 8.0
            )  # mm; poppler's boxes are 1.9 sizes high: 12 pt and more


def test_work_sheet_says_what_the_job_needs(written, trunk):
    current = f"{trunk[0].values['current_a']:.0f} A"
    text = " ".join(" ".join(p.extract_text() for p in pages(written / "worksheet.pdf")).split())
    for words_ in ("fuel line", "never below 7", "fire watch", "M21-ArC-18", "10.0 l/min", current,
                   "Coupon first", "Shopping list", "seam sealer", "welding wire", "respirator filters", "60 °C"):  # fmt: skip
        assert words_ in text, words_
    arch = sk.estimate(sk.load("data/wheel_arch.json"))
    cautions = [
        item
        for block in work_sheet.worksheet(arch, sk.plan(arch), paper="a4", display="mm")
        if isinstance(block, Ticks)
        for item in block.items
    ]
    assert any("zinc" in c for c in cautions) and any("closed back" in c for c in cautions)


def test_quote_adds_up_by_hand():
    result = sk.estimate(small_job(shop={"tax": 19, "tolerance": 12.5, "labour_rate": 61.37}))
    lines = sums.lines(result)
    total = sums.totals(result)
    assert total.net == sum(line.amount for line in lines)
    assert total.tax == (total.net * Decimal("0.19")).quantize(Decimal("0.01"))
    assert total.gross == total.net + total.tax
    # the hours are charged to the tenth that is shown
    assert float(total.gross) == pytest.approx(result.cost.likely, abs=0.05 * 61.37 * 1.19 + 0.5)
    assert total.stop == total.gross + total.tolerance
    hours = round(result.hours.likely, 1)
    assert float(lines[0].amount) == pytest.approx(hours * 61.37, abs=0.006)


def test_price_of_a_further_metre_is_what_a_longer_job_costs_more():
    def cost(length):
        job = small_job(rust=[{"ring": [[0, 0], [length, 0], [length, 40], [0, 40]]}],
                        shop={"prices": {"sheet": 0}, "tax": 10})  # fmt: skip
        result = sk.estimate(job)
        return result, result.cost.likely, result.values["seam_length_mm"]

    first, low, short = cost(400)
    _, high, long = cost(900)
    a_metre = (high - low) / (long - short) * 1000
    assert sums.extra_metre(first) == pytest.approx(a_metre, rel=0.02)


def test_quote_names_what_must_be_named(tmp_path):
    shop = {"quote": "estimate", "stop_limit": 777, "valid_days": 14, "tax": 20, "tolerance": 15, "date": "2031-01-30",
            "exclusions": ["the other side"], "photos": 3, "name": "Invented Panels"}  # fmt: skip
    result = sk.estimate(small_job(shop=shop, customer="A. Person", vehicle="invented van"))
    body = list(quote.quote(result, display="mm"))
    found = flowed(body, paper="letter", title="t", kind="Estimate")
    (tmp_path / "q.pdf").write_bytes(pdf(found, "t"))
    printed = " ".join(" ".join(p.extract_text() for p in pages(tmp_path / "q.pdf")).split())
    for text in (printed, html.html(body, title="t", kind="Estimate")):
        for named in ("Estimate", "777.00", "the other side", "20 %", "A. Person", "invented van",
                      "Invented Panels", "New sum", "Signed", "as it came", "licensed practice",
                      "local law", "2031-02-13"):  # fmt: skip
            assert named in text, named
    estimate = sk.estimate(small_job(shop={"tolerance": 15}))
    assert "15 % over the total" in html.html(
        quote.quote(estimate, display="mm"), title="", kind="Estimate"
    )


class Reader(HTMLParser):
    """Collects tags, attributes that could run or load something, and the text."""

    def __init__(self):
        super().__init__()
        self.tags, self.risky, self.text = set(), [], []

    def handle_starttag(self, tag, attributes):
        self.tags.add(tag)
        self.risky += [
            (k, v) for k, v in attributes
            if k.startswith("on") or (k in ("src", "href") and not (v or "").startswith("data:"))
        ]  # fmt: skip

    def handle_data(self, data):
        self.text.append(data)


@pytest.mark.parametrize(
    ("title", "other"),
    [("markup", "words"), ("formula", "unicode"), ("path", "control"), ("long", "markup"),
     ("right to left", "math")],
)  # fmt: skip
def test_hostile_text_is_harmless_everywhere(title, other, tmp_path):
    text, name = HOSTILE[title], HOSTILE[other][:200]
    job = small_job(
        title=text, customer=HOSTILE[other], vehicle=text, notes=HOSTILE[other],
        shop={"name": name, "exclusions": [name], "currency": "".join(c for c in name[:8] if c.isprintable() and c not in CELL_SIGNS)},
        panel={"protect": [{"name": name, "at": [60, 0]}], "mountings": [{"name": name, "at": [90, 0]}]},
    )  # fmt: skip
    result = sk.estimate(job)
    out = tmp_path / "a" / "b"
    write.write_sheets(result, sk.plan(result), out)
    assert [p.name for p in tmp_path.iterdir()] == ["a"]
    assert set(write.FILES) <= set(names(out))
    for file in ("quote.html", "worksheet.html"):
        reader = Reader()
        body = (out / file).read_text("utf-8")
        reader.feed(body)
        assert "script" not in reader.tags and not reader.risky
        assert "http://" not in body and "https://" not in body
        seen = " ".join("".join(reader.text).split())
        first = " ".join(lettering.clean(text).split())[:60]
        assert first in seen
    for file in out.glob("*.csv"):
        for row in csv.reader(io.StringIO(file.read_text("utf-8-sig"))):
            for cell in row:
                assert re.fullmatch(r"-?\d+(\.\d+)?", cell) or not cell.startswith(
                    tuple("=+-@\t\r")
                )
    book = openpyxl.load_workbook(out / "tables.xlsx")
    for sheet in book:
        formulas = [c.value for row in sheet.iter_rows() for c in row if c.data_type == "f"]
        assert all(re.fullmatch(r"=[A-Z0-9:()*/+.,]+", formula) for formula in formulas)
    for file in ("template.pdf", "worksheet.pdf", "quote.pdf"):
        found = pages(out / file)
        assert 1 <= len(found) <= 12
        for number in {1, len(found)}:
            assert overlapping(out / file, number) == []
            grey = picture(out / file, number, 40).copy()
            grey[14:-14, 14:-14] = 255
            assert grey.min() > 250


def test_spreadsheets_take_every_text_as_text():
    table = Table(
        "t", ("a", "=b"), [(text, Number(-1.5, "–1.5")) for text in HOSTILE.values()], (1, 1)
    )
    rows = list(csv.reader(io.StringIO(spreadsheet.csv_text(table).removeprefix("\ufeff"))))
    assert rows[0] == ["a", "'=b"] and rows[2] == ["'=1+1", "-1.5"]
    sheet = openpyxl.load_workbook(io.BytesIO(spreadsheet.xlsx([table])))["t"]
    assert sheet["B1"].value == "=b" and sheet["B1"].data_type == "s"
    assert sheet["A3"].value == "=1+1" and sheet["A3"].data_type == "s"
    assert sheet["B3"].value == -1.5
    assert len(sheet["A5"].value) == 10_000


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE)
def test_lines_fit_their_room(text):
    for size, room in ((8, 20.0), (17, 120.0)):
        for line in lettering.wrapped(text, size, room, most=6):
            assert lettering.width(line, size) <= room + 1e-6
        assert lettering.width(lettering.shortened(text, size, room), size) <= room + 1e-6
    assert len(lettering.wrapped(text, 17, 120.0, most=3)) <= 3


def test_no_promise_is_made(written):
    for name in ("worksheet.pdf", "quote.pdf", "template.pdf"):
        text = " ".join(" ".join(p.extract_text() for p in pages(written / name)).split()).lower()
        for promise in ("will pass", "passes inspection", "guarantee", "stays flat", "no warp"):
            assert promise not in text


def test_preview_is_a_picture(trunk):
    from PIL import Image

    shown = Image.open(io.BytesIO(write.preview(*trunk)))
    assert shown.format == "PNG" and shown.width > 800


def test_buttons_write_and_show(trunk, tmp_path, quick, monkeypatch):
    from sheetkit.widgets import Pages

    monkeypatch.setattr(write, "preview", lambda *a, **k: b"png")
    buttons = Pages(lambda: trunk[0], trunk[1])
    buttons.folder.value = str(tmp_path / "pages")
    buttons.show.click()
    assert "data:image/png" in buttons.picture.value and not (tmp_path / "pages").exists()
    buttons.write.click()
    assert str(tmp_path / "pages") in buttons.message.value
    listed = {one["name"] for group in buttons.links.groups for one in group["files"]}
    assert listed == {name.rpartition("/")[2] for name in write.FILES}
    assert names(tmp_path / "pages") == sorted(write.FILES)
    buttons.write.click()
    assert "never overwritten" in buttons.message.value and not buttons.write.disabled
    buttons.overwrite.value = True
    buttons.write.click()
    assert "Written into" in buttons.message.value


@pytest.mark.parametrize("between", ["\n", "\n \n", "\r\n", "\n\t"])
def test_thousands_of_empty_lines_are_one(between):
    """A browser would lay each out: on a slow one for half a minute."""
    page = html.html([blocks.Paragraph(f"first{between * 9000}\nlast")], title="", kind="Notes")
    assert page.count("<br>") == 2 and "first" in page and "last" in page
    (kept,) = re.findall(r"<p.*</p>", html.html([blocks.Paragraph("a\nb\n\nc")], title="", kind=""))
    assert "a<br>b<br><br>c" in kept
