"""From nothing to a printed quote, a template and a planned order for one's own photographed panel.

By mouse and keys alone, no cell edited, in JupyterLab and on a page without code; how many
actions it takes and how long is printed.
"""

from __future__ import annotations

import re
import shutil
import time
from pathlib import Path

import numpy as np
import pytest
from pad_pages import PadPage, voila_page
from PIL import Image, ImageDraw

from sheetkit import estimate, load

SIZE = (1000, 750)
PAPER_MM, PAPER_PX = (297.0, 210.0), [(140, 640), (600, 600), (560, 300), (180, 280)]
"""A4 lying, seen as in a cropped photo: lower left, lower right, upper right, upper left."""
RUST_MM = [(340, 60), (400, 60), (400, 100), (340, 100)]


def projected():
    """Return a function from mm on the panel to pixels of the photo."""
    wide, high = PAPER_MM
    rows, right = [], []
    for (x, y), (u, v) in zip([(0, 0), (wide, 0), (wide, high), (0, high)], PAPER_PX, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        right += [u, v]
    matrix = np.append(np.linalg.solve(rows, right), 1).reshape(3, 3)

    def seen(x, y):
        u, v, w = matrix @ (x, y, 1)
        return u / w, v / w

    return seen


@pytest.fixture
def photo(tmp_path) -> Path:
    """A made-up panel with a sheet of paper and a rust-out beside it."""
    picture = Image.new("RGB", SIZE, "#7d8fa3")
    pen, seen = ImageDraw.Draw(picture), projected()
    pen.polygon(PAPER_PX, fill="#f2f2ea")
    pen.polygon([seen(*point) for point in RUST_MM], fill="#5b2f17")
    path = tmp_path / "panel.jpg"
    picture.save(path, quality=95)
    return path


class Hand:
    """The user's mouse and keys, counted."""

    def __init__(self, page):
        self.page, self.actions, self.begun_s = page, 0, time.monotonic()

    def press(self, where) -> None:
        self.actions += 1
        where.click()

    def point(self, pad, *at) -> None:
        self.actions += 1
        pad.svg.scroll_into_view_if_needed()
        pad.click(*at)

    def write(self, where, text: str, key: str = "") -> None:
        self.actions += 1
        where.fill(text)
        if key:
            where.press(key)


def begun(request, photo, workspace):
    """Return the page with the bench on it, the hand, and the folder the job will lie in."""
    if request.param == "Voila":
        page, _ = voila_page(
            request.getfixturevalue("voila"),
            request.getfixturevalue("browser"),
            "notebooks/sketch_patch.ipynb",
        )
        hand = Hand(page)
        hand.write(page.locator(".skv").get_by_label("Your name"), "Clara", "Enter")
        page.get_by_text("You draw as Clara").wait_for()
        return page, hand, workspace / "notebooks" / "visitors" / "Clara"
    page = request.getfixturevalue("open_notebook")("notebooks/sketch_patch.ipynb", run=False)
    hand = Hand(page)
    hand.press(page.get_by_role("menuitem", name="Run", exact=True))
    hand.press(page.get_by_role("menuitem", name="Run All Cells", exact=True))
    return page, hand, workspace / "notebooks"


@pytest.fixture(params=["JupyterLab", "Voila"])
def bench(request, photo, workspace):
    page, hand, folder = begun(request, photo, workspace)
    yield request.param, page, hand, folder
    for left in (folder / "front wing.json", folder / "front wing.sketch", folder / "pages"):
        shutil.rmtree(left, ignore_errors=True) if left.is_dir() else left.unlink(missing_ok=True)
    if request.param == "Voila":
        page.context.close()


def make_true(pad, hand, photo) -> None:
    """Lay the photo under the drawing and make it true to scale by its sheet of paper."""
    hand.actions += 1
    pad.root.get_by_label("Photo file").set_input_files(photo)
    pad.until(lambda: pad.root.locator(".skp-scale").count() == 1)
    pad.settled()
    hand.press(pad.button("Four corners"))
    note = "(svg) => { const i = svg.querySelector('image'); return ['x', 'y', 'width'].map((n) => Number(i.getAttribute(n))) }"
    left, top, wide = pad.svg.evaluate(note)
    box = pad.svg.bounding_box()
    for x, y in PAPER_PX:
        hand.actions += 1
        scale = wide / SIZE[0]
        pad.page.mouse.click(box["x"] + left + x * scale, box["y"] + top + y * scale)
    for name, mm in zip(("width", "height"), PAPER_MM, strict=True):
        hand.write(pad.root.locator(f"input[name={name}]"), f"{mm:g}")
    hand.press(pad.button("Apply"))
    pad.until(lambda: "must fit the picture" in pad.status)  # a cropped photo is asked about
    hand.press(pad.root.get_by_label("As typed"))
    hand.press(pad.button("Apply"))
    pad.until(lambda: "rectangle 297 x 210" in pad.root.locator(".skp-scale").inner_text())
    pad.settled()


def fold(page, title: str):
    return page.locator(".jupyter-widget-Collapse-header", has_text=title).first


def test_a_quote_a_template_and_an_order_for_a_panel_of_one_s_own(bench, photo):
    name, page, hand, folder = bench
    hand.press(page.get_by_role("button", name="New", exact=True).first)
    hand.write(page.get_by_label("Name of the new job"), "front wing", "Enter")
    page.locator(".skj-at", has_text="front wing").wait_for()
    page.wait_for_function("() => !document.querySelector('.skp-item')")  # an empty pad
    pad = PadPage(page, folder / "front wing.json")
    make_true(pad, hand, photo)
    hand.press(pad.button("Draw new shapes"))
    for point in [*RUST_MM, RUST_MM[0]]:
        hand.point(pad, *point)
    pad.until(lambda: len(pad.rings()) == 1)
    assert np.allclose(pad.rings()[0], RUST_MM, atol=5), "the photo is true to a grid step"
    for group, fields in (
        ("The job", {"customer": "C. Example"}),
        ("Hours and money", {"shop__labour_rate": "48"}),
    ):
        hand.press(page.locator(".skf summary", has_text=group))
        for path, text in fields.items():
            hand.write(page.locator(f'[data-path="{path}"] .skf-box'), text, "Enter")
    pad.until(lambda: pad.data().get("shop", {}).get("labour_rate") is not None)
    hand.press(fold(page, "Plan the order"))
    hand.press(page.get_by_role("button", name="Plan the order"))
    page.locator(".sk-controls").first.wait_for()
    page.locator(".skt-figures", has_text="Hours, as planned").wait_for()
    hand.press(fold(page, "Pages to print"))
    hand.press(page.get_by_role("button", name="Write the pages"))
    page.locator(".skd button", has_text="quote.pdf").wait_for()
    for file in ("quote.pdf", "template.pdf", "worksheet.pdf"):
        with page.context.expect_page() as opened:
            hand.press(page.locator(".skd button", has_text=re.compile(f"^{file}$")))
        opened.value.close()
    seconds = time.monotonic() - hand.begun_s
    print(f"\n{name}: {hand.actions} actions, {seconds:.0f} s")
    pages = folder / "pages"
    assert all((pages / f"{n}.pdf").read_bytes()[:5] == b"%PDF-" for n in ("quote", "template"))
    quote, sheet = ((pages / f"{n}.html").read_text() for n in ("quote", "worksheet"))
    job = load(pad.job)
    assert job.customer == "C. Example" and job.customer in quote
    assert "× 48 USD/h" in quote, "the rate typed is the quote's"
    turns = (pages / "order.csv").read_text().splitlines()
    assert len(turns) == 1 + len(estimate(job).welds), "a row a stitch, under a head"
    assert "wait" in sheet
    assert hand.actions <= 32, "two of them answer what a cropped photo is asked"
