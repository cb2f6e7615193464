"""Traces of known sections, with the jitter of a contour gauge, fitted back."""

import math

import numpy as np
import pytest

from sheetkit import OutOfRange
from sheetkit.geometry.measured import section
from sheetkit.geometry.trace_fit import fitted


def traced(legs, turns, radii, every=1.0, jitter=0.0, seed=3):
    """Points along the face of a section (sheet of no matter: the face is what is drawn)."""
    headings = np.radians(np.concatenate([[0], np.cumsum(turns)]))
    steps = np.array(legs)[:, None] * np.column_stack([np.cos(headings), np.sin(headings)])
    corners = np.vstack([[0, 0], np.cumsum(steps, axis=0)])
    t = 0.8
    inside = [r if turn > 0 else r - t for r, turn in zip(radii, turns, strict=True)]
    made = section(corners, inside, t, measured="face")
    s = np.concatenate([np.arange(0, made.end_mm, every / 4), [made.end_mm]])
    face = made.in_section(s, "face") - [0, t / 2]
    run = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(face, axis=0).T))])
    at = np.append(np.arange(0, run[-1] - every / 2, every), run[-1])
    points = np.column_stack([np.interp(at, run, face[:, 0]), np.interp(at, run, face[:, 1])])
    return points + np.random.default_rng(seed).normal(0, jitter, points.shape), corners


CASES = {
    "L": ([60, 45], [90], [4]),
    "Z": ([50, 40, 45], [80, -80], [5, 6]),
    "sill": ([60, 55, 70, 40], [60, 75, -50], [12, 6, 5]),
    "rolled": ([110, 115], [90], [70]),
}


@pytest.mark.parametrize("jitter", [0.0, 0.1])
@pytest.mark.parametrize("case", CASES)
def test_flats_and_bends_come_back(case, jitter):
    legs, turns, radii = CASES[case]
    trace, corners = traced(legs, turns, radii, jitter=jitter)
    found = fitted(trace, 0.3 if jitter else 0.1)
    assert len(found.corners) == len(corners)
    assert np.array(found.corners) == pytest.approx(corners, abs=0.05 + 4 * jitter)
    assert found.radii_mm == pytest.approx(radii, abs=0.1 + 12 * jitter)
    assert found.off_mm < 0.03 + 5 * jitter


def test_developed_length_from_a_jittered_trace():
    """Twenty traces of a Z: its sheet's length to 0.5 mm and without a lean to one side."""
    legs, turns, radii = CASES["Z"]
    off = []
    for seed in range(20):
        trace, corners = traced(legs, turns, radii, jitter=0.1, seed=seed)
        found, t = fitted(trace), 0.8
        true = section(corners, [5, 6 - t], t, measured="face").unrolled_length_mm
        inside = [found.radii_mm[0], found.radii_mm[1] - t]
        made = section(found.corners, inside, t, measured="face").unrolled_length_mm
        off.append(made - true)
    assert max(map(abs, off)) < 0.8 and abs(np.mean(off)) < 0.3


def test_half_a_tube_is_two_bends():
    at = np.linspace(-np.pi / 2, np.pi / 2, 100)
    arc = np.column_stack([30 * np.cos(at), 30 + 30 * np.sin(at)])
    trace = np.vstack([[[x, 0] for x in range(-40, 0)], arc, [[-x, 60] for x in range(1, 40)]])
    found = fitted(trace, 0.1)
    turns = np.diff(np.unwrap([math.atan2(*d[::-1]) for d in np.diff(found.corners, axis=0)]))
    assert np.degrees(turns).sum() == pytest.approx(180, abs=1.5)
    assert found.radii_mm == pytest.approx([30, 30], rel=0.05)


JAGGED = np.column_stack(
    [np.arange(5000) * 0.05, np.random.default_rng(5).random(5000) * 9]
).tolist()
"""A trace that only jitters, by 9 mm: fitting all its flats and rounds would take minutes."""


@pytest.mark.parametrize(
    ("trace", "within", "word"),
    [
        ([(0, 0), (1, 0), (2, 0)], 0.3, "at least 8"),
        ([(x, 0.0) for x in range(50)], 0.3, "no bend"),
        ([(x, 0.0) for x in range(50)], 9, "0.02 to 3"),
        (JAGGED, 0.3, "at most 16"),
    ],
)
def test_what_is_no_section(trace, within, word):
    with pytest.raises(OutOfRange, match=word):
        fitted(trace, within)
