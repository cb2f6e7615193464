"""The coupon against the heat balance of a free sheet, and against made-up thermometers."""

import numpy as np
import pytest

from sheetkit.base.errors import OutOfRange
from sheetkit.heat.grid import GridChoice
from sheetkit.heat.sheet_model import SheetModel
from sheetkit.sequence.cooling_curve import READ_AFTER_S, Use, curve
from sheetkit.sequence.shop_heat import BOOK
from sheetkit.views import shop_charts
from sheetkit.workshop.heat_coupon import PROTOCOL, SHEET_MM, heat_coupon
from sheetkit.workshop.heat_log import read_heat_log


@pytest.fixture(scope="module")
def coupon(small_estimate):
    return heat_coupon(small_estimate, bead_mm=100, arc_s=15, air_c=18)


def thermometer(coupon, after_s, **shop):
    model = SheetModel(coupon.plan.model.piece, GridChoice(cell_mm=2)).varied(**shop)
    state = model.play([0], [0.0]).state
    end, found = state.clock, []
    for after in after_s:
        model.cool(state, end + after - state.clock)
        found.append((after, float(model.read(state)[0])))
    return found


def test_late_on_the_sheet_is_one_lump_that_cools(coupon, small_estimate):
    """After a quarter of an hour the whole sheet is about as warm: Q / (rho c V) exp(-b t)."""
    values = small_estimate.values
    heat = values["voltage_v"] * values["current_a"] * values["thermal_efficiency"] * 15
    piece = coupon.plan.model.piece
    capacity = piece.steel.heat_capacity_j_mm3k * np.prod(SHEET_MM) * piece.thickness_mm
    after = 900.0
    rate = piece.losses.faces * 1e-6 * np.prod(SHEET_MM) / capacity
    lump = heat / capacity * np.exp(-rate * (after + 7.5))
    likely = curve(coupon.plan, BOOK, np.array([after]))[1, 0] - 18
    assert lump < likely < 1.6 * lump  # its middle is still the warmest


def test_a_made_up_shop_is_found_again(coupon):
    read = thermometer(coupon, (60.0, 90.0, 180.0, 300.0, 420.0), energy=0.85, film=1.3)
    found = coupon.read(*read).learned.heat
    assert found.heat_range.low <= 0.85 <= found.heat_range.high
    assert found.loss_range.low <= 1.3 <= found.loss_range.high
    assert found.loss_sd < 0.5 * BOOK.loss_sd


def test_nine_in_ten_of_the_books_shops_cool_within_its_band(coupon):
    chance = np.random.default_rng(5)
    low, likely, high = curve(coupon.plan, BOOK, np.array(READ_AFTER_S))
    assert (low < likely).all() and (likely < high).all()
    inside = []
    for _ in range(60):
        heat, loss = np.exp(chance.normal(0, (BOOK.heat_sd, BOOK.loss_sd)))
        read = np.array([c for _, c in thermometer(coupon, READ_AFTER_S, energy=heat, film=loss)])
        inside.append((low <= read) & (read <= high))
    assert 0.8 < np.mean(inside) < 0.97


def test_it_is_listed_drawn_and_kept(coupon, tmp_path):
    read = coupon.read(*thermometer(coupon, READ_AFTER_S, energy=1.2), (240.0, 700.0), strip_mm=30)
    assert "4 readings" in repr(read) and "0 readings" in repr(coupon)
    rows = read.listing()
    assert rows.rows[-1][-1] == Use.SLIP.value and rows.rows[0][0] == 1.0
    assert "°F" in str(read.listing(display="in").heads)
    assert read.ratios().rows[0][1] == BOOK.heat_range
    for each in (coupon, read):
        ax = shop_charts.cooling(each.plan, each.readings, each.learned)
        assert (
            any("book" in text.get_text() for text in ax.get_legend().get_texts())
            and ax.get_xlabel()
        )
        assert "<table" in each._repr_html_() and "<img" in each._repr_html_()
    read.keep(tmp_path)
    (entry,) = read_heat_log(tmp_path).entries
    assert entry.job == "coupon" and "strip 30.0 mm" in entry.read


def test_the_protocol_says_where_when_and_how():
    words = " ".join(PROTOCOL)
    for word in (
        "on the back",
        "1, 3 and 7 minutes",
        "still air",
        "burns",
        "respirator",
        "gloves",
        "arc",
        "log",
    ):
        assert word in words


@pytest.mark.parametrize(
    ("change", "word"),
    [({"bead_mm": 500}, "bead_mm"), ({"arc_s": 0}, "arc_s"), ({"air_c": float("nan")}, "air_c")],
)
def test_what_is_no_coupon_is_refused(small_estimate, change, word):
    with pytest.raises(OutOfRange, match=word):
        heat_coupon(small_estimate, **({"bead_mm": 100, "arc_s": 15} | change))
