"""A listing shows rounded numbers with their units, hands on unrounded ones, and escapes texts."""

import math

import pytest

from sheetkit.base.showing import Column, Listing, Number, Range, Shown, sensible_digits


@pytest.fixture
def listing():
    return Listing(
        ["what", Column("seam", "m", 2), Column("hours", "h", 1), Column("price", "USD", None)],
        [
            ("<b>floor</b>", 1.0608, Range(5.64, 7.18, 11.66), 453.34),
            ("sill", None, Range(2.0, 2.0, 2.0), Number(0.5, "half")),
        ],
    )


def test_units_stand_in_the_heads(listing):
    assert listing.heads == ("what", "seam, m", "hours, h", "price, USD")


def test_texts_are_rounded(listing):
    assert listing.texts() == [
        ["<b>floor</b>", "1.06", "7.2 (5.6 to 11.7)", "453"],
        ["sill", "–", "2.0", "half"],
    ]


def test_a_frame_is_not_rounded_and_a_range_takes_three_columns(listing):
    frame = listing.table()
    assert list(frame) == [
        "what", "seam, m", "hours, h", "hours low, h", "hours high, h", "price, USD",
    ]  # fmt: skip
    assert frame.loc[0, "seam, m"] == 1.0608
    assert tuple(frame.loc[0, ["hours low, h", "hours, h", "hours high, h"]]) == (5.64, 7.18, 11.66)
    assert math.isnan(frame.loc[1, "seam, m"])
    assert frame.loc[1, "price, USD"] == 0.5


def test_html_is_escaped(listing):
    html = listing._repr_html_()
    assert "&lt;b&gt;floor" in html
    assert "<b>" not in html


def test_a_row_too_long_is_refused():
    with pytest.raises(TypeError, match="2 cells under 1 heads"):
        Listing(["what"], [("a", "b")])


@pytest.mark.parametrize(
    ("value", "digits"),
    [(1061, 0), (453.34, 0), (10.2, 1), (7.18, 2), (0.0914, 4), (0, 0), (-7.18, 2), (1000, 0),
     (math.nan, 0), (math.inf, 0)],
)  # fmt: skip
def test_three_significant_figures(value, digits):
    assert sensible_digits(value) == digits


def test_a_range_as_text():
    hours = Range(5.64, 7.18, 11.66, "h")
    assert repr(hours) == "7.18 h (5.64 to 11.66)"
    assert f"{hours:.1f}" == "7.2 h (5.6 to 11.7)"
    assert f"{Range(2, 2, 2, 'h'):.0f}" == "2 h"


def test_no_minus_before_nothing():
    assert Listing([Column("x", "", 1)], [(-0.01,)]).texts() == [["0.0"]]


def test_what_has_no_view_says_so():
    class Unseen(Shown):
        pass

    with pytest.raises(LookupError, match="Unseen has no view"):
        Unseen().plot()
