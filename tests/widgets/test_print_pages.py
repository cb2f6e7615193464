"""The pages' buttons without a browser: what is planned, what is kept, what is said."""

import threading

import pytest

from sheetkit import estimate
from sheetkit.base.errors import Fault, JobRefused
from sheetkit.paper import write
from sheetkit.widgets import Bench, Pages, planning


@pytest.fixture
def planned(small_plan, monkeypatch):
    """The results an order was planned for; pages are written as one small file."""
    asked = []

    def plan(result, *, progress, stop, **_):
        asked.append(result)
        progress("searching", 1, 1)
        return small_plan

    monkeypatch.setattr(planning, "plan", plan)
    monkeypatch.setattr(write, "preview", lambda *_, **__: b"png")
    monkeypatch.setattr(write, "rendered", lambda *_, **__: dict.fromkeys(write.FILES, b"page"))
    return asked


def press(button, pages):
    button.click()
    pages.wait()
    assert not pages.show.disabled and not pages.write.disabled


def test_an_order_is_planned_once_for_a_job(small_estimate, planned, tmp_path):
    pages = Pages(small_estimate)
    pages.folder.value = str(tmp_path / "pages")
    press(pages.show, pages)
    assert "data:image/png" in pages.picture.value
    press(pages.write, pages)
    pages.kind.value = "fixed price"
    pages.overwrite.value = True
    press(pages.write, pages)
    assert "Written into" in pages.message.value
    assert len(planned) == 1


def test_another_drawing_is_another_order(job, planned, tmp_path):
    shown = [estimate(job())]
    pages = Pages(lambda: shown[0])
    press(pages.show, pages)
    shown[0] = estimate(job(title="the same under another name"))
    press(pages.show, pages)
    assert len(planned) == 1
    shown[0] = estimate(job(patch={"margin": 40}))
    press(pages.show, pages)
    assert planned[1:] == [shown[0]]


def test_an_order_given_is_not_used_for_another_job(small_estimate, small_plan, planned):
    shown = [small_estimate]
    pages = Pages(lambda: shown[0], small_plan)
    press(pages.show, pages)
    assert planned == []
    shown[0] = estimate(small_estimate.job.changed(patch__margin=30))
    press(pages.show, pages)
    assert planned == [shown[0]]


def test_nothing_drawn_is_said_in_words(tmp_path, planned):
    bench = Bench(tmp_path / "job.json", draw=True)
    pages = Pages(lambda: bench.result)
    assert repr(pages) == "Pages()"
    press(pages.show, pages)
    assert "draw the rust first" in pages.message.value
    assert planned == []


def test_a_folder_that_is_full_is_told_before_the_planning(small_estimate, planned, tmp_path):
    (tmp_path / "quote.pdf").write_bytes(b"yours")
    pages = Pages(small_estimate)
    pages.folder.value = str(tmp_path)
    press(pages.write, pages)
    assert "quote.pdf" in pages.message.value
    assert planned == []


def test_a_job_that_can_not_be_planned_is_told_and_can_be_tried_again(
    small_estimate, planned, monkeypatch
):
    fault = Fault("weld.interpass_limit", "30 degC", "is never reached", "raise it")

    def refuse(*_, **__):
        raise JobRefused(fault)

    monkeypatch.setattr(planning, "plan", refuse)
    pages = Pages(small_estimate)
    press(pages.show, pages)
    assert "is never reached" in pages.progress.children[0].message.value
    assert pages.message.value == ""


def test_planning_leaves_the_kernel_free_and_can_be_stopped(
    small_estimate, small_plan, planned, monkeypatch
):
    begun, stopped = threading.Event(), []

    def plan(result, *, progress, stop, **_):
        begun.set()
        while not stop():
            threading.Event().wait(0.01)
        stopped.append(result)
        return small_plan

    monkeypatch.setattr(planning, "plan", plan)
    pages = Pages(small_estimate)
    pages.show.click()
    assert begun.wait(600)
    assert pages.show.disabled and pages.write.disabled
    pages.progress.children[0].stop_button.click()
    pages.wait()
    assert stopped == [small_estimate]
    assert "data:image/png" in pages.picture.value
