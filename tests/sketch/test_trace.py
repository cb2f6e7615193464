"""Strokes of a made-up shaking hand round shapes of known area."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from sheetkit.geometry.ring import Ring
from sheetkit.sketch.drawing import Drawing
from sheetkit.sketch.shape_kinds import EditRefused
from sheetkit.sketch.trace import TOLERANCE_MM, stroke


def ragged(across: float, up: float, seed: int) -> shapely.Polygon:
    """An oval of rust with waves of 15 mm and longer."""
    random = np.random.default_rng(seed)
    turn = np.linspace(0, 2 * np.pi, 400, endpoint=False)
    round_mm = 2 * np.pi * np.sqrt(across * up)
    edge = np.ones(400)
    for wave in range(2, int(round_mm / 15)):
        edge += random.normal(0, 0.12 / wave) * np.cos(wave * turn + random.uniform(0, 6))
    return shapely.Polygon(
        np.column_stack([across * edge * np.cos(turn), up * edge * np.sin(turn)])
    )


def hand(
    shape: shapely.Polygon, seed: int, *, shake: float = 1.0, every: float = 3.0, over: float = 8.0
):
    """A hand goes round a shape, 1 mm off at random with a slow wander, and past its start."""
    random = np.random.default_rng(seed)
    length = shape.exterior.length
    along = np.arange(0, length + over, every)
    at = np.array([shape.exterior.interpolate(s % length).coords[0] for s in along])
    return at + random.normal(0, shake, at.shape)


def ring_after(edit) -> shapely.Polygon:
    return Ring.drawn(edit["points"]).polygon


@pytest.mark.parametrize("seed", range(20))
def test_a_shaky_stroke_gives_the_area_to_one_percent(seed):
    size = np.random.default_rng(seed).uniform(40, 150)
    shape = ragged(size, 0.6 * size, seed)
    edit = stroke(Drawing(), id="a", kind="rust_holed", points=hand(shape, seed).tolist())
    told = ring_after(edit)
    assert told.area == pytest.approx(shape.area, rel=0.01)
    assert told.hausdorff_distance(shape) < 4 * TOLERANCE_MM
    assert 8 <= len(edit["points"]) <= shape.exterior.length / 4
    assert edit["op"] == "add"
    assert edit["done"]


def test_a_steady_stroke_is_kept_within_the_tolerance():
    shape = ragged(90, 60, 3)
    edit = stroke(Drawing(), id="a", kind="rust_holed", points=hand(shape, 0, shake=0.0).tolist())
    assert ring_after(edit).hausdorff_distance(shape) < TOLERANCE_MM


def test_a_stroke_that_crosses_itself_becomes_one_ring():
    turn = np.linspace(0, 2 * np.pi, 300)
    curl = np.column_stack(
        [60 * np.cos(turn) + 14 * np.cos(7 * turn), 40 * np.sin(turn) + 14 * np.sin(7 * turn)]
    )
    told = ring_after(stroke(Drawing(), id="a", kind="rust_holed", points=curl.tolist()))
    assert told.is_valid
    assert told.area > 0.9 * np.pi * 60 * 40


def test_a_brush_grows_a_ring_and_an_eraser_takes_from_it():
    first = stroke(Drawing(), id="a", kind="rust_pitted", points=[[0, 0], [100, 0]], width=20)
    drawing = Drawing().edited(first)
    told = ring_after(first)
    assert told.area == pytest.approx(100 * 20 + np.pi * 100, rel=0.01)
    wider = stroke(drawing, id="a", kind="rust_pitted", points=[[100, 0], [100, 50]], width=20)
    assert wider["op"] == "reshape"
    drawing = drawing.edited(wider)
    assert ring_after(wider).area == pytest.approx(150 * 20 - 100 + 125 * np.pi, rel=0.02)
    less = stroke(drawing, id="a", kind="rust_pitted", points=[[0, 0]], width=30, erase=True)
    assert ring_after(less).area < ring_after(wider).area - 300
    assert drawing.edited(less)["a"].kind == "rust_pitted"


def test_a_brush_beside_all_rings_makes_a_new_one_and_keeps_kinds_apart():
    drawing = Drawing().edited(
        stroke(Drawing(), id="a", kind="rust_pitted", points=[[0, 0], [60, 0]], width=20)
    )
    beside = stroke(drawing, id="b", kind="rust_pitted", points=[[0, 80]], width=20)
    assert (beside["op"], beside["id"]) == ("add", "b")
    other = stroke(drawing, id="b", kind="rust_holed", points=[[10, 0]], width=10)
    assert (other["op"], other["kind"]) == ("add", "rust_holed")
    both = drawing.edited(other)
    assert (
        stroke(both, id="c", kind="rust_holed", points=[[10, 0]], width=4, erase=True)["id"] == "b"
    )
    rub = {"id": "c", "kind": "rust_holed", "points": [[10, 0]], "width": 4, "erase": True}
    assert stroke(both, **rub, onto="a")["id"] == "a"


def test_a_dab_is_a_round_spot():
    told = ring_after(stroke(Drawing(), id="a", kind="rust_holed", points=[[5, 5]], width=12))
    assert told.area == pytest.approx(np.pi * 36, rel=0.02)


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"points": []}, "1 to"),
        ({"points": [[0, 0], [9, 0]]}, "enclose at least"),
        ({"points": [[0, 0], [9, "x"]]}, "1 to"),
        ({"points": [[0, 0], [9, float("nan")]]}, "no number"),
        ({"points": [[0, 0]] * 20_001}, "1 to"),
        ({"kind": "fold"}, "must be a ring"),
        ({"width": 0.5}, "2 to 200 mm"),
        ({"width": True}, "2 to 200 mm"),
        ({"width": 20, "erase": True}, "must run over a ring"),
    ],
)
def test_what_makes_no_ring_is_said(change, word):
    asked = {"id": "a", "kind": "rust_holed", "points": [[0, 0], [50, 0], [50, 50]]} | change
    with pytest.raises(EditRefused, match=word):
        stroke(Drawing(), **asked)


def test_erasing_all_is_refused():
    drawing = Drawing().edited(
        stroke(Drawing(), id="a", kind="rust_holed", points=[[0, 0]], width=10)
    )
    with pytest.raises(EditRefused, match="enclose at least"):
        stroke(drawing, id="a", kind="rust_holed", points=[[0, 0]], width=40, erase=True)
