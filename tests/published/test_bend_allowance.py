"""Bends against worked examples; copies of them were seen.

A: German table book for the metal trades, "compensation value for bent parts", after
DIN 6935.  B: metalwork schoolbook, chapter 16.8, p. 206, a rule of thumb for v.  C: a bending
calculator's walked-through example of the handbook's bend allowance.
"""

import numpy as np
import pytest

from sheetkit.geometry import fold
from sheetkit.geometry.measured import section


def test_opening_angle_of_60_degrees():
    """A: r 6, s 5, opening angle 60: v = 5.77 mm, with k = 0.7 read off a diagram (0.689 reckoned)."""
    found = -fold.bend_shortening(180 - 60, 6, 5)
    assert found == pytest.approx(5.77, abs=0.06)  # half of k's second digit moves it by 0.05


def test_blank_of_the_table_book_by_its_section():
    """A: the same bend with legs of 16 and 21 mm: L = 16 + 21 - 5.77, printed as about 32 mm."""
    end = 16 + 21 * np.cos(np.radians(120)), 21 * np.sin(np.radians(120))
    found = section([(0, 0), (16, 0), end], [6.0], 5.0)
    assert 37 - found.unrolled_length_mm == pytest.approx(5.77, abs=0.06)
    assert np.ceil(found.unrolled_length_mm) == 32


def test_rule_of_thumb_for_sheet():
    """B: v = 0.5 r + 1.5 t; profile 50 + 40 + 30, r 1, t 1: blank 116 mm.  A rule, so 0.1 mm a bend."""
    blank = 50 + 40 + 30 + 2 * fold.bend_shortening(90, 1, 1)
    assert blank == pytest.approx(116, abs=0.2)


def test_bend_allowance():
    """C: 90 degrees, r and t 0.125 in, K 0.44: 0.2827 in."""
    assert fold.bend_allowance(90, 0.125, 0.125, 0.44) == pytest.approx(0.2827, abs=5e-5)
