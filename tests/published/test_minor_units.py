"""Decimals of currencies against ISO 4217's table of minor units (value from memory)."""

import pytest

from sheetkit.base.money import decimals


@pytest.mark.parametrize(
    ("currency", "places"),
    [("JPY", 0), ("KRW", 0), ("ISK", 0), ("CLP", 0), ("XOF", 0), ("VND", 0), ("KWD", 3), ("BHD", 3),
     ("TND", 3), ("USD", 2), ("EUR", 2), ("GBP", 2), ("CHF", 2), ("CAD", 2), ("HUF", 2), ("INR", 2)],
)  # fmt: skip
def test_minor_units(currency, places):
    assert decimals(currency) == places
