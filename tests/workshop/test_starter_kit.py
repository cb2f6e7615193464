"""The starter kit's three bands."""

import pytest

from sheetkit.base.errors import SheetkitError
from sheetkit.workshop import starter_kit


def test_every_band_has_every_item_and_says_what_it_buys():
    for band in starter_kit.BANDS:
        kit = starter_kit.kit(band)
        assert [row.name for row in kit.items] == list(starter_kit.items())
        assert all(row.note for row in kit.items)
        assert kit.low <= kit.likely <= kit.high
    assert (
        starter_kit.kit("bare").likely
        < starter_kit.kit("sensible").likely
        < starter_kit.kit("comfortable").likely
    )
    for needed in (
        "machine",
        "helmet",
        "gloves and jacket",
        "first wire",
        "first gas",
        "spare parts",
    ):
        assert needed in starter_kit.items()
    spare = next(row for row in starter_kit.kit("sensible").items if row.name == "spare parts")
    assert "near you" in spare.note


def test_own_prices_win():
    plain, mine = starter_kit.kit("sensible"), starter_kit.kit("sensible", {"machine": 310.0})
    old = next(row.value for row in plain.items if row.name == "machine")
    assert mine.likely == pytest.approx(plain.likely - old + 310)
    row = next(row for row in mine.items if row.name == "machine")
    assert row.status == "given by the user"


def test_every_fault_is_named_at_once():
    with pytest.raises(SheetkitError) as caught:
        starter_kit.kit("golden", {"mashine": 1, "helmet": -5})
    assert {fault.field for fault in caught.value.faults} == {
        "band",
        "prices.mashine",
        "prices.helmet",
    }


def test_all_bands_side_by_side():
    listing = starter_kit.kits({"machine": 310.0})
    assert listing.heads == ("what, USD", *starter_kit.BANDS)
    rows = {row[0]: row[1:] for row in listing.rows}
    assert set(rows) == {*starter_kit.items(), "in all"}
    assert all(cell.startswith("310: ") for cell in rows["machine"])
    for band, total in zip(starter_kit.BANDS, rows["in all"], strict=True):
        assert total.startswith(f"{starter_kit.kit(band, {'machine': 310.0}).likely:.0f} (")
