"""Blanks on stock sheet: no overlap, kerf, margin, and how near the area bound."""

import numpy as np
import pytest
import shapely
import shapely.affinity
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, Polygon, box

from sheetkit.base.errors import OutOfRange
from sheetkit.geometry import stock_sheet


def mixed(seed: int) -> list[Polygon]:
    """Ten patches as repairs give them: rounded boxes, rounds, L shapes, slivers, turned anyhow."""
    random = np.random.default_rng(seed)
    shapes = []
    for i in range(10):
        w, h = random.uniform(80, 320), random.uniform(60, 200)
        kind = (
            box(0, 0, w, h).buffer(-20).buffer(20),
            shapely.affinity.scale(Point(0, 0).buffer(1), w / 2, h / 2),
            box(0, 0, w, h).difference(box(w * 0.6, h * 0.5, w, h)),
            box(0, 0, w, 45),
        )[i % 4]
        shapes.append(shapely.affinity.rotate(kind, random.uniform(0, 180)))
    return shapes


def check(found: stock_sheet.Placement, blanks) -> None:
    """No overlap, kerf and margin kept, every blank there once and unchanged."""
    assert sorted(p.blank for p in found.placed) == list(range(len(blanks)))
    for p in found.placed:
        width, height = found.sheets[p.sheet]
        left, bottom, right, top = p.shape.bounds
        m = found.margin_mm - 1e-6
        assert left >= m and bottom >= m and right <= width - m and top <= height - m
        assert p.shape.area == pytest.approx(blanks[p.blank].area, rel=1e-9)
        assert p.shape.length == pytest.approx(blanks[p.blank].length, rel=1e-9)
    for i, p in enumerate(found.placed):
        for q in found.placed[:i]:
            if p.sheet == q.sheet:
                assert box(*p.rectangle).distance(box(*q.rectangle)) >= found.kerf_mm - 1e-6
                assert p.shape.distance(q.shape) >= found.kerf_mm - 1e-6
                assert p.shape.intersection(q.shape).area < 1e-9


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize("sheet", [(1000, 500), (2000, 1000)])
def test_ten_mixed_patches_come_within_a_tenth_of_the_area_bound(seed, sheet):
    """The bound: each blank's own smallest rectangle with the kerf it needs, found without `stock`."""
    blanks = mixed(seed)
    found = stock_sheet.place(blanks, sheet_mm=sheet, kerf_mm=2, margin_mm=5)
    check(found, blanks)
    assert len(found.sheets) == 1
    rectangles = [s.minimum_rotated_rectangle for s in blanks]
    # a side and the next one make half the outline: (w + k)(h + k) = w h + k (w + h) + k²
    bound = sum(r.area + 2 * r.length / 2 + 2 * 2 for r in rectangles)
    assert found.bound_mm2 == pytest.approx(bound, rel=1e-6)
    (width, height) = found.used_mm[0]
    packed = (width - 5 + 2) * (height - 5 + 2)
    plain = found.used_mm2 / sum(r.area for r in rectangles)
    print(f"packed / bound: {packed / bound:.3f}; with margins / bare rectangles: {plain:.3f}")
    assert bound <= packed <= 1.10 * bound
    assert plain <= 1.17


@settings(max_examples=25, deadline=None)
@given(
    st.lists(
        st.tuples(st.floats(5, 290), st.floats(5, 190), st.floats(0, 360)), min_size=1, max_size=14
    ),
    st.floats(0, 10),
    st.floats(0, 20),
)
def test_any_set_is_placed_without_overlap(sizes, kerf, margin):
    blanks = [shapely.affinity.rotate(box(0, 0, w, h), turn) for w, h, turn in sizes]
    check(
        stock_sheet.place(blanks, sheet_mm=(500, 400), kerf_mm=kerf, margin_mm=margin, tries=20),
        blanks,
    )


def test_a_second_sheet_is_taken_when_one_is_full():
    blanks = [box(0, 0, 300, 200)] * 5
    found = stock_sheet.place(blanks, sheet_mm=(500, 500))
    check(found, blanks)
    assert len(found.sheets) == 3  # two to a sheet


def test_too_large_a_blank_is_named_and_the_rest_placed():
    found = stock_sheet.place([box(0, 0, 900, 300), box(0, 0, 100, 100)], sheet_mm=(500, 500))
    assert [p.blank for p in found.placed] == [1]
    assert "900 × 300 mm" in str(found.unplaced[0])


def test_left_over_and_used_make_up_the_sheet():
    found = stock_sheet.place([box(0, 0, 200, 100)], sheet_mm=(1000, 500), kerf_mm=2, margin_mm=5)
    assert found.used_mm == ((105.0, 205.0),) or found.used_mm == ((205.0, 105.0),)
    width, height = found.left_over_mm[0]
    assert width * height == pytest.approx(max((1000 - 105 - 2) * 500, (500 - 105 - 2) * 1000, (1000 - 205 - 2) * 500, (500 - 205 - 2) * 1000), rel=0.12)  # fmt: skip


def test_the_same_blanks_lie_the_same_way():
    first, again = (stock_sheet.place(mixed(1), tries=100) for _ in range(2))
    assert [p.rectangle for p in first.placed] == [p.rectangle for p in again.placed]


def test_limits_are_named():
    for bad in ({"kerf_mm": -1}, {"margin_mm": float("nan")}, {"sheet_mm": (5, 500)}):
        with pytest.raises(OutOfRange):
            stock_sheet.place([box(0, 0, 10, 10)], **bad)
