"""Two ways side by side: the differences are those of the two estimates, in words."""

from __future__ import annotations

from pathlib import Path

import pytest

from sheetkit import estimate
from sheetkit.widgets import Bench, two_ways

DATA = Path(__file__).parents[2] / "data"


@pytest.fixture
def bench():
    return Bench(DATA / "trunk_floor.json")


def test_both_pictures_and_what_differs_are_shown(bench):
    ways = bench.details.two_ways
    ways.first.value, ways.second.value = "butt joint", "lap joint"
    ways.button.click()
    assert ways.pictures.value.count('role="img"') == 2
    rows = {row[0]: row for row in two_ways.differences(
        bench.result, estimate(bench.job.changed(patch__joint="lap")))}  # fmt: skip
    seams = [float(rows["seam"][n].split()[0]) for n in (1, 2, 3)]
    assert seams[1] - seams[0] == pytest.approx(seams[2], abs=1.1)
    assert rows["seam"][3].endswith("mm more") and rows["seam"][3] in ways.table.value
    assert all(row[3].endswith(("more", "less", "the same")) for row in rows.values())


def test_the_same_twice_has_no_difference(bench):
    assert {row[3] for row in two_ways.differences(bench.result, bench.result)} == {"the same"}


def test_a_way_that_can_not_be_is_told(bench):
    bench.form.set("weld__process", "141")
    bench.details.two_ways.second.value = "dots"
    bench.details.two_ways.compare()
    assert "wire-feed process" in bench.details.two_ways.message.value


def test_what_is_shown_is_marked_when_the_job_changes(bench):
    bench.details.two_ways.compare()
    assert bench.details.two_ways.message.value == ""
    bench.form.set("patch__margin", 31)
    assert "before your last change" in bench.details.two_ways.message.value
    assert "margin of 41 mm" in bench.details.two_ways.first.options
    bench.display = "in"
    assert (
        " in" in bench.details.two_ways.table.value
        and "mm" not in bench.details.two_ways.table.value
    )


def test_what_both_seams_pull_is_told_once_it_is_there(bench):
    ways = bench.details.two_ways
    ways.first.value = two_ways.NOW
    ways.second.value = next(name for name in ways.second.options if "margin" in name)
    ways.compare()
    assert "Reckoning" in ways.pulls.value or "Pull of the seam" in ways.pulls.value
    ways.wait()
    assert "times the first way" in ways.pulls.value and "flat in a patch" in ways.pulls.value
    assert "not a verdict" in ways.pulls.value
