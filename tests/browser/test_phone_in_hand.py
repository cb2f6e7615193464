"""The bench page for a phone in Chromium: a file, no network, 360 px, fingers, beside the player."""

from __future__ import annotations

import json
import re

import pytest

import sheetkit as sk
from sheetkit.paper.phone_page import phone_page
from sheetkit.repair.plan import with_plan
from sheetkit.widgets import Player
from sheetkit.workshop.book import Book

HOSTILE = "Wing </script><b>bold</b> & co, left"
JOB = {
    "format": "sheetkit-job/1",
    "title": HOSTILE,
    "sheet": {"thickness": 0.9},
    "rust": [{"ring": [[0, 0], [50, 0], [50, 30], [0, 30]]}],
    "patch": {"margin": 20, "corner_radius": 20},
    "weld": {"stitch": 40, "interpass_limit": "60 degC"},
    "panel": {
        "protect": [
            {"name": "loom <i>behind</i>", "line": [[-60, 70], [110, 70]], "limit": "90 degC"}
        ]
    },
}
REFUSED = """() => Object.defineProperty(window, "localStorage", {
    get() { throw new DOMException("refused", "SecurityError"); } })"""
SMALL = """() => [...document.querySelectorAll("button, summary, input, textarea")]
    .filter((one) => one.offsetParent)
    .map((one) => [one.className, one.textContent, one.getBoundingClientRect()])
    .filter(([, , box]) => box.width < 56 || box.height < 56).map(([name, words]) => [name, words])"""
MARKS = """() => {
    const kept = Object.entries(localStorage).find(([key]) => key.startsWith("sheetkit "));
    return JSON.parse(kept[1]);
}"""

NOW_S = f"() => (Date.now() - ({MARKS})().began_ms) / 1000"


@pytest.fixture(scope="module")
def worked():
    result = sk.estimate(sk.Job.from_data(JOB))
    plan = sk.plan(result, stop=lambda: True)
    return with_plan(result, plan), plan


@pytest.fixture(params=["light"])
def phone(request, browser, worked, tmp_path):
    """A phone with the file open: offline, its clock in the test's hands, every request noted."""
    file = tmp_path / "phone.html"
    file.write_text(phone_page(*worked, front="right"), encoding="utf-8")
    context = browser.new_context(
        viewport={"width": 360, "height": 740}, has_touch=True, is_mobile=True,
        color_scheme=request.param, accept_downloads=True,
    )  # fmt: skip
    context.set_offline(True)
    page, wrong, asked = context.new_page(), [], []
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.on("console", lambda said: wrong.append(said.text) if said.type == "error" else None)
    page.on("request", lambda one: asked.append(one.url))
    page.clock.install()
    if getattr(request.node.get_closest_marker("storage"), "args", [""])[0] == "refused":
        page.add_init_script(f"({REFUSED})()")
    page.goto(file.as_uri())
    page.wait_for_selector("main h1")
    yield page
    context.close()
    assert not wrong
    assert {url.split(":")[0] for url in asked} <= {"file", "blob"}


def to_the_fill(page):
    page.locator(".begin-fill").tap()


def settle(page):
    """Let the reckoning come to its end; the face says when the next start is known."""
    for _ in range(200):
        page.clock.run_for(250)
        if page.evaluate("() => !document.querySelector('.status').textContent.startsWith('Reck')"):
            break
    page.clock.run_for(2000)


def type_in(page, text):
    if not page.locator(".keypad").is_visible():
        page.locator(".reads").tap()
    page.locator(".reading").fill("")
    for sign in text:
        page.locator(".key", has_text=sign).tap()
    page.locator(".use").tap()


def test_step_along_beside_the_player(phone, worked):
    """The same hands and the same readings on the phone and in the notebook: the same starts."""
    _, plan = worked
    player, page = Player(plan, mode="step", frames=10), phone

    def ask(kind, marks, at, **more):
        player.event = {
            "n": player.echo + 1, "kind": kind, "at_s": at, "starts_s": marks["starts"], **more,
        }  # fmt: skip

    def same(marks):
        done = len(marks["starts"])
        for own, here in zip(player.due_s[done:], marks["due"][done:], strict=True):
            assert own - 0.02 <= here <= own + max(10.0, 0.1 * (own - at))

    to_the_fill(page)
    settle(page)
    at = 0.0
    ask("start", page.evaluate(MARKS), at)
    same(page.evaluate(MARKS))
    readings = {2: 52, 4: 38, 5: 38, 6: 118}
    for turn in range(len(plan.order)):
        marks = page.evaluate(MARKS)
        assert len(marks["starts"]) == turn
        assert f"{turn + 1} of" in page.locator(".headline").text_content().replace("\xa0", " ")
        if turn in readings:
            at = page.evaluate(NOW_S)
            type_in(page, str(readings[turn]))
            settle(page)
            ask("reading", marks, at, reading_c=float(readings[turn]))
            marks = page.evaluate(MARKS)
            assert marks["ratio"] == pytest.approx(player.ratio, abs=0.02)
            over = readings[turn] > plan.interpass_limit_c
            assert ("measure again" in page.locator(".status").text_content()) == over
        wait = max(marks["due"][turn] - page.evaluate(NOW_S), 0)
        page.clock.run_for(int(1000 * (wait + 9 + turn)))
        assert page.locator(".countdown").text_content() == "Measure it now"
        page.locator(".done").tap()
        settled = page.evaluate(MARKS)
        at = settled["starts"][-1] + plan.model.stitches[plan.order[turn]].duration_s
        settle(page)
        ask("done", settled, at)
        if turn + 1 < len(plan.order):
            same(page.evaluate(MARKS))
    assert "welds are in" in page.locator(".headline").text_content()
    assert int(page.locator("main").get_attribute("data-beeps")) >= 3 * len(plan.order)


def test_tacks_by_rounds_then_the_fill(phone, worked):
    _, plan = worked
    page = phone
    page.locator(".begin").tap()
    assert page.locator(".countdown").text_content() == "Tack it now"
    page.locator(".done").tap()
    assert f"Tack 2 of {len(plan.tack_order)}" in page.locator(".headline").text_content().replace(
        "\xa0", " "
    )
    assert page.locator(".m-done[data-weld=T1] .m-tick").count() == 1
    assert page.locator(".m-now[data-weld=T2] .m-ring").count() == 1
    assert page.locator(".m-word", has_text="T2 NOW").count() == 1
    page.locator(".more summary").last.tap()  # far down, so that the page has scrolled
    page.locator(".round").tap()
    assert page.evaluate("() => window.scrollY") == 0
    assert "check the fit" in page.locator(".status").text_content()
    while page.locator(".round").is_visible():
        page.locator(".round").tap()
    assert page.locator(".headline").text_content().startswith("Stitch")
    assert page.locator(".front").text_content() == "FRONT ▶"


def test_marks_outlive_a_reload(phone):
    page = phone
    to_the_fill(page)
    settle(page)
    page.clock.run_for(60_000)
    page.locator(".done").tap()
    settle(page)
    before = page.evaluate(MARKS)
    page.reload()
    page.wait_for_selector("main h1")
    settle(page)
    after = page.evaluate(MARKS)
    assert after["starts"] == before["starts"] and after["began_ms"] == before["began_ms"]
    assert "2 of" in page.locator(".headline").text_content().replace("\xa0", " ")
    assert page.locator(".m-done").count() == 1
    page.locator("summary", has_text="This page").tap()
    page.locator(".again").tap()
    assert page.locator(".m-done").count() == 1  # it asks first
    page.locator(".forget").tap()
    assert page.locator(".begin-fill").is_visible()


@pytest.mark.storage("refused")
def test_marks_outlive_a_reload_where_storage_is_refused(phone):
    page = phone
    to_the_fill(page)
    page.clock.run_for(60_000)
    page.locator(".done").tap()
    settle(page)
    page.reload()
    page.wait_for_selector("main h1")
    settle(page)
    assert "2 of" in page.locator(".headline").text_content().replace("\xa0", " ")
    page.locator("summary", has_text="This page").tap()
    page.locator(".sound").tap()
    assert "this tab only" in page.locator(".small", has_text="This browser").text_content()


def test_readings_that_cannot_be_are_refused_in_words(phone):
    page = phone
    to_the_fill(page)
    settle(page)
    before = page.evaluate(MARKS)["due"]
    for typed, words in (("", "Type what the thermometer reads"), ("9999", "No sheet reads 9999 °C"),
                         ("1−1", "is no number")):  # fmt: skip
        type_in(page, typed)
        assert words in page.locator(".status").text_content()
    assert page.evaluate(MARKS)["due"] == before
    type_in(page, "2")
    settle(page)
    assert "no colder than the air" in page.locator(".status").text_content()


@pytest.mark.parametrize("phone", ["light", "dark"], indirect=True)
def test_it_fits_a_narrow_phone_and_a_glove(phone):
    page = phone
    wide = "() => document.documentElement.scrollWidth"

    def fits():
        assert page.evaluate(wide) == 360
        assert page.evaluate(SMALL) == []

    for fold in page.locator("summary").all():
        if fold.is_visible():
            fold.tap()
    fits()
    to_the_fill(page)
    page.locator(".reads").tap()
    fits()
    assert page.locator("h1").text_content() == HOSTILE
    assert page.locator("h1 b").count() == 0
    near = page.locator(".near .alarm")
    assert page.locator("main i").count() == 0
    told = [one.text_content() for one in near.all()]
    assert all("loom <i>behind</i>" in words and "90 °C" in words for words in told)


def test_what_it_took_is_read_by_the_job_book(phone, worked, tmp_path):
    _, plan = worked
    page = phone
    to_the_fill(page)
    for _ in plan.order:
        page.clock.run_for(90_000)
        page.locator(".done").tap()
    page.clock.run_for(1000)
    assert "Fire watch" in page.locator(".status").text_content()
    page.locator("summary", has_text="Wire, gas").tap()
    page.locator("[name=wire_g]").fill("many")
    page.locator(".save").tap()
    assert "no number" in page.locator(".said").text_content()
    page.locator("[name=wire_g]").fill("12,5")
    page.locator("[name=note]").fill('=more "rust" than drawn, behind')
    with page.expect_download() as saved:
        page.locator(".save").tap()
    book = tmp_path / "book"
    book.mkdir()
    (book / "left wing.json").write_text(json.dumps(JOB), encoding="utf-8")
    saved.value.save_as(book / saved.value.suggested_filename)
    assert re.fullmatch(r"phone_\w+\.csv", saved.value.suggested_filename)
    [entry] = Book.open(book).logged(book / "left wing.json")
    assert entry.measured["wire_g"] == 12.5
    assert entry.measured["welding_h"] == pytest.approx(len(plan.order) * 90 / 3600, abs=0.002)
    assert entry.note == 'more "rust" than drawn, behind'
    assert not Book.open(book).set_aside
    page.locator(".copy").tap()
    (book / "phone_copied.csv").write_text(page.locator(".csv").input_value(), encoding="utf-8")
    assert len(Book.open(book).entries) == 1  # the same entry, saved and copied, counts once
