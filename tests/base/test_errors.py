"""Faults are one line each, in the user's words; nothing from a file writes on the terminal."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sheetkit import Fault, JobRefused, OutOfRange, SheetkitError
from sheetkit.base.errors import check, shown, unquoted


def test_fault_names_field_value_limit_and_remedy():
    fault = Fault("patch.gap", "11 mm", "must be 0 to 10 mm", "close the gap")
    assert str(fault) == "patch.gap: got 11 mm; must be 0 to 10 mm; close the gap"


def test_error_holds_every_fault():
    one, two = Fault("a", "1", "x", "y"), Fault("b", "2", "x", "y")
    error = JobRefused([one, two])
    assert error.faults == (one, two)
    assert str(error).splitlines() == [str(one), str(two)]
    assert SheetkitError(one).faults == (one,)


def test_tree():
    assert issubclass(JobRefused, SheetkitError) and issubclass(OutOfRange, SheetkitError)
    assert issubclass(SheetkitError, ValueError)
    assert not issubclass(JobRefused, OutOfRange)


@pytest.mark.parametrize("value", [0, 5.5, 10])
def test_check_gives_the_value_back(value):
    assert check("x", value, 0, 10, "mm") == value


@pytest.mark.parametrize("value", [-1e-9, 10.001, math.nan, math.inf])
def test_check_refuses(value):
    with pytest.raises(OutOfRange, match=r"x: got .* mm; must be 0 to 10 mm; give a value"):
        check("x", value, 0, 10, "mm")


def test_check_refuses_an_array_that_leaves_its_limits_anywhere():
    within = np.array([1.0, 2.0])
    assert check("x", within, 0, 10) is within
    with pytest.raises(OutOfRange, match=r"x: got \[1.0, 12.0\] s; must be 0 to 10 s"):
        check("x", np.array([1.0, 12.0]), 0, 10, "s")


@given(st.one_of(st.text(), st.integers(), st.floats(), st.lists(st.text())))
def test_shown_is_one_short_printable_line(value):
    text = shown(value)
    assert text.isprintable() and len(text) <= 60


def test_shown_escapes_control_characters():
    assert shown("a\x1b[31m\nb") == '"a\\x1b[31m\\nb"'


@given(st.text())
def test_unquoted_is_one_short_printable_line(text):
    assert unquoted(text).isprintable() and len(unquoted(text)) <= 60


def test_unquoted_keeps_the_quotes_that_are_part_of_a_name():
    assert unquoted('"a"\n') == '"a"\\n'
    assert unquoted("x" * 99, longest=10) == "xxxxxxx..."


def test_shown_of_a_huge_number():
    assert len(shown(10**5000)) <= 60


def test_shown_of_lists_nested_deep():
    deep = []
    for _ in range(5000):
        deep = [deep]
    assert len(shown(deep)) <= 60
