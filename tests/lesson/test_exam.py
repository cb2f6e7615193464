"""The test at the end: hundreds of simulated pupils, and what makes a moment worth asking about."""

from random import Random

import numpy as np
import pytest
from lesson_pupils import by_chance, by_habit, thinker

from sheetkit.lesson.exam import (
    FULL,
    HABITS,
    MOMENTS,
    PLACE_MARKS,
    REASON_MARKS,
    REASONS,
    SHRINKS,
    exam,
    marked,
    place_marks,
    worth_asking,
)
from sheetkit.lesson.next_place import Heat, moment_after
from sheetkit.lesson.shapes import KINDS, practice_job

SEEDS = range(6)
EACH = 60
"""Pupils of each kind for each shape."""


@pytest.fixture(scope="module")
def exams():
    return [exam(seed) for seed in SEEDS]


def test_only_who_thinks_of_the_heat_gets_full_marks(exams):
    draw = Random(5)
    marks = {
        "by chance": [by_chance(one, draw) for one in exams for _ in range(EACH)],
        **{habit: [by_habit(one, habit, draw) for one in exams for _ in range(EACH)] for habit in HABITS},
        "the coolest place, with its reason": [thinker(one) for one in exams],
    }  # fmt: skip
    print(f"\nmarks of {sum(map(len, marks.values()))} simulated pupils, of {FULL}:")
    for kind, got in marks.items():
        print(f"  {kind:36} {np.mean(got):5.1f}  ({min(got)} to {max(got)})")
    thought = marks.pop("the coolest place, with its reason")
    assert thought == [FULL] * len(exams)
    assert np.mean(marks.pop("by chance")) < FULL / 3
    for habit, got in marks.items():
        assert np.mean(got) < 0.45 * FULL, habit
        assert max(got) < 0.8 * FULL, habit


def test_five_moments_differ_and_ask_of_more_than_one_thing(exams):
    for one in exams:
        assert len(one.asked) == MOMENTS
        assert len({asked.moment.done for asked in one.asked}) == MOMENTS
        assert len({asked.reason for asked in one.asked}) >= 2
        for asked in one.asked:
            assert worth_asking(asked.moment)
            assert asked.decoy not in asked.moment.coolest
            assert asked.reason in REASONS and asked.reason != SHRINKS
            assert len(asked.moment.done) + len(asked.moment.places) == len(one.plan.patch)


def test_a_shape_is_new_for_a_new_seed_and_the_same_for_the_same():
    first, again = exam(7), exam(7)
    for one, other in zip(first.asked, again.asked, strict=True):
        assert (one.moment.done, one.decoy) == (other.moment.done, other.decoy)
    jobs = [practice_job(seed) for seed in range(40)]
    assert len({str(job.data["rust"]) for job in jobs}) == 40
    assert {job.title.split()[1].strip(",") for job in jobs} == {kind.split()[0] for kind in KINDS}


def test_an_answer_is_marked_and_its_mistake_named(exams):
    asked = exams[0].asked[0]
    moment = asked.moment
    best, wrong = moment.places[0].stitch, moment.places[-1].stitch
    right = marked(asked, best, asked.reason)
    assert right.marks == PLACE_MARKS + REASON_MARKS and right.mistake == ""
    place_alone = marked(asked, best, SHRINKS)
    assert place_alone.marks == PLACE_MARKS and "shrinks" in place_alone.mistake
    missed = marked(asked, wrong, asked.reason)
    assert missed.marks == REASON_MARKS and missed.mistake


def test_a_place_that_is_cool_enough_gets_a_part(small_plan):
    moment = moment_after(small_plan, [0])
    cool = [one.stitch for one in moment.places if moment.heat(one.stitch) is Heat.COOL]
    assert {place_marks(moment, one) for one in cool} == {1, 2}
    assert place_marks(moment, 1) == 0
    asked = type(exam(3).asked[0])(moment, 1)
    assert "beside the stitch just made" in marked(asked, 1, "HOT_NOW").mistake
