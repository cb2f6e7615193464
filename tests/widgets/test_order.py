"""The order of one's own patch: planned once for the page, played, marked old by an edit."""

from __future__ import annotations

import threading

import pytest

from sheetkit import save
from sheetkit.paper import write
from sheetkit.widgets import Bench, Player, planning


@pytest.fixture
def planned(small_plan, monkeypatch):
    """The results an order was planned for."""
    asked = []

    def plan(result, **_):
        asked.append(result)
        return small_plan

    monkeypatch.setattr(planning, "plan", plan)
    monkeypatch.setattr(write, "preview", lambda *_, **__: b"png")
    return asked


@pytest.fixture
def bench(tmp_path, small_estimate):
    save(small_estimate.job, tmp_path / "job.json")
    return Bench(tmp_path / "job.json", draw=True)


def press(bench):
    bench.details.order.button.click()
    bench.plans.wait()


def test_nothing_drawn_is_said_in_words(tmp_path, planned):
    bench = Bench(tmp_path / "job.json", draw=True)
    bench.details.order.button.click()
    assert "draw a ring" in bench.details.order.message.value
    assert planned == [] and bench.details.order.player is None


def test_ones_own_patch_is_planned_and_played(bench, planned, small_plan):
    press(bench)
    assert [one.job for one in planned] == [bench.job]
    assert (
        isinstance(bench.details.order.player, Player)
        and bench.details.order.player.plan is small_plan
    )
    assert not bench.details.order.is_old and not bench.details.order.button.disabled
    assert bench.plan is small_plan and bench.result.by_plan
    assert [f["label"] for f in bench.strip.figures][3:] == [
        "Hours, as planned",
        "Cost, as planned",
    ]
    assert "once round" in bench.details.order.message.value


def test_an_edit_marks_it_old_and_undo_makes_it_hold_again(bench, planned):
    press(bench)
    bench.form.set("patch__margin", 31)
    assert (
        bench.details.order.is_old
        and "before your last change" in bench.details.order.message.value
    )
    assert bench.details.order.player is not None, "it can still be looked at"
    assert not bench.result.by_plan
    bench.form.set("patch__margin", "2 cm")
    assert not bench.details.order.is_old, "the same length in other words"
    assert bench.result.by_plan
    bench.pad.edit(op="move_point", id="job-1", index=0, to=[-5, 0])
    assert bench.details.order.is_old
    bench.pad.undo()
    assert not bench.details.order.is_old
    press(bench)
    assert len(planned) == 1


def test_names_and_money_leave_the_order_as_it_is(bench, planned):
    press(bench)
    bench.form.set("customer", "somebody")
    bench.form.set("shop__labour_rate", 90)
    assert not bench.details.order.is_old


def test_pages_and_player_share_one_plan(bench, planned, small_plan):
    bench.details.pages.show.click()
    bench.plans.wait()
    assert "data:image/png" in bench.details.pages.picture.value
    bench.form.set("customer", "somebody")  # anything that makes the bench look
    assert bench.details.order.plan is small_plan
    press(bench)
    assert len(planned) == 1


def test_two_presses_at_once_are_one_search(bench, small_plan, monkeypatch):
    begun, go, asked = threading.Event(), threading.Event(), []

    def plan(result, **_):
        asked.append(result)
        begun.set()
        assert go.wait(60)
        return small_plan

    monkeypatch.setattr(planning, "plan", plan)
    monkeypatch.setattr(write, "preview", lambda *_, **__: b"png")
    bench.details.order.button.click()
    assert begun.wait(60)
    bench.details.pages.show.click()
    go.set()
    bench.plans.wait()
    assert len(asked) == 1
    assert (
        bench.details.order.player is not None
        and "data:image/png" in bench.details.pages.picture.value
    )


def test_the_player_goes_by_the_pages_units(bench, planned):
    press(bench)
    assert bench.details.order.player.unit == "C"
    bench.strip.units = "in"
    player = bench.details.order.player
    assert (player.unit, player.after_last["length"]) == ("F", "in")
    player.event = {"n": 1, "kind": "start", "at_s": 0.0, "starts_s": []}
    bench.strip.units = "mm"
    assert (player.unit, player.after_last["mm_per_unit"]) == ("C", 1.0)
