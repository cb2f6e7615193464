"""The shopping list: packs, what is left over, what is at hand."""

from math import ceil
from pathlib import Path

import pytest

import sheetkit as sk
from sheetkit.workshop import shopping

DATA = Path(__file__).parents[2] / "data"


@pytest.fixture(scope="module")
def result():
    return sk.estimate(sk.load(DATA / "trunk_floor.json"))


def named(items):
    return {item.name: item for item in items}


def test_the_whole_repair_is_on_it(result):
    found = named(shopping.shopping_list(result))
    for name in (
        "welding wire", "shielding gas", "stripping discs", "cutting discs", "flap discs", "epoxy primer",
        "seam sealer", "cavity wax", "respirator filters, pairs", "nitrile gloves, pairs",
    ):  # fmt: skip
        assert name in found, name
    assert "weld-through primer" not in found  # a butt seam has no lap to prime
    lap = sk.estimate(result.job.changed(patch__joint="lap"))
    assert "weld-through primer" in named(shopping.shopping_list(lap))


def test_packs_cover_the_need_and_no_more(result):
    for item in shopping.shopping_list(result):
        have = item.at_hand + item.packs * item.pack
        assert have >= item.need - 1e-9
        assert item.packs == 0 or have - item.pack < item.need
        assert item.packs <= item.packs_at_most
        assert item.left_over == pytest.approx(have - item.need)
        assert item.cost == pytest.approx(item.packs * item.price_each)
        assert item.low <= item.need <= item.high


def test_wire_by_hand(result):
    wire = named(shopping.shopping_list(result))["welding wire"]
    assert wire.need == pytest.approx(result.range("wire_bought_g").likely)
    assert (wire.packs, wire.pack) == (1, 700)
    assert wire.left_over == pytest.approx(700 - wire.need)


def test_what_is_at_hand_is_not_bought_again(result):
    plenty = named(shopping.shopping_list(result, at_hand={"wire_spool": 500, "seam_sealer": 300}))
    assert plenty["welding wire"].packs == 0 and plenty["seam sealer"].packs == 0
    assert plenty["shielding gas"].packs == 0  # the job's own cylinder holds enough
    empty = result.job.changed(shop__cylinder={"water_volume": "10 l", "pressure": "2 bar"})
    assert named(shopping.shopping_list(sk.estimate(empty)))["shielding gas"].packs == 1


def test_own_prices_win(result):
    mine = sk.estimate(result.job.changed(shop__prices={"seam_sealer": 9.5}))
    assert named(shopping.shopping_list(mine))["seam sealer"].price_each == 9.5


def test_processes_take_what_they_take(result):
    tig = named(
        shopping.shopping_list(sk.estimate(result.job.changed(weld__process="141", weld__gas=None)))
    )
    assert "filler rod" in tig and "contact tips" not in tig and "welding wire" not in tig
    gasless = named(
        shopping.shopping_list(sk.estimate(result.job.changed(weld__process="114", weld__gas=None)))
    )
    assert "shielding gas" not in gasless


def test_sheet_is_bought_by_the_piece(result):
    placement = shopping.stock_for([result], sheet_mm=(1000, 500))
    item = list(shopping.shopping_list(result, placement=placement))[-1]
    assert item.name.startswith("sheet 1000 mm × 500 mm") and item.packs == 1
    kilograms = 1.0 * 0.5 * result.job.sheet.thickness * 7.85
    assert item.price_each == pytest.approx(3 * kilograms)


def test_the_smallest_stock_that_holds_all_is_taken(result):
    assert shopping.stock_for([result]).sheets == ((500, 500),)
    many = shopping.stock_for([result] * 6)
    assert not many.unplaced and len(many.placed) == 6 * len(result.patches)
    own = sk.estimate(result.job.changed(shop__sheet_stock=[["700 mm", "420 mm"]]))
    assert shopping.stock_for([own]).sheets[0] == (700, 420)


def test_filters_go_by_the_hour(result):
    """Half a pair an hour by the table; how many an hour is uncertain, and so is the middle."""
    item = named(shopping.shopping_list(result))["nitrile gloves, pairs"]
    assert result.values["glove_pairs"] == pytest.approx(0.5 * result.values["hours_h"])
    assert item.need == result.range("glove_pairs").likely
    assert item.packs == ceil(item.need / 50)


def test_one_list_names_all_a_repair_takes(result):
    """The blanks, the coupons and what is not reckoned stand on it too, with a word why."""
    lap = shopping.shopping_list(sk.estimate(result.job.changed(patch__joint="lap")))
    told = [row[0] for row in lap.listing().texts()]
    for name in ("weld-through primer", "stripping discs", "contact tips", "cavity wax",
                 "blank for patch 1", "blank for patch 2", "two coupons", "top coat"):  # fmt: skip
        assert name in told, name
    assert any(name.startswith("sheet ") for name in told)
    assert len(told) == len(set(told)) == len(lap) + len(lap.besides)


def test_the_list_shows_itself(result):
    found = shopping.shopping_list(result)
    assert len(repr(found)) < 600
    assert found.cost == pytest.approx(sum(item.cost for item in found))
    frame = found.table().set_index("what")
    assert frame.loc["welding wire", "needed"] == pytest.approx(
        result.range("wire_bought_g").likely
    )
    assert frame.loc["welding wire", "unit"] == "g"
    assert "explain(" not in frame.to_string()


def test_inches_show_ounces_pounds_and_cubic_feet(result):
    inch = shopping.shopping_list(result, display="in")
    frame = inch.table(display="in").set_index("what")
    grams = result.range("wire_bought_g").likely
    assert frame.loc["welding wire", "needed"] == pytest.approx(grams / 28.349523125)
    assert frame.loc["welding wire", "in a pack"] == pytest.approx(700 / 453.59237)
    assert frame.loc["welding wire", "unit"] == "oz, packs lb"
    assert frame.loc["shielding gas", "unit"] == "ft³"
    assert " mm" not in frame.to_string()


def test_unknown_names_are_answered_with_the_nearest(result):
    with pytest.raises(LookupError, match="seam_sealer"):
        shopping.shopping_list(result, at_hand={"seam_sealr": 3})
    with pytest.raises(LookupError, match="welding wire"):
        shopping.shopping_list(result)["weldin wire"]
