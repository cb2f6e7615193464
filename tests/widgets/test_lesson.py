"""The lesson without a browser: orders judged by the planner's own rules; questions."""

import pytest

import sheetkit as sk
from sheetkit.base.errors import refuse
from sheetkit.lesson.next_place import moment_after
from sheetkit.lesson.tries import judged
from sheetkit.sequence.orders import loop_order, skip_order
from sheetkit.views.words import minutes
from sheetkit.widgets import Lesson, Pupil, Question


@pytest.fixture
def lesson(small_plan):
    return Lesson(small_plan)


def hear(lesson, **event):
    """Do what the page does."""
    lesson.event = {"n": lesson.echo + 1, **event}
    lesson.wait()


def test_stitches_are_laid_out_once_round(lesson):
    assert [one["stitch"] for one in lesson.stitches["stitches"]] == list(range(1, 9))
    assert repr(lesson) == "Lesson(8 stitches)"
    data, _ = lesson._repr_mimebundle_()
    assert data["image/png"].startswith("iVBOR")


def test_nothing_on_the_board_gives_an_order_away(lesson, small_plan):
    best = small_plan.total_s
    hear(lesson, kind="planner")
    assert lesson.others == [] and not lesson.offers
    told = f"{lesson.verdict} {lesson.tries} {lesson.hint} {lesson.too_hot}"
    assert minutes(best) not in told and str(list(small_plan.order)) not in told
    for step in (1, 2):
        hear(lesson, kind="judge", order=skip_order(8, step))
        assert minutes(best) not in f"{lesson.verdict} {lesson.tries}"
    assert lesson.offers
    hear(lesson, kind="planner")
    names = [row["name"] for row in lesson.others]
    assert names == ["once round", "the planner's"]
    assert lesson.others[1]["total_s"] == pytest.approx(best, rel=0.02)
    assert lesson.others[1]["order"] == list(small_plan.order)


def test_tries_are_kept_with_the_best_of_them(lesson):
    for step in (1, 3, 2):
        hear(lesson, kind="judge", order=skip_order(8, step))
    assert [row["name"] for row in lesson.tries] == ["try 1", "try 2", "try 3"]
    least = min(lesson.tries, key=lambda row: row["total_s"])
    assert [row["name"] for row in lesson.tries if row["best"]] == [least["name"]]
    hear(lesson, kind="judge", order=skip_order(8, 1))
    assert len(lesson.tries) == 3, "the same order again is no new try"
    words = " ".join(lesson.verdict["words"])
    assert f"Your best is {least['total']}" in words and "lies beside turn" in words
    assert "Which place would have been cooler then?" in words


def test_the_heat_of_the_order_judged_is_shown_at_once(lesson):
    hear(lesson, kind="judge", order=skip_order(8, 2))
    assert lesson.frames and lesson.view["times_s"][lesson.view["first"]] >= 0
    assert [one["stitch"] - 1 for one in lesson.view["stitches"]] == skip_order(8, 2)
    hear(lesson, kind="play", order=loop_order(8))
    assert [one["stitch"] - 1 for one in lesson.view["stitches"]] == loop_order(8)
    assert len(lesson.tries) == 1


def test_a_hint_asks_before_it_tells(lesson, small_plan):
    hear(lesson, kind="ask", order=[0])
    assert lesson.hint["kind"] == "ask" and "coolest" in lesson.hint["text"]
    assert lesson.hint["stitch"] == -1
    hear(lesson, kind="guess", order=[0], stitch=1)
    assert lesson.hint["kind"] == "wrong" and "too hot" in lesson.hint["text"]
    hear(lesson, kind="tell", order=[0])
    coolest = lesson.hint["stitch"]
    assert coolest in moment_after(small_plan, [0]).coolest
    hear(lesson, kind="guess", order=[0], stitch=coolest)
    assert lesson.hint["kind"] == "right" and "turn 2" in lesson.hint["text"]
    before = lesson.hint["n"]
    for stitch in (0, 8, -1, "1", None, 1.5):
        hear(lesson, kind="guess", order=[0], stitch=stitch)
    assert lesson.hint["n"] == before


def test_the_planners_order_is_called_as_quick(lesson, small_plan):
    for order in (loop_order(8), small_plan.order):
        hear(lesson, kind="judge", order=list(order))
    hear(lesson, kind="planner")
    assert "As quick as the planner's" in " ".join(lesson.verdict["words"])
    hear(lesson, kind="judge", order=loop_order(8))
    assert "No quicker than once round" in " ".join(lesson.verdict["words"])


def test_a_board_of_an_estimate_is_made_ready_beside_the_page(data_folder, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    result = sk.estimate(sk.load(data_folder / "practice" / "strip.json"))
    pupil = Pupil()
    lesson = Lesson(result, pupil=pupil)
    assert repr(lesson) == "Lesson('Practice strip')"
    assert "image/png" not in (lesson._repr_mimebundle_() or [{}])[0] or lesson.board
    lesson.wait()
    assert len(lesson.stitches["stitches"]) == 10 and lesson.bar == {} and lesson.others == []
    for step in (1, 2):
        hear(lesson, kind="judge", order=skip_order(10, step))
    before = [row["total_s"] for row in lesson.tries]
    hear(lesson, kind="planner")
    assert lesson.bar == {} and [row["name"] for row in lesson.others] == [
        "once round",
        "the planner's",
    ]
    assert lesson.others[1]["total_s"] < min(row["total_s"] for row in lesson.tries)
    assert len(before) == 2

    again = Lesson(result, pupil=Pupil())  # the notebook is opened again
    again.wait()
    assert [row["order"] for row in again.tries] == [skip_order(10, step) for step in (1, 2)]
    assert again.offers


def test_what_can_not_be_planned_is_told(data_folder, monkeypatch):
    result = sk.estimate(sk.load(data_folder / "practice" / "strip.json"))
    monkeypatch.setattr(
        "sheetkit.widgets.player.lesson.Board",
        lambda _: refuse("interpass_limit_c", 50, "never", "raise it"),
    )
    lesson = Lesson(result)
    lesson.wait()
    assert lesson.bar["over"] and "interpass_limit" in lesson.bar["words"]


def test_an_order_that_leaves_one_out_is_refused(lesson):
    with pytest.raises(ValueError, match="order"):
        lesson.judge([0, 1, 2])


@pytest.mark.parametrize("order", [None, "01234567", [0] * 8, [0, 1], [True] * 8, [[0]] * 8])
@pytest.mark.parametrize("kind", ["judge", "play"])
def test_an_order_no_page_sends_is_left(lesson, order, kind):
    hear(lesson, kind=kind, order=order)
    assert lesson.verdict == {} and lesson.tries == [] and not lesson.frames


def test_without_waits_once_round_is_hottest(small_plan):
    loop = judged(small_plan, loop_order(8), "once round")
    skip = judged(small_plan, skip_order(8, 3), "skip")
    assert loop.never_wait_c > skip.never_wait_c > small_plan.interpass_limit_c
    assert loop.waiting_s == pytest.approx(sum(loop.plan.wait_s))


def test_a_question_is_checked_and_escaped():
    question = Question("Is 1 < 2?", {"yes": "It <b>is</b>.", "no": "Count again."}, right="yes")
    assert "1 &lt; 2" in question.children[0].value
    question.buttons.value = "no"
    assert "✗ Not so." in question.feedback.value and "Count again." in question.feedback.value
    question.buttons.value = "yes"
    assert "✓ Right." in question.feedback.value and "&lt;b&gt;" in question.feedback.value
    assert question.chosen == "yes" and repr(question) == "Question('Is 1 < 2?')"
    with pytest.raises(KeyError):
        Question("?", {"a": ""}, right="b")
