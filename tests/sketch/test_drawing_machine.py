"""1,000 random edit scripts: no shape lost, no invalid job file, undo back to the start."""

from __future__ import annotations

import os
import shutil
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from sheetkit.job.job import load
from sheetkit.sketch.drawing import Drawing, History
from sheetkit.sketch.shape_kinds import KINDS, EditRefused
from sheetkit.sketch.store import Store


@pytest.fixture(autouse=True, scope="module")
def without_waiting_for_the_disk():
    """Thousands of files are written here; that they reach the platter is not the question."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(os, "fsync", lambda _handle: None)
        yield


coordinate = st.one_of(
    st.integers(-40, 400).map(lambda n: n * 5.0),
    st.floats(-25_000, 25_000, allow_nan=False),
)
at = st.tuples(coordinate, coordinate).map(list)
near = st.tuples(st.integers(-4, 4), st.integers(-4, 4)).map(lambda p: [p[0] * 5.0, p[1] * 5.0])
which = st.integers(0, 60)


class Editing(RuleBasedStateMachine):
    """A user who draws anything, and reopens the job whenever they like."""

    def __init__(self):
        super().__init__()
        self.folder = Path(tempfile.mkdtemp())
        self.store = Store(self.folder / "job.json")
        self.made = 0

    def teardown(self):
        shutil.rmtree(self.folder)

    @initialize(drawn_in=st.sampled_from(["mm", "in"]))
    def begin(self, drawn_in):
        self.store.data["drawn_in"] = drawn_in
        self.start = self.store.load()
        self.history = History(self.start)
        self.steps = 0

    @property
    def shapes(self):
        return self.history.present.shapes

    def chosen(self, number):
        return self.shapes[number % len(self.shapes)]

    def do(self, **edit):
        before = self.history.present
        try:
            after = before.edited(edit)
        except EditRefused as refused:
            assert str(refused)
            return
        gone = {s.id for s in before.shapes} - {s.id for s in after.shapes}
        assert gone == ({edit["id"]} if edit["op"] == "delete" else set())
        self.steps += self.history.record(after) is not before
        self.store.save(after)

    @rule(
        kind=st.sampled_from(sorted(KINDS)),
        points=st.lists(at, min_size=1, max_size=7),
        done=st.booleans(),
    )
    def add(self, kind, points, done):
        self.made += 1
        if KINDS[kind].form == "point":
            points = points[:1]
        self.do(op="add", id=f"s{self.made}", kind=kind, points=points, done=done)

    @rule(
        corner=at,
        width=st.integers(2, 60),
        height=st.integers(2, 60),
        kind=st.sampled_from(["rust_holed", "rust_pitted", "panel_outline", "panel_hole"]),
    )
    def add_box(self, corner, width, height, kind):
        self.made += 1
        x, y = corner
        w, h = width * 5.0, height * 5.0
        ring = [[x, y], [x + w, y], [x + w, y + h], [x, y + h]]
        self.do(op="add", id=f"s{self.made}", kind=kind, points=ring, done=True)

    @precondition(lambda self: self.shapes)
    @rule(number=which, index=which, to=at)
    def move_point(self, number, index, to):
        shape = self.chosen(number)
        self.do(op="move_point", id=shape.id, index=index % len(shape.points), to=to)

    @precondition(lambda self: self.shapes)
    @rule(number=which, index=which, to=at)
    def insert(self, number, index, to):
        shape = self.chosen(number)
        self.do(op="insert", id=shape.id, index=index % (len(shape.points) + 1), at=to)

    @precondition(lambda self: self.shapes)
    @rule(number=which, index=which)
    def delete_point(self, number, index):
        shape = self.chosen(number)
        self.do(op="delete_point", id=shape.id, index=index % len(shape.points))

    @precondition(lambda self: self.shapes)
    @rule(number=which, by=near)
    def move(self, number, by):
        self.do(op="move", id=self.chosen(number).id, by=by)

    @precondition(lambda self: self.shapes)
    @rule(number=which)
    def finish(self, number):
        self.do(op="finish", id=self.chosen(number).id)

    @precondition(lambda self: self.shapes)
    @rule(number=which)
    def delete(self, number):
        self.do(op="delete", id=self.chosen(number).id)

    @precondition(lambda self: self.shapes)
    @rule(number=which, kind=st.sampled_from(sorted(KINDS)))
    def set_kind(self, number, kind):
        self.do(op="set_kind", id=self.chosen(number).id, kind=kind)

    @precondition(lambda self: self.shapes)
    @rule(
        number=which,
        name=st.text(max_size=12).filter(lambda t: t.isprintable()),
        value=st.floats(-5, 2500),
    )
    def describe(self, number, name, value):
        self.do(op="describe", id=self.chosen(number).id, name=name)
        self.do(op="describe", id=self.chosen(number).id, value=value)

    @rule(times=st.integers(1, 4), back=st.booleans())
    def undo_or_redo(self, times, back):
        for _ in range(times):
            moved = self.history.can_undo if back else self.history.can_redo
            drawing = self.history.undo() if back else self.history.redo()
            self.steps += (-1 if back else 1) * moved
            self.store.save(drawing)

    @rule()
    def reopen(self):
        """A fresh reader finds every shape; the one who draws goes on undisturbed."""
        found = Store(self.store.path).load()
        assert sorted(map(content, found.shapes)) == sorted(map(content, self.shapes))

    @invariant()
    def job_file_is_valid(self):
        if self.store.path.exists():
            load(self.store.path)

    @invariant()
    def undo_leads_to_the_start_and_redo_back(self):
        if not hasattr(self, "history"):
            return
        here = self.history.present
        for _ in range(self.steps):
            self.history.undo()
        assert self.history.present == self.start == Drawing()
        assert not self.history.can_undo
        for _ in range(self.steps):
            self.history.redo()
        assert self.history.present == here


def content(shape):
    """What a shape says; a ring that ends on its first point is the same ring without it."""
    value = KINDS[shape.kind].default if shape.value is None else shape.value
    points = shape.points
    if shape.form == "ring" and shape.done and len(points) > 3 and points[0] == points[-1]:
        points = points[:-1]
    return (shape.kind, points, shape.done, shape.name, value or 0.0)


def test_a_ring_closed_on_its_first_point_is_kept_as_that_ring(tmp_path):
    ring = [[5, 0], [0, 0], [0, 5], [5, 0]]
    drawn = Drawing().edited(
        {"op": "add", "id": "a", "kind": "rust_holed", "points": ring, "done": True}
    )
    store = Store(tmp_path / "job.json")
    store.load()
    store.save(drawn)
    assert Store(store.path).load().shapes[0].points == ((5, 0), (0, 0), (0, 5))


Editing.TestCase.settings = settings(
    max_examples=1000,
    stateful_step_count=14,
    deadline=None,
    suppress_health_check=list(HealthCheck),
)
TestEditing = Editing.TestCase
