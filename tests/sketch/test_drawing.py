"""Edits give new drawings, refuse nonsense in words, and undo is exact."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from sheetkit.sketch.drawing import EDITS, Drawing, History
from sheetkit.sketch.job_entries import from_draft, to_plain
from sheetkit.sketch.shape_kinds import KINDS, MOST_SHAPES, EditRefused

CASES = json.loads(Path(__file__).with_name("edits.json").read_text(encoding="utf-8"))
TRIANGLE = [[0, 0], [10, 0], [0, 10]]


def drawn(*edits) -> Drawing:
    drawing = Drawing()
    for edit in edits:
        drawing = drawing.edited(edit)
    return drawing


def ring(id_="a", kind="rust_holed", points=TRIANGLE, done=True):
    return {"op": "add", "id": id_, "kind": kind, "points": points, "done": done}


def test_a_ring_grows_point_by_point_and_is_closed():
    drawing = drawn(
        {"op": "add", "id": "a", "kind": "rust_holed", "points": [[0, 0]]},
        {"op": "insert", "id": "a", "index": 1, "at": [10, 0]},
        {"op": "insert", "id": "a", "index": 2, "at": [0, 10]},
    )
    assert not drawing["a"].done
    assert drawing.edited({"op": "finish", "id": "a"})["a"].done


def test_edits_leave_the_old_drawing_alone():
    before = drawn(ring(), ring("b"))
    after = before.edited({"op": "move_point", "id": "a", "index": 2, "to": [1, 12]})
    assert before["a"].points[2] == (0, 10)
    assert after["a"].points[2] == (1, 12)
    assert after["b"] is before["b"]


def test_moving_there_and_back_is_exact():
    before = drawn(ring(points=[[0.1, 0.2], [10.3, 0.7], [3.3, 9.9]]))
    there = before.edited({"op": "move", "id": "a", "by": [0.1, 1e3 / 3]})
    assert there.edited({"op": "move", "id": "a", "by": [-0.1, -1e3 / 3]}) == before


@pytest.mark.parametrize("case", CASES, ids=[case["title"] for case in CASES])
def test_each_edit_gives_what_the_list_says(case):
    before = Drawing(tuple(from_draft(shape) for shape in case["before"]))
    kept = Drawing(before.shapes)
    if "refused" in case:
        with pytest.raises(EditRefused) as refused:
            before.edited(case["edit"])
        assert case["refused"] in str(refused.value)
    else:
        after = before.edited(case["edit"])
        assert [to_plain(shape) for shape in after.shapes] == case["after"]
    assert before == kept


def test_the_list_holds_every_edit_done_and_refused():
    """The page's own tests run the same list."""
    for word in ("after", "refused"):
        assert {case["edit"].get("op") for case in CASES if word in case} >= set(EDITS)


@pytest.mark.parametrize(
    ("edit", "word"),
    [
        ({"op": "delete"}, "takes other words"),
        ({"op": "move_point", "id": "a", "index": 0, "to": [float("nan"), 0]}, "number"),
        ({"op": "move", "id": "a", "by": [float("inf"), 0]}, "number"),
    ],
)
def test_what_json_cannot_say_is_refused_too(edit, word):
    drawing = drawn(ring())
    with pytest.raises(EditRefused, match=word):
        drawing.edited(edit)
    assert drawing == drawn(ring())


def test_there_is_a_most_of_shapes():
    drawing = drawn(*(ring(str(n)) for n in range(MOST_SHAPES)))
    with pytest.raises(EditRefused, match="at most 500"):
        drawing.edited(ring("more"))


def test_history_walks_back_and_forth():
    history = History()
    first = history.record(drawn(ring()))
    second = history.record(drawn(ring(), ring("b")))
    assert history.record(second) is second
    assert (history.undo(), history.undo(), history.undo()) == (first, Drawing(), Drawing())
    assert not history.can_undo
    assert (history.redo(), history.redo(), history.redo()) == (first, second, second)
    history.undo()
    third = history.record(drawn(ring("c")))
    assert not history.can_redo
    assert history.present is third


def test_every_kind_has_a_label_and_every_edit_a_word():
    assert len({kind.label for kind in KINDS.values()}) == len(KINDS) == 11
    assert set(EDITS) >= {"add", "insert", "move_point", "delete_point", "finish", "move", "delete"}
