"""Trade check values: common practice without a source, marked so in the tables.

About USD 1,000 in all for a first kit, a self-darkening mask USD 100-300, small
machines USD 150-700; per cylinder at 10 l/min: 1 l/110 bar 11 min, 10 l/200 bar
200 min, 20 l/200 bar 400 min (V x p, ideal gas); a 0.7 kg spool 15-45 m of seam.
"""

import pytest

from sheetkit.formulas import gas
from sheetkit.workshop import bottle_and_spool, starter_kit


def test_the_check_rows_say_that_they_have_no_source():
    assert len(starter_kit.checks()) == 3
    for row in starter_kit.checks():
        assert row.status == "common practice" and "without source" in row.source


def test_a_sensible_kit_is_about_a_thousand():
    check = next(row for row in starter_kit.checks() if row.name == "check whole kit")
    assert check.value == 1000
    assert starter_kit.kit("sensible").likely == pytest.approx(check.value, rel=0.1)
    assert 300 <= starter_kit.kit("bare").likely <= 500
    assert starter_kit.kit("comfortable").likely >= 1500


def test_masks_and_machines_lie_in_the_trades_spans():
    spans = {row.name.removeprefix("check "): row for row in starter_kit.checks()}
    for item in ("helmet", "machine"):
        for band in ("sensible", "comfortable"):
            row = next(r for r in starter_kit.kit(band).items if r.name == item)
            assert spans[item].low <= row.value <= spans[item].high, (item, band)


@pytest.mark.parametrize(
    ("volume", "pressure", "minutes"), [(1, 110, 11), (10, 200, 200), (20, 200, 400)]
)
def test_minutes_at_ten_litres(volume, pressure, minutes):
    """The trade reckons V x p; a real argon mix holds up to a seventh more."""
    found = gas.content_l(volume, pressure) / 10
    assert minutes <= found <= 1.17 * minutes


def test_metres_from_a_small_spool():
    """15 to 50 g of wire a metre of butt seam: 0.7 kg does 14 to 47 m."""
    for grams, metres in ((50, 14), (15, 47)):
        advice = bottle_and_spool.advise_wire(
            spool_g=700, need_g=grams, need_high_g=grams, arc_g=grams, seam_m=1.0
        )
        assert advice.metres_real == pytest.approx(metres, abs=0.5)
