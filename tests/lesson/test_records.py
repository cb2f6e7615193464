"""What pupils tried and were marked, kept in files that anybody may have spoilt."""

import json
import os

import pytest

from sheetkit.base.errors import NotWritten
from sheetkit.lesson.records import (
    FILE,
    MOST_TRIES,
    Keeper,
    Mark,
    Record,
    Try,
    boards_of,
    class_of,
    commonest,
    read,
)


def test_a_record_comes_back_as_it_was(tmp_path):
    keeper = Keeper(tmp_path / FILE)
    keeper.tried("strip", Try((0, 1, 2), 90.0, "goes on beside the stitch just made"))
    keeper.tried("strip", Try((2, 0, 1), 60.0))
    keeper.tried("strip", Try((0, 1, 2), 90.0, "goes on beside the stitch just made"))
    keeper.marked(Mark(7, 9, 15, ("forgets the heat that is on its way",)))
    keeper.marked(Mark(8, 6, 15))
    again = Keeper(tmp_path / FILE).record
    assert again == keeper.record == read(tmp_path / FILE)
    assert again.best("strip") == Try((2, 0, 1), 60.0) and len(again.tries["strip"]) == 2
    assert again.best("small") is None and again.best_mark.marks == 9
    assert again.mistakes.total() == 2


def test_the_best_stays_when_old_tries_go():
    keeper = Keeper()
    keeper.tried("a", Try((1, 0), 5.0))
    for n in range(MOST_TRIES + 20):
        keeper.tried("a", Try((0, 1, *range(2, 3 + n)), 100.0 + n))
    kept = keeper.record.tries["a"]
    assert len(kept) == MOST_TRIES and keeper.record.best("a").total_s == 5.0
    assert kept[-1].total_s == 100.0 + MOST_TRIES + 19


def test_what_nobody_kept_yet_goes_along_with_the_name(tmp_path):
    Keeper(tmp_path / FILE).tried("a", Try((0, 1), 80.0))
    keeper = Keeper()
    keeper.tried("a", Try((1, 0), 70.0))
    keeper.keep_in(tmp_path / FILE)
    assert {one.total_s for one in read(tmp_path / FILE).tries["a"]} == {80.0, 70.0}
    keeper.keep_in(tmp_path / "other.json")
    assert keeper.record == Record(), "another pupil doesn't get the first one's"


@pytest.mark.parametrize(
    "text",
    ["", "[", "[]", "null", '{"format": "other"}', '{"format": "sheetkit-lesson/1", "tries": 5}',
     '{"format": "sheetkit-lesson/1", "tries": {"a": [{"order": [0, 0], "total_s": 5}]}}',
     '{"format": "sheetkit-lesson/1", "tries": {"a": [{"order": [0], "total_s": true}, 3, null]}}',
     '{"format": "sheetkit-lesson/1", "marks": [{"seed": 1, "marks": 20, "full": 15}, {}]}',
     '{"format": "sheetkit-lesson/1", "marks": [{"seed": 1, "marks": NaN, "full": 15}]}',
     "[" * 100_000],
)  # fmt: skip
def test_a_file_that_was_spoilt_is_no_record(tmp_path, text):
    (tmp_path / FILE).write_text(text)
    found = read(tmp_path / FILE)
    assert found.best("a") is None and found.best_mark is None and not found.mistakes


def test_what_is_whole_in_a_spoilt_file_is_kept(tmp_path):
    data = Record({"a": (Try((0, 1), 9.0),)}, (Mark(1, 2, 15),)).to_data()
    data["tries"]["a"].insert(0, {"order": "x"})
    data["marks"].append({"seed": -1})
    (tmp_path / FILE).write_text(json.dumps(data))
    assert read(tmp_path / FILE) == Record({"a": (Try((0, 1), 9.0),)}, (Mark(1, 2, 15),))


def test_a_class_is_its_pupils_files(tmp_path):
    beside, soon = "goes on beside the stitch just made", "comes back too soon"
    for name, mistakes in {
        "Anna": [beside],
        "Ben": [beside, soon],
        "Cleo": [soon, soon, soon],
    }.items():
        (tmp_path / name).mkdir()
        keeper = Keeper(tmp_path / name / FILE)
        for n, mistake in enumerate(mistakes):
            keeper.tried("strip", Try((n, n + 1), 50.0 + n, mistake))
    (tmp_path / "Dora").mkdir()
    (tmp_path / ".orders").mkdir()
    found = class_of(tmp_path)
    assert list(found) == ["Anna", "Ben", "Cleo"] and boards_of(list(found.values())) == ["strip"]
    assert commonest(found.values()) == [(soon, 4, 2), (beside, 2, 2)]
    assert class_of(tmp_path / "none") == {}


@pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="root writes anywhere")
def test_a_refused_write_is_told_and_kept_in_memory(tmp_path):
    keeper = Keeper(tmp_path / FILE)
    tmp_path.chmod(0o500)
    try:
        with pytest.raises(NotWritten):
            keeper.tried("a", Try((0, 1), 9.0))
    finally:
        tmp_path.chmod(0o700)
    assert keeper.record.best("a") is not None


def test_a_write_into_nowhere_is_told_and_kept_in_memory(tmp_path):
    keeper = Keeper(tmp_path / "gone" / FILE)
    with pytest.raises(NotWritten):
        keeper.tried("a", Try((0, 1), 9.0))
    assert keeper.record.best("a") is not None
