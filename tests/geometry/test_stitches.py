"""Where tacks, stitches, dots and plugs lie along a seam, against hand counts."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString

from sheetkit import OutOfRange
from sheetkit.geometry import stitches, welds
from sheetkit.geometry import tacks as tacks_


def line(length):
    return LineString([(0, 0), (length, 0)])


def square(side):
    return LineString([(0, 0), (side, 0), (side, side), (0, side), (0, 0)])


def test_tacks_of_a_closed_seam_of_one_metre():
    """40 spaces of 25 mm: 6 first, 6 or 7 spaces apart, then halved: 6, 12 and the 16 left."""
    tacks = tacks_.tacks(square(250), first=175, last=25)
    assert [sum(t.round == r for t in tacks) for r in range(4)] == [6, 6, 12, 16]
    middles = sorted(t.middle for t in tacks)
    assert np.diff(middles) == pytest.approx(25)


@pytest.mark.parametrize("length", [300, 301, 999, 1000, 1751])
@pytest.mark.parametrize("ring", [True, False])
def test_each_round_halves_the_distance(length, ring):
    """As nearly as it goes: a gap of an odd number of spaces is one space wider on one side."""
    run = square(length / 4) if ring else line(length)
    tacks = tacks_.tacks(run)
    whole = run.length if ring else run.length - tacks_.TACK_LENGTH_MM
    step = whole / (len(tacks) - (not ring))
    done, last = [], None
    for number in range(max(t.round for t in tacks) + 1):
        done = sorted(done + [t.middle for t in tacks if t.round == number])
        apart = np.diff([*done, done[0] + run.length] if ring else done)
        assert apart.max() - apart.min() <= step + 1e-6
        assert last is None or apart.max() <= last / 2 + step / 2 + 1e-6
        assert number > 0 or apart.max() <= 175 + step
        last = apart.max()
    assert 20 <= step <= 25 and last == pytest.approx(step)


@pytest.mark.parametrize("ring", [True, False])
def test_a_millimetre_more_of_seam_takes_at_most_one_tack_more(ring):
    counts = [
        len(tacks_.tacks(square(length / 4) if ring else line(length)))
        for length in range(250, 1250)
    ]
    assert set(np.diff(counts)) == {0, 1}


def test_small_closed_patch_gets_three_first_tacks():
    assert sum(t.round == 0 for t in tacks_.tacks(square(30))) == 3


def test_open_seam_is_tacked_at_both_ends():
    tacks = tacks_.tacks(line(300))
    assert min(t.start for t in tacks) == pytest.approx(0)
    assert max(t.end for t in tacks) == pytest.approx(300)


@settings(deadline=None)
@given(st.floats(1, 20_000), st.floats(5, 500), st.floats(3, 500), st.booleans())
def test_tacks_never_overlap_and_stitches_tile_the_seam(length, last, stitch, ring):
    run = square(length / 4) if ring else line(length)
    tacks = sorted(tacks_.tacks(run, last=last), key=lambda t: t.start)
    for one, following in pairwise(tacks):
        assert one.end <= following.start + 1e-6
    if stitch * 20_000 < run.length:
        return
    tiles = stitches.stitches(run, length=stitch)
    assert tiles[0].start == pytest.approx(0, abs=1e-9)
    assert tiles[-1].end == pytest.approx(run.length)
    for one, following in pairwise(tiles):
        assert one.end == pytest.approx(following.start)
    assert max(t.length for t in tiles) <= stitch + 1e-6
    assert welds.is_continuous(tiles, [run])


def test_stitches_with_gaps():
    """1000 mm, 25 on and 50 off: 14 of 25 mm; the seam is not continuous."""
    tiles = stitches.stitches(line(1000), length=25, spacing=50)
    assert len(tiles) == math.ceil(1000 / 75)
    assert [t.length for t in tiles] == pytest.approx([25] * 14)
    assert not welds.is_continuous(tiles, [line(1000)])


def test_dots():
    """1000 mm, 5 mm dots that overlap by 0.4: one each 3 mm, 334; in 40 groups of 25 mm."""
    groups = stitches.dot_groups(line(1000))
    assert sum(g.dots for g in groups) == math.ceil(1000 / 3) == 334
    assert len(groups) == 40
    assert {g.dots for g in groups} <= {8, 9}
    assert welds.is_continuous(groups, [line(1000)])


def test_plugs_of_a_closed_seam():
    """1000 mm at most 38 apart: 27 holes 37.04 mm apart."""
    plugs = stitches.plugs(square(250))
    assert len(plugs) == 27
    assert np.diff([p.middle for p in plugs]) == pytest.approx(1000 / 27)
    assert not welds.is_continuous(plugs, [square(250)])


def test_plugs_of_an_open_seam_keep_off_its_ends():
    """1.5 holes from each end (AWS D1.3, value from memory)."""
    plugs = stitches.plugs(line(300), hole=6.4, pitch=38)
    assert plugs[0].middle == pytest.approx(9.6)
    assert plugs[-1].middle == pytest.approx(290.4)
    assert len(plugs) == math.ceil(280.8 / 38) + 1


def test_paths_follow_the_seam_and_go_over_its_first_point():
    run = square(100)
    tacks = tacks_.tacks(run)
    for weld, path in zip(tacks, welds.paths(tacks, [run]), strict=True):
        assert np.hypot(*np.diff(path, axis=0).T).sum() == pytest.approx(weld.length)
        middle = run.interpolate(weld.middle % run.length)
        assert np.hypot(*(path - [middle.x, middle.y]).T).max() <= weld.length
    (plug, *_) = welds.paths(stitches.plugs(run), [run])
    assert plug.tolist() == [[0, 0], [0, 0]]


@pytest.mark.parametrize(
    ("call", "field"),
    [
        (lambda: stitches.stitches(line(100), length=2), "weld.stitch"),
        (lambda: stitches.stitches(line(100), spacing=-1), "weld.spacing"),
        (lambda: stitches.stitches(line(1e6), length=3), "weld.stitch"),
        (lambda: tacks_.tacks(line(100), last=4), "weld.tack"),
        (lambda: tacks_.tacks(line(1e6), last=5), "weld.tack"),
        (lambda: tacks_.tacks(line(100), first=math.nan), "first round"),
        (lambda: stitches.dot_groups(line(100), overlap=0.95), "dot overlap"),
        (lambda: stitches.dot_groups(line(100), diameter=1), "dot diameter"),
        (lambda: stitches.plugs(line(100), hole=2), "plug hole"),
        (lambda: stitches.plugs(line(100), hole=8, pitch=7), "plug pitch"),
    ],
)
def test_limits(call, field):
    with pytest.raises(OutOfRange, match=field):
        call()
