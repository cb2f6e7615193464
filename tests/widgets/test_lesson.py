"""The lesson without a browser: orders judged by the planner's own rules; questions."""

import pytest

from sheetkit.sequence.orders import loop_order, skip_order
from sheetkit.widgets import Lesson, Question
from sheetkit.widgets.player.lesson import judged


@pytest.fixture(scope="module")
def lesson(small_plan):
    return Lesson(small_plan)


def test_stitches_are_laid_out_once_round(lesson):
    assert [one["stitch"] for one in lesson.stitches["stitches"]] == list(range(1, 9))
    assert repr(lesson) == "Lesson(8 stitches)"
    data, _ = lesson._repr_mimebundle_()
    assert data["image/png"].startswith("iVBOR")


def test_the_page_asks_and_gets_a_verdict(lesson, small_plan):
    lesson.event = {"n": 1, "kind": "judge", "order": skip_order(8, 2)}
    assert lesson.echo == 1
    rows = {row["name"]: row for row in lesson.verdict["rows"]}
    assert set(rows) == {"yours", "once round", "the planner's"}
    assert rows["the planner's"]["total_s"] == pytest.approx(small_plan.total_s, rel=0.02)
    assert rows["yours"]["mine"] and not rows["once round"]["mine"]
    assert lesson.frames and lesson.view["times_s"][lesson.verdict["frame"]] >= 0
    assert [one["stitch"] - 1 for one in lesson.view["stitches"]] == skip_order(8, 2)
    assert "shrinks" in lesson.verdict["words"] and "planished" in lesson.verdict["words"]


def test_once_round_is_called_no_quicker(lesson):
    lesson.judge(loop_order(8))
    assert "No quicker" in lesson.verdict["words"]


def test_the_planners_order_is_called_as_quick(lesson, small_plan):
    lesson.judge(small_plan.order)
    assert "As quick as the planner's" in lesson.verdict["words"]


def test_without_waits_once_round_is_hottest(small_plan):
    loop = judged(small_plan, loop_order(8), "once round")
    skip = judged(small_plan, skip_order(8, 3), "skip")
    assert loop.never_wait_c > skip.never_wait_c > small_plan.interpass_limit_c
    assert loop.waiting_s == pytest.approx(sum(loop.plan.wait_s))


def test_an_order_that_leaves_one_out_is_refused(lesson):
    with pytest.raises(ValueError, match="order"):
        lesson.judge([0, 1, 2])


@pytest.mark.parametrize("order", [None, "01234567", [0] * 8, [0, 1], [True] * 8, [[0]] * 8])
def test_an_order_no_page_sends_is_left(lesson, order):
    before = dict(lesson.verdict)
    lesson.event = {"n": lesson.echo + 1, "kind": "judge", "order": order}
    assert lesson.verdict == before


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
