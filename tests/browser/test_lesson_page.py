"""The whole lesson as a page without code: by mouse, by keys and by touch, then marked and kept."""

from __future__ import annotations

import json

import pytest
from axe_playwright_python.sync_playwright import Axe
from lesson_pages import free, press
from pad_pages import voila_page
from playwright.sync_api import Locator, Page
from test_touch import SMALL, TARGET_PX

COUNT = 8
"""Stitches of the small patch."""
OPTIONS = {
    "mouse": {},
    "keys": {},
    "touch": {"viewport": {"width": 400, "height": 800}, "has_touch": True},
}
THEMES = {"mouse": "light", "keys": "light", "touch": "dark"}


class Hand:
    """One way of working a page."""

    def __init__(self, page: Page, way: str):
        self.page, self.way = page, way

    def act(self, button: Locator) -> None:
        """Press a button, or what stands for one."""
        if self.way == "keys":
            button.focus()
            self.page.keyboard.press(
                "Space" if button.get_attribute("type") == "radio" else "Enter"
            )
        elif self.way == "touch":
            button.tap()
        else:
            button.click()

    def stitch(self, root: Locator, number: int) -> None:
        """Choose a stitch by its number from 1."""
        if self.way != "keys":
            press(root, number, touch=self.way == "touch", beside=(5, -5))
            return
        wanted = root.locator(f".sk-choose .sk-stitch[data-stitch='{number}']")
        root.locator(".sk-choose .sk-stitch[tabindex='0']").focus()
        for _ in range(30):
            if wanted.get_attribute("tabindex") == "0":
                break
            self.page.keyboard.press("ArrowRight")
        self.page.keyboard.press("Enter")


def chosen(root: Locator, count: int) -> None:
    root.get_by_text(f"{count} of {COUNT} chosen").or_(root.get_by_text("All chosen")).wait_for()


BEFORE_ITS_WORDS = """() => [...document.querySelectorAll(".widget-radio-box label")].map((label) =>
  label.querySelector("input").getBoundingClientRect().left - label.getBoundingClientRect().left)"""


def judged(hand: Hand, root: Locator, order, rows: int) -> None:
    """Choose the rest of an order and have it judged."""
    done = int(root.locator(".sk-choose .sk-done").count())
    for n, number in enumerate(order, done + 1):
        hand.stitch(root, number)
        chosen(root, n)
    hand.act(root.locator(".sk-judge"))
    root.locator(".sk-verdict tbody tr").nth(rows - 1).wait_for()


def serious(page: Page) -> list[str]:
    found = Axe().run(page).response["violations"]
    return [
        f"{rule['id']}: {node['html'][:200]}"
        for rule in found
        if rule["impact"] in ("serious", "critical")
        for node in rule["nodes"]
        if node["target"] != ["#rendered_cells"]
    ]


@pytest.mark.parametrize("way", OPTIONS)
def test_the_whole_lesson(voila, workspace, browser, way):
    page, watch = voila_page(
        voila, browser, f"notebooks/heat_spread_lesson.ipynb?theme={THEMES[way]}", **OPTIONS[way]
    )
    hand, name = Hand(page, way), f"{way} pupil"
    page.locator(".skv").get_by_label("Your name").fill(name)
    page.keyboard.press("Enter")
    page.get_by_text(f"You learn as {name}").wait_for()

    # a first try: nothing but one's own figures
    board = page.locator(".sk-lesson").nth(1)
    board.locator(".sk-judge").wait_for()
    judged(hand, board, range(1, COUNT + 1), rows=1)
    assert "lies beside turn" in board.locator(".sk-words").inner_text()
    assert board.locator(".sk-planner").is_hidden()
    readout = board.locator(".sk-readout")
    page.wait_for_function("node => node.textContent !== ''", arg=readout.element_handle())
    before = readout.text_content()
    page.wait_for_function(  # the heat plays by itself
        "([node, old]) => node.textContent !== old", arg=[readout.element_handle(), before]
    )

    # a hint asks, says what a guess is worth, and tells only then
    hand.act(board.locator(".sk-clear"))
    hand.stitch(board, 1)
    chosen(board, 1)
    hand.act(board.locator(".sk-hinted"))
    board.get_by_text("Which of the places left stays coolest").wait_for()
    assert board.locator(".sk-choose .sk-next").count() == 0
    hand.stitch(board, 2)
    board.get_by_text("No: it gets").wait_for()
    chosen(board, 1)
    hand.act(board.locator(".sk-tell"))
    board.get_by_text("The ringed place stays coolest").wait_for()
    ringed = int(board.locator(".sk-choose .sk-next").get_attribute("data-stitch"))
    rest = [n for n in (ringed, 3, 7, 2, 6, 4, 8, 5) if n != 1]
    judged(hand, board, dict.fromkeys(rest), rows=2)
    assert "your best" in board.locator(".sk-mine").inner_text()
    hand.act(board.locator(".sk-planner"))
    board.get_by_role("row", name="the planner's").wait_for()
    hand.act(board.get_by_role("button", name="Play the planner's"))
    board.get_by_text("The heat of the planner's").wait_for()

    # the table is there when it is asked for
    assert page.get_by_text("lap, back in a closed section").count() == 0
    hand.act(page.get_by_role("button", name="Show the waits worked out"))
    page.get_by_text("lap, back in a closed section").wait_for()

    marks = take_the_test(hand, page)
    if way == "touch":
        assert page.evaluate(SMALL, TARGET_PX) == []
        assert max(page.evaluate(BEFORE_ITS_WORDS)) < 5
        wide = page.evaluate(
            "Math.max(...[...document.querySelectorAll('button, select, input, svg')]"
            ".filter((n) => n.checkVisibility()).map((n) => n.getBoundingClientRect().right))"
        )
        assert wide <= 400
    assert serious(page) == []
    kept = json.loads((workspace / "notebooks" / "my_class" / name / "lesson.json").read_text())
    (tries,) = kept["tries"].values()
    assert next(one["order"] for one in tries) == list(range(COUNT)) and len(tries) == 2
    assert kept["marks"][0]["marks"] == marks
    watch.check()

    # the page is loaded again: the tries are there
    page.reload()
    page.get_by_text(f"You learn as {name}").wait_for()
    page.locator(".sk-lesson").nth(1).locator(".sk-verdict tbody tr").nth(1).wait_for()
    page.context.close()


def take_the_test(hand: Hand, page: Page) -> int:
    """Answer five questions somehow, keep the cards; return the marks."""
    test = page.locator(".sk-test")
    hand.act(test.locator(".sk-begin"))
    total = 0
    for question in range(1, 6):
        test.get_by_text(f"Question {question} of 5").wait_for()
        assert test.locator(".sk-stitch text", has_text="°").count() == 0, "no heat is told before"
        hand.act(test.locator(".sk-answer"))
        test.get_by_text("Click the place where the next stitch goes").wait_for()
        hand.stitch(test, free(test)[question % len(free(test))])
        test.locator(".sk-stitch[aria-pressed=true]").wait_for()
        hand.act(test.locator(".sk-why input").nth(question % 4))
        hand.act(test.locator(".sk-answer"))
        said = test.get_by_text("marks;")
        said.wait_for()
        total += int(said.inner_text().split()[0])
        assert test.locator(".sk-stitch text", has_text="°").count() == len(free(test))
        page.wait_for_function(
            "c => c.width > 0 && new Set(c.getContext('2d').getImageData(0, 0, c.width, c.height).data).size > 50",
            arg=test.locator(".sk-heat").element_handle(),
        )
        hand.act(test.locator(".sk-next-question"))
    test.locator(".sk-marks").wait_for()
    assert test.locator(".sk-marks").inner_text() == f"{total} / 15"
    for form, begins in (("png", b"\x89PNG"), ("pdf", b"%PDF")):
        with page.expect_download() as kept:
            hand.act(test.locator(f".sk-card-{form}"))
        content = kept.value.path().read_bytes()
        assert content.startswith(begins) and kept.value.suggested_filename.endswith(
            f"pupil.{form}"
        )
    return total
