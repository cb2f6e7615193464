"""From a measured sill to a folded pattern, by mouse and keys alone; and the folded view in a page.

The sill is measured as one does it: three lengths, two turns. How many actions it takes is printed.
"""

from __future__ import annotations

import re
import shutil

import numpy as np
import pytest
from pad_pages import PadPage, voila_page, write_notebook
from test_accessible import serious
from test_own_panel import Hand, fold

from sheetkit import load

BENCH = 'from sheetkit.widgets import Bench\nBench("{job}"{draw})\n'
LENGTHS, ANGLE = ("80", "60", "30"), "85"
"""Flats of the measured sill, mm, outside to outside; its second turn, degrees from flat."""
RUST = [(100, 50), (180, 50), (180, 110), (100, 110)]


@pytest.fixture
def folder(workspace, request):
    made = workspace / "bent"
    made.mkdir(exist_ok=True)
    yield made
    shutil.rmtree(made)


def opened(voila, browser, folder, job, draw=", draw=True", **options):
    theme = options.pop("theme", "light")
    write_notebook(folder / "b.ipynb", BENCH.format(job=job, draw=draw))
    page, watch = voila_page(voila, browser, f"bent/b.ipynb?theme={theme}", **options)
    page.locator(".skf-group").first.wait_for()
    return page, watch


def seen(page):
    """Return the words under the folded view, and its lines as the page draws them."""
    page.evaluate(
        "() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))"
    )
    return page.locator(".skq-folded .skq-status").inner_text(), page.locator(
        ".skq-picture"
    ).inner_html()


def test_a_newcomer_gets_a_folded_pattern_for_a_measured_sill(voila, browser, folder):
    page, watch = opened(voila, browser, folder, "sill.json")
    pad, hand = PadPage(page, folder / "sill.json"), Hand(page)
    hand.press(fold(page, "Bends"))
    hand.press(page.get_by_role("button", name="Two bends to one side"))
    rows = page.locator(".skq-rows")
    for n, length in enumerate(LENGTHS):
        hand.write(rows.locator(f'[data-name="flats.{n}.length"]'), length, "Tab")
    hand.write(rows.locator('[data-name="bends.1.angle"]'), ANGLE, "Tab")
    pad.until(lambda: page.locator(".skq-cross", has_text="bend 2, 85°").count() == 1)
    pad.until(lambda: pad.svg.get_by_text("bend 1, 90°, UP").count() == 1)
    hand.press(pad.button("Show the whole drawing"))
    hand.press(pad.button("Draw new shapes"))
    for point in [*RUST, RUST[0]]:
        hand.point(pad, *point)
    pad.until(lambda: len(pad.rings()) == 1)
    section = load(pad.job).section
    assert [bend.angle_deg for bend in section.bends] == pytest.approx([90, 85])
    assert section.bends[0].middle_mm > 50 < 110, "the rust lies across the first bend"
    pad.until(lambda: page.locator(".skq-picture .skq-seam").count() > 0)
    assert (
        page.locator(".skq-bends li").all_inner_texts()[1].startswith("bend 2, 85° from flat, UP")
    )
    hand.press(fold(page, "Pages to print"))
    hand.press(page.get_by_role("button", name="Write the pages"))
    page.locator(".skd button", has_text=re.compile("^template.pdf$")).wait_for()
    print(f"\n{hand.actions} actions from a measured sill to a folded pattern")
    pattern = (folder / "pages" / "template.pdf").read_bytes()
    assert pattern[:5] == b"%PDF-"
    notes = (folder / "pages" / "cutting" / "read_me.txt").read_text()
    assert "bend 1: 90 degrees from flat, UP" in notes
    assert hand.actions <= 16
    watch.check()
    page.context.close()


def test_the_folded_piece_turns_by_keys_by_drag_and_by_buttons(voila, browser, folder, workspace):
    shutil.copy(workspace / "data" / "sill_end.json", folder)
    page, watch = opened(voila, browser, folder, "sill_end.json", reduced_motion="reduce")
    picture = page.locator(".skq-picture")
    picture.wait_for()
    picture.focus()
    first = seen(page)
    page.keyboard.press("ArrowRight")
    turned = seen(page)
    assert turned != first and "turned" in turned[0]
    page.keyboard.press("Home")
    assert seen(page) == first
    for key in ("ArrowUp", "ArrowLeft"):
        page.keyboard.press(key)
        assert seen(page)[1] != turned[1]
    page.keyboard.press("Home")
    box = picture.bounding_box()
    page.mouse.move(box["x"] + 200, box["y"] + 150)
    page.mouse.down()
    page.mouse.move(box["x"] + 300, box["y"] + 150, steps=3)
    page.mouse.up()
    dragged = seen(page)
    assert dragged[1] != first[1] and dragged[0] != first[0]
    page.get_by_role("button", name="Back", exact=True).click()
    words, drawn = seen(page)
    assert words.startswith("You see the back") and ">BACK<" in drawn
    page.get_by_role("button", name="End on").click()
    heights = [float(y) for y in re.findall(r"[ML](?:-?[\d.]+) (-?[\d.]+)", seen(page)[1])]
    assert np.ptp(heights) > 50, "end on the section is seen"
    page.get_by_label("Front of the vehicle").select_option("left")
    pad = PadPage(page, folder / "sill_end.json")
    pad.until(lambda: ">FRONT<" in seen(page)[1])
    watch.check()
    page.context.close()


def test_a_fault_stands_at_its_row_and_nothing_typed_is_lost(voila, browser, folder, workspace):
    shutil.copy(workspace / "data" / "sill_end.json", folder)
    page, watch = opened(voila, browser, folder, "sill_end.json")
    before = (folder / "sill_end.json").read_text()
    row = page.locator('[data-name="flats.2.length"]')
    row.fill("2")
    row.press("Enter")
    why = page.locator(".skq-why:visible")
    why.wait_for()
    assert "its bends take that much" in why.inner_text()
    assert row.get_attribute("aria-invalid") == "true"
    assert row.input_value() == "2" and (folder / "sill_end.json").read_text() == before
    row.fill("28")
    row.press("Enter")
    pad = PadPage(page, folder / "sill_end.json")
    pad.until(lambda: why.count() == 0)
    pad.until(lambda: len(load(folder / "sill_end.json").section.flats) == 3
              and load(folder / "sill_end.json").section.flats[2][1] > 202)  # fmt: skip
    watch.check()
    page.context.close()


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize("width", [1400, 392])
def test_no_serious_finding_on_rows_and_folded_view(
    voila, browser, folder, workspace, theme, width
):
    shutil.copy(workspace / "data" / "sill_end.json", folder)
    size = {"width": width, "height": 1000}
    page, watch = opened(voila, browser, folder, "sill_end.json", theme=theme, viewport=size)
    page.locator(".skq-picture path").first.wait_for()
    page.locator(".skq-cross").wait_for()
    assert serious(page) == []
    assert page.evaluate("() => document.scrollingElement.scrollWidth <= innerWidth"), (
        "no sideways scrolling"
    )
    watch.check()
    page.context.close()
