"""Trade check values: common practice, no source.

About USD 1,000 in all for a first kit, a self-darkening mask USD 100-300, small
machines USD 150-700; kits are met in bands: bare 300-500, sensible 700-1,000, comfortable
1,500 and more.
"""

import pytest

from sheetkit.workshop import starter_kit


def price(band, item):
    return next(row.value for row in starter_kit.kit(band).items if row.name == item)


def test_a_sensible_kit_is_about_a_thousand():
    assert starter_kit.kit("sensible").likely == pytest.approx(1000, rel=0.1)
    assert 300 <= starter_kit.kit("bare").likely <= 500
    assert starter_kit.kit("comfortable").likely >= 1500


@pytest.mark.parametrize("band", ["sensible", "comfortable"])
def test_masks_and_machines_lie_in_the_trades_spans(band):
    assert 100 <= price(band, "helmet") <= 300
    assert 150 <= price(band, "machine") <= 700
