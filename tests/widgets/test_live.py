"""Live views follow the bench by themselves and end with its last result."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest

from sheetkit.base.errors import Fault, SheetkitError
from sheetkit.views import listings
from sheetkit.widgets import Bench, Live

DATA = Path(__file__).parents[2] / "data"


@pytest.fixture
def bench():
    return Bench(DATA / "trunk_floor.json")


def test_a_view_follows_every_change(bench):
    view = Live(bench, lambda result: result.range("seam_length_mm"))
    first = view.value
    assert f"{bench.result.values['seam_length_mm']:.0f}" in first
    bench.form.set("patch__margin", 40)
    view.wait()
    assert view.value != first
    assert f"{bench.result.values['seam_length_mm']:.0f}" in view.value


def test_charts_tables_and_texts_are_shown(bench):
    assert "<img alt=" in Live(bench, lambda result: result.plot(close=True)).value
    assert "<table" in Live(bench, listings.patch_listing).value
    assert Live(bench, lambda _: "a < b").value == "<pre>a &lt; b</pre>"


def test_it_ends_with_the_newest_however_many_come_meanwhile(bench):
    held, seen = threading.Event(), []
    held.set()

    def slow(result):
        assert held.wait(60)
        seen.append(result.job.patch.margin)
        return f"margin {result.job.patch.margin:g}"

    view = Live(bench, slow)
    held.clear()
    for margin in (30, 31, 32, 33):
        bench.form.set("patch__margin", margin)
    held.set()
    view.wait()
    assert "margin 33" in view.value
    assert len(seen) < 5, "what is overtaken is left out"


def test_nothing_drawn_and_what_is_refused_are_said_in_words(tmp_path, bench):
    empty = Bench(tmp_path / "job.json", draw=True)
    assert "Nothing drawn yet" in Live(empty, lambda result: result.plot()).value

    def refuse(_):
        raise SheetkitError(Fault("shop.prices", "<none>", "must be given", "write them down"))

    shown = Live(bench, refuse).value
    assert "write them down" in shown and "<none>" not in shown
    assert "ZeroDivisionError" in Live(bench, lambda _: 1 / 0).value


def test_it_is_a_page_for_who_does_not_trust_it(bench):
    view = Live(bench, lambda _: "words")
    assert view._repr_mimebundle_()["text/html"] == view.value
    assert repr(view) == "Live view of the bench"


def test_a_view_that_takes_units_goes_by_the_benchs(bench):
    view = Live(bench, listings.patch_listing)
    assert " in" not in view.value
    bench.display = "in"
    view.wait()
    assert " in" in view.value
