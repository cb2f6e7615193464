"""The player and the lesson in a real JupyterLab: keys, clicks, countdown, readings, lost kernel."""

import math
import pickle
import re

import nbformat
import pytest
from lesson_pages import press
from nbformat.v4 import new_code_cell, new_notebook

SETUP = """
import pickle
from sheetkit.widgets import Lesson, Player
plan = pickle.load(open("plan.pickle", "rb"))
"""
CELLS = "() => window.jupyterapp.shell.currentWidget.content.widgets.length"


@pytest.fixture
def opened(workspace, open_notebook, page, small_plan):
    """Return a function: run the set-up and a cell, return the page and a list of its errors."""
    wrong = []
    (workspace / "plan.pickle").write_bytes(pickle.dumps(small_plan))
    page.on("console", lambda said: wrong.append(said.text) if said.type == "error" else None)

    def run(name: str, *sources: str):
        cells = [new_code_cell(source) for source in (SETUP, *sources)]
        made = new_notebook(cells=cells)
        made.metadata.kernelspec = {
            "name": "python3", "display_name": "Python 3", "language": "python",
        }  # fmt: skip
        nbformat.write(made, workspace / name)
        open_notebook(name)
        page.wait_for_selector(".sk-root")
        return page, wrong

    return run


def seconds(text: str) -> int:
    """Return the seconds in "Wait 2:05"; none when it says to measure."""
    if "Wait" not in text:
        return 0
    minutes, rest = text.split()[-1].split(":")
    return 60 * int(minutes) + int(rest)


def seconds_face(left: float) -> str:
    """Return how so many seconds stand on the face at first."""
    whole = math.ceil(left)
    return f"Wait {whole // 60}:{whole % 60:02}"


def test_watch_and_step_along(opened):
    page, wrong = opened("player.ipynb", "player = Player(plan)\nplayer")
    root, count = page.locator(".sk-player"), page.evaluate(CELLS)
    readout = root.locator(".sk-readout")
    page.wait_for_function("() => document.querySelector('.sk-readout').textContent !== ''")

    # watch: space plays and pauses, arrows step, nothing reaches the notebook
    root.focus()
    start = readout.text_content()
    assert "limit 60" in start and "Tacking" in start
    page.keyboard.press("Space")
    page.wait_for_function(
        "old => document.querySelector('.sk-readout').textContent !== old", arg=start
    )
    page.keyboard.press("Space")
    page.keyboard.press("End")
    assert "all stitches are in" in readout.text_content()
    assert root.locator(".sk-done").count() >= 8
    page.keyboard.press("ArrowLeft")
    assert root.locator(".sk-time").input_value() == str(
        int(root.locator(".sk-time").get_attribute("max")) - 1
    )
    root.locator(".sk-unit").select_option("F")
    assert "°F" in readout.text_content()
    root.locator(".sk-unit").select_option("C")
    root.focus()
    for key in ("a", "b", "x", "d", "d"):
        page.keyboard.press(key)
    assert page.evaluate(CELLS) == count
    painted = root.locator(".sk-heat").evaluate(
        """canvas => new Set(canvas.getContext('2d')
            .getImageData(0, 0, canvas.width, canvas.height).data).size"""
    )
    assert painted > 50

    # step along, ten times as fast
    root.locator(".sk-tab[data-mode=step]").click()
    root.locator(".sk-pace").select_option("10")
    root.locator(".sk-sound").check()
    first = seconds_left(page)[0]
    began = page.evaluate("() => Date.now()")
    root.locator(".sk-start").click()
    face = root.locator(".sk-countdown")
    page.wait_for_function(
        "least => !document.querySelector('.sk-countdown').textContent.includes(least)",
        arg=seconds_face(first),
    )
    # however late the page is, its clock is never ahead of ten times the real one
    gone = first - seconds(face.text_content())
    assert 0 < gone <= 10 * (page.evaluate("() => Date.now()") - began) / 1000 + 1
    page.wait_for_function(
        "() => document.querySelector('.sk-countdown').textContent === 'Measure it now'"
    )
    assert "The wait is over" in root.locator(".sk-status").text_content()
    assert int(root.locator(".sk-steps").get_attribute("data-beeps")) >= 1
    for turn in (2, 3):
        page.keyboard.press("d")
        assert f"stitch {turn}, patch 1" in root.locator(".sk-headline").text_content()
    assert root.locator(".sk-plain .sk-done").count() == 2

    # a slip of the thermometer changes nothing; a reading lengthens the waits
    told = "word => document.querySelector('.sk-status').textContent.includes(word)"
    began, before = page.evaluate("() => Date.now()"), seconds_left(page)
    page.keyboard.press("r")
    page.keyboard.type("900")
    page.keyboard.press("Enter")
    page.wait_for_function(told, arg="was expected")
    status = root.locator(".sk-status").text_content().replace("\u00a0", " ")
    assert ("900 °C where" in status and "Measure again" in status) or "measure again" in status
    later = seconds_left(page)[-1] - before[-1]
    # the clock ran on meanwhile, ten times as fast
    assert later < 5 + 10 * (page.evaluate("() => Date.now()") - began) / 1000
    expected = float(re.search(r"where ([\d.]+) °C was expected", status)[1])
    root.locator(".sk-reading").fill(f"{20 + 1.6 * (expected - 20):.0f}")
    root.locator(".sk-reading").press("Enter")
    page.wait_for_function(told, arg="longer now")
    after = seconds_left(page)
    assert after[-1] - before[-1] > 5
    root.locator(".sk-reading").fill("")
    root.locator(".sk-hot").click()
    held = seconds_left(page)
    assert held[:2] == pytest.approx(after[:2])
    assert all(later >= start for later, start in zip(held, after, strict=True))
    assert page.evaluate(CELLS) == count
    assert root.locator(".sk-alarm").is_hidden()
    assert not wrong, wrong

    # the kernel dies: the countdown goes on, and the page says what to do
    page.evaluate("() => window.jupyterapp.shell.currentWidget.sessionContext.shutdown()")
    root.locator(".sk-welded").click()
    assert "stitch 4" in root.locator(".sk-headline").text_content()
    page.wait_for_selector(".sk-alarm:not([hidden])")
    assert "not connected, run the cell again" in root.locator(".sk-alarm").text_content().lower()
    face_then = face.text_content()
    page.wait_for_function(
        """then => then === "Measure it now"
            || document.querySelector(".sk-countdown").textContent !== then""",
        arg=face_then,
    )


def test_a_clock_that_ran_on_and_a_reading_that_can_not_be(opened):
    page, wrong = opened(
        "late.ipynb",
        "import time\n"
        "player = Player(plan, mode='step')\n"
        "player.turn, player.began_ms = 2, 1000 * (time.time() - 40 * 86400)\n"
        "player",
    )
    root = page.locator(".sk-player")
    status = root.locator(".sk-status")
    assert "more than a day" in status.text_content()
    root.locator(".sk-reading").fill("4000")
    root.locator(".sk-use").click()
    assert "No sheet reads 4000" in status.text_content()
    root.locator(".sk-reading").fill("40")
    root.locator(".sk-use").click()
    page.wait_for_function(
        "() => document.querySelector('.sk-status').textContent.includes('was expected')"
    )
    due = seconds_left(page)
    assert max(due) < 86400
    assert not wrong, wrong


def seconds_left(page) -> list[float]:
    """Return the starts the widget's model holds, as the kernel sees them."""
    return page.evaluate(
        """async () => {
            const kernel = window.jupyterapp.shell.currentWidget.sessionContext.session.kernel;
            const asked = kernel.requestExecute(
                {code: "print('due', *player.due_s)", store_history: false});
            let text = "";
            asked.onIOPub = message => { text += message.content.text ?? ""; };
            await asked.done;
            return text.split("due")[1].trim().split(" ").map(Number);
        }"""
    )


AFTER_LAST = """
import time
player = Player(plan, mode='step', log='.', job='small.json')
last = plan.start_s[-1] + plan.model.stitches[plan.order[-1]].duration_s
player.turn, player.began_ms = len(plan.order), 1000 * (time.time() - last - 70)
player
"""


def test_readings_after_the_last_stitch_by_keys_alone(opened, workspace):
    page, wrong = opened("after.ipynb", AFTER_LAST)
    root, count = page.locator(".sk-player"), page.evaluate(CELLS)
    form = root.locator(".sk-after-last")
    assert "Next reading in" in form.locator(".sk-ask").text_content() or "now" in form.inner_text()
    root.focus()
    page.keyboard.press("r")  # to the thermometer's field; the minutes are the clock's
    page.keyboard.type("95,5")
    page.keyboard.press("Enter")
    lines = form.locator(".sk-readings li")
    lines.first.wait_for()
    assert "96 °C" in lines.first.text_content().replace("\u00a0", " ")
    assert lines.first.text_content().startswith("1.")  # minutes: 70 s and what the page took
    page.keyboard.press("Shift+Tab")
    page.keyboard.type("3")
    page.keyboard.press("Tab")
    page.keyboard.type("60")
    page.keyboard.press("Enter")
    lines.nth(1).wait_for()
    assert lines.nth(1).text_content().startswith("3 min")
    form.locator(".sk-strip").focus()
    page.keyboard.type("38")
    page.keyboard.press("Enter")
    lines.nth(2).wait_for()
    words = form.locator(".sk-learned")
    assert "from 3 readings" in words.text_content()
    # degrees Fahrenheit, and a reading that can't be
    root.locator(".sk-tab[data-mode=watch]").click()
    root.locator(".sk-unit").select_option("F")
    root.locator(".sk-tab[data-mode=step]").click()
    form.locator(".sk-after").fill("5")
    form.locator(".sk-cooling").fill("104")  # 40 °C
    form.locator(".sk-cooling").press("Enter")
    lines.nth(3).wait_for()
    assert "104 °F" in form.locator(".sk-readings").text_content().replace("\u00a0", " ")
    form.locator(".sk-after").fill("0.1")
    form.locator(".sk-cooling").fill("104")
    form.locator(".sk-add").press("Enter")
    said = form.locator(".sk-said")
    page.wait_for_function(
        "() => document.querySelector('.sk-said').textContent.includes('after_s')"
    )
    form.locator(".sk-forget").nth(2).press("Enter")
    page.wait_for_function("() => document.querySelectorAll('.sk-readings li').length === 3")
    form.locator(".sk-keep").press("Enter")
    page.wait_for_function("() => document.querySelector('.sk-said').textContent.includes('Kept')")
    assert "heat.csv" in said.text_content()
    kept = (workspace / "heat.csv").read_text()
    assert "small.json" in kept and "strip 38.0 mm" in kept and "180 s 60.0 degC" in kept
    assert page.evaluate(CELLS) == count
    assert not wrong, wrong


def test_an_order_by_clicks_and_by_keys(opened):
    page, wrong = opened("lesson.ipynb", "lesson = Lesson(plan)\nlesson")
    root, count = page.locator(".sk-lesson"), page.evaluate(CELLS)
    numbers = root.locator(".sk-choose .sk-stitch text")
    page.wait_for_function("() => document.querySelectorAll('.sk-choose .sk-stitch').length === 8")

    # by clicks, not quite on them; a taken stitch stays; undo
    for stitch in (1, 5, 3):
        press(root, stitch, beside=(6, 6))
    press(root, 5)
    assert [n for n in numbers.all_text_contents() if n] == ["1", "3", "2"]
    root.locator(".sk-undo").click()
    assert "2 of 8" in root.locator(".sk-status").text_content()
    root.locator(".sk-judge").click()
    assert "6 to go" in root.locator(".sk-status").text_content()

    # by keys
    root.locator(".sk-clear").click()
    root.locator(".sk-choose .sk-stitch[tabindex='0']").focus()
    here = int(root.locator(".sk-choose .sk-stitch[tabindex='0']").get_attribute("data-stitch"))
    for step in range(8):
        page.keyboard.press("Enter")
        if step == 1:
            page.keyboard.press("Backspace")
            page.keyboard.press("Space")
        page.keyboard.press("ArrowRight")
    order = page.locator(".sk-choose .sk-stitch").evaluate_all(
        "all => all.map(one => Number(one.querySelector('text').textContent))"
    )
    assert order == [(n - (here - 1)) % 8 + 1 for n in range(8)]
    judge = root.locator(".sk-judge")
    judge.hover()
    look = judge.evaluate("b => [getComputedStyle(b).color, getComputedStyle(b).backgroundColor]")
    assert look == ["rgb(255, 255, 255)", "rgb(0, 114, 178)"]
    page.keyboard.press("j")
    page.wait_for_selector(".sk-verdict")
    assert root.locator(".sk-verdict tbody tr").count() == 1
    assert "°C" in root.locator(".sk-mine").text_content()
    assert "planished" in root.text_content()

    # the heat of it plays by itself
    readout = root.locator(".sk-readout")
    page.wait_for_function("() => document.querySelector('.sk-readout').textContent !== ''")
    page.wait_for_function(
        "old => document.querySelector('.sk-readout').textContent !== old",
        arg=readout.text_content(),
    )
    assert page.evaluate(CELLS) == count
    assert not wrong, wrong
