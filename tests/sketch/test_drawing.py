"""Edits give new drawings, refuse nonsense in words, and undo is exact."""

from __future__ import annotations

import pytest

from sheetkit.sketch.drawing import EDITS, Drawing, History
from sheetkit.sketch.shape_kinds import KINDS, MOST_SHAPES, EditRefused

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


@pytest.mark.parametrize(
    ("edit", "word"),
    [
        ({"op": "melt"}, "must be one of"),
        ({}, "must be one of"),
        ({"op": "delete"}, "takes other words"),
        ({"op": "delete", "id": "z"}, "not on the drawing"),
        ({"op": "delete", "id": ["a"]}, "not on the drawing"),
        ({"op": "move_point", "id": "a", "index": 3, "to": [0, 0]}, "0 to 2"),
        ({"op": "move_point", "id": "a", "index": True, "to": [0, 0]}, "0 to 2"),
        ({"op": "move_point", "id": "a", "index": 0, "to": [float("nan"), 0]}, "number"),
        ({"op": "move_point", "id": "a", "index": 0, "to": [3e4, 0]}, "20000"),
        ({"op": "move", "id": "a", "by": "far"}, "one point"),
        ({"op": "insert", "id": "m", "index": 1, "at": [0, 0]}, "at most 1"),
        ({"op": "set_kind", "id": "a", "kind": "fold"}, "is a ring"),
        ({"op": "set_kind", "id": "a", "kind": "dent"}, "must be one of"),
        ({"op": "describe", "id": "a", "value": 3}, "carries no number"),
        ({"op": "describe", "id": "a", "name": "sill"}, "has no name"),
        ({"op": "describe", "id": "m", "value": 0.5}, "1 to 2000 mm"),
        ({"op": "describe", "id": "m", "value": float("inf")}, "1 to 2000 mm"),
        ({"op": "describe", "id": "m", "name": "x" * 201}, "200 letters"),
        (ring("a"), "new short text"),
        (ring("b", points=[]), "1 to"),
        (ring("b", points=[[0, 0], [1, 1]]), "at least 3"),
        (ring("b", kind="mounting"), "must be one"),
    ],
)
def test_refusals_name_the_limit_and_change_nothing(edit, word):
    mount = {"op": "add", "id": "m", "kind": "mounting", "points": [[5, 5]]}
    drawing = drawn(ring(), mount)
    with pytest.raises(EditRefused) as refused:
        drawing.edited(edit)
    assert word in str(refused.value)
    assert drawing == drawn(ring(), mount)


def test_there_is_a_most_of_shapes():
    drawing = drawn(*(ring(str(n)) for n in range(MOST_SHAPES)))
    with pytest.raises(EditRefused, match="at most 500"):
        drawing.edited(ring("more"))


def test_last_point_stays_until_the_shape_is_deleted():
    drawing = drawn({"op": "add", "id": "a", "kind": "fold", "points": [[0, 0]]})
    with pytest.raises(EditRefused, match="delete the whole shape"):
        drawing.edited({"op": "delete_point", "id": "a", "index": 0})
    assert drawing.edited({"op": "delete", "id": "a"}) == Drawing()


def test_kind_changes_keep_the_value_only_if_it_means_the_same():
    line = {"op": "add", "id": "p", "kind": "protect_line", "points": [[0, 0], [1, 1]]}
    drawing = drawn(line, {"op": "describe", "id": "p", "value": 60, "name": "loom"})
    assert drawing.edited({"op": "set_kind", "id": "p", "kind": "fold"})["p"].value is None
    same = drawing.edited({"op": "set_kind", "id": "p", "kind": "protect_line"})
    assert same["p"].value == 60


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
    assert len({kind.label for kind in KINDS.values()}) == len(KINDS) == 8
    assert set(EDITS) >= {"add", "insert", "move_point", "delete_point", "finish", "move", "delete"}
