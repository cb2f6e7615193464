"""The test without a browser: five questions asked, answered, marked and kept."""

import pytest

from sheetkit.lesson.exam import FULL, REASONS, exam
from sheetkit.lesson.records import Record
from sheetkit.views.heat_frames import unpack
from sheetkit.widgets import Lesson, Pupil, WhichNext

SEED = 4


@pytest.fixture
def pupil(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return Pupil()


def hear(test, **event):
    test.event = {"n": test.echo + 1, **event}
    test.wait()


def begun(pupil) -> WhichNext:
    test = WhichNext(pupil=pupil, seed=SEED)
    hear(test, kind="begin")
    return test


def test_full_marks_by_the_coolest_place_and_its_reason(pupil):
    test = begun(pupil)
    known = exam(SEED)
    assert len(test.stitches["stitches"]) == len(known.plan.patch) and test.bar == {}
    for n, asked in enumerate(known.asked, 1):
        assert test.asked["n"] == n and test.asked["decoy"] == asked.decoy
        assert [one["stitch"] for one in test.asked["done"]] == list(asked.moment.done)
        said = str(test.asked)
        assert "ahead" not in said and "coolest" not in said and test.answered == {}
        hear(test, kind="answer", stitch=asked.moment.places[0].stitch, reason=asked.reason)
        assert test.answered["marks"] == test.answered["full"]
        assert set(test.answered["temps"]) == {str(one.stitch) for one in asked.moment.places}
        frame = unpack(test.frames, test.view["columns"], test.view["rows"])
        assert frame.shape[0] == 1 and len(set(frame.ravel().tolist())) > 20
        hear(test, kind="next")
    assert test.final["marks"] == FULL and test.asked == {}
    assert pupil.keeper.record.best_mark.marks == FULL
    assert pupil.keeper.record.marks[-1].mistakes == ()


def test_a_wrong_answer_says_what_the_heat_is_and_is_kept_as_a_mistake(pupil):
    test = begun(pupil)
    for asked in exam(SEED).asked:
        hear(test, kind="answer", stitch=asked.moment.places[-1].stitch, reason="shrinks")
        assert test.answered["marks"] == 0
        words = " ".join(test.answered["words"])
        assert "Not there: it gets" in words and "Not so" in words and "shrinks alike" in words
        hear(test, kind="next")
    assert test.final["marks"] == 0
    assert len(pupil.keeper.record.marks[-1].mistakes) == 5


def test_events_no_page_sends_change_nothing(pupil):
    test = begun(pupil)
    asked = exam(SEED).asked[0]
    done, free = asked.moment.done[0], asked.moment.places[0].stitch
    for stitch, reason in [(done, "COOL"), (99, "COOL"), ("1", "COOL"), (True, "COOL"), (free, "no"),
                           (free, None), (free, ["COOL"])]:  # fmt: skip
        hear(test, kind="answer", stitch=stitch, reason=reason)
        assert test.answered == {}
    for kind in ("next", "card", "nonsense", None):
        hear(test, kind=kind, form="exe")
    assert test.asked["n"] == 1 and test.final == {}
    hear(test, kind="answer", stitch=free, reason="COOL")
    hear(test, kind="answer", stitch=free, reason=asked.reason)
    assert len(test._given) == 1, "one answer counts"


def test_another_shape_each_time(pupil):
    test = begun(pupil)
    first = test.asked["seed"]
    hear(test, kind="begin")
    assert first == SEED != test.asked["seed"]


def test_the_card_holds_the_best_orders(pupil, small_plan):
    lesson = Lesson(small_plan, pupil=pupil)
    test = begun(pupil)
    empty = test.card()
    lesson.judge(list(small_plan.order))
    assert test.card().startswith(b"\x89PNG") and len(test.card()) > len(empty)
    assert test.card("pdf").startswith(b"%PDF")
    assert pupil.keeper.record != Record()


def test_every_reason_has_words():
    assert len(set(REASONS.values())) == len(REASONS) == 4
