"""Nothing that people read names a field, a figure or a method as the code does."""

from __future__ import annotations

import re
from html import unescape

import pytest

import sheetkit as sk
from sheetkit.paper import blocks, html, quote, work_sheet
from sheetkit.views import lines, listings
from sheetkit.views.words import named
from sheetkit.widgets import Bench, JobBook, Planning
from sheetkit.widgets.order import Order
from sheetkit.widgets.plans import Plans
from sheetkit.widgets.two_ways import TwoWays

RAW = re.compile(
    r"\b[a-z][a-z0-9]*(?:_[a-z0-9]+)+\b"
    r"|\b(?:sheet|patch|weld|shop|panel|surroundings|rust)(?:\[\d+\])?\.[a-z]\w*"
    r"|\bp(?:10|50|90)\b|\bskip \d|branch and bound|polished|annealed|van der Corput|explain\("
)
FILES = re.compile(r"[\w./-]+\.(?:json|csv|pdf|html|svg|dxf|xlsx)\b")
DEMO = ("trunk_floor", "footwell", "wheel_arch")


def raw_names(text: str) -> list[str]:
    text = re.sub(r"<(style|script|svg)\b.*?</\1>|<[^>]*>", " ", text, flags=re.S)
    return sorted({found[0] for found in RAW.finditer(FILES.sub(" ", unescape(text)))})


def texts(value: object) -> list[str]:
    """Return every text in what a widget tells its page, but for names of its own fields."""
    if isinstance(value, str):
        return [value]
    if isinstance(value, dict):
        own = {"path", "name", "id", "kind", "d"}
        return [text for key, one in value.items() if key not in own for text in texts(one)]
    if isinstance(value, list | tuple):
        return [text for one in value for text in texts(one)]
    return []


@pytest.fixture(scope="module", params=DEMO)
def planned(request, data_folder):
    result = sk.estimate(sk.load(data_folder / f"{request.param}.json"))
    return result, sk.plan(result, stop=lambda: True)


@pytest.mark.parametrize("text", ["weld.stitch", "wire_feed_m_min: 5", "<b>skip 3</b>, polished"])
def test_a_raw_name_is_found(text):
    assert raw_names(f"<p title='weld_me'>{text}</p>")


def test_what_is_no_name_is_left():
    assert raw_names("e.g. 1.5 in trunk_floor.json, ends at the sheet. Then weld.") == []


@pytest.mark.parametrize("display", ["mm", "in"])
def test_text_and_pages(planned, display):
    result, plan = planned
    told = {
        "estimate": "\n".join(lines.estimate_lines(result, display=display)),
        "sequence": "\n".join(lines.sequence_lines(result, plan, display=display)),
        "page": result._repr_html_() + plan._repr_html_(),
        "job": listings.job_listing(result.job, display)._repr_html_(),
        "left open": listings.left_out(result, display)._repr_html_(),
    }
    pages = (
        ("quote", quote.quote(result, display=display)),
        ("work sheet", work_sheet.worksheet(result, plan, paper="a4", display=display)),
    )
    for kind, made in pages:
        made = [block for block in made if not isinstance(block, blocks.Picture)]
        told[kind] = html.html(made, title=result.job.title, kind=kind)
    assert {name: found for name, text in told.items() if (found := raw_names(text))} == {}


def test_a_job_that_says_little(job):
    """What is assumed for nearly every field is told in words too."""
    result = sk.estimate(job())
    text = "\n".join(lines.estimate_lines(result)) + listings.left_out(result)._repr_html_()
    assert "Air and sheet" in text
    assert raw_names(text) == []


def test_what_the_bench_says(planned):
    result, plan = planned
    bench = Bench(result.job)
    for process in ("135", "136", "114", "141"):
        bench.form.set("weld__process", process)
        told = texts([bench.form.groups, list(bench.form.rows.values()), bench.strip.figures])
        details = bench.details
        told += [bench.strip.word["text"], details.cards.value, details.cautions.value]
        assert raw_names("\n".join([*told, details.amounts.value])) == []
    bench.form.set("weld__stitch", "900")
    bench.form.set("patch__margin", "a hand")
    assert raw_names("\n".join(bench.form.refused.values())) == []


def test_the_order_two_ways_and_the_player(planned):
    result, plan = planned
    plans = Plans()
    plans.keep(result.job, plan)
    order = Order(lambda: result, plans)
    ways = TwoWays(lambda: result)
    ways.compare()
    planning = Planning(result)
    planning._stop.set()
    planning.start = lambda: planning._work()
    planning.start()
    player = order.player
    told = [order.message.value, planning.message.value, planning.label.value, ways.table.value]
    assert player is not None
    assert raw_names("\n".join([*told, *texts([player.too_hot, player.after_last])])) == []


def test_the_job_book(data_folder):
    book = JobBook(data_folder / "job_book")
    book.wait()
    told = texts(
        [book.table.rows, book.table.heads, book.form.groups, list(book.form.rows.values())]
    )
    assert raw_names("\n".join([*told, book.factors.value])) == []


def test_every_method_has_its_words():
    assert named("branch and bound, polished") == "the best of all orders, bettered by small moves"
    assert named("opposite, skip 3") == "from side to side, every 3rd"


def test_a_bottle_nobody_gave_is_called_assumed(job):
    assert "assumed: a bottle of 10 l at 200 bar" in Bench(job()).details.cards.value
    own = job(shop={"cylinder": {"water_volume": 20, "pressure": 120}})
    assert "a bottle of" not in Bench(own).details.cards.value
