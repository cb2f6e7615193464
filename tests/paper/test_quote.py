"""The sums of a quote by hand, to the cent."""

from decimal import Decimal

import pytest

import sheetkit as sk
from sheetkit.paper import quote


def cents(value: Decimal) -> Decimal:
    return value.quantize(Decimal("0.01"))


@pytest.mark.parametrize(
    ("shop", "over"),
    [
        ({"quote": "estimate", "tolerance": 15}, Decimal("0.15")),
        ({"quote": "fixed price", "tolerance": 15}, Decimal(0)),
    ],
)
def test_work_stops_at_the_sum_with_tax_and_tolerance(job, shop, over):
    """A fixed price has no tolerance, whatever the shop's is."""
    sums = quote.totals(sk.estimate(job(shop={"tax": 20, **shop})))
    assert sums.net == sums.gross - sums.tax > 0
    assert float(sums.tax) == pytest.approx(0.2 * float(sums.net), abs=0.0051)
    assert float(sums.tolerance) == pytest.approx(float(over * sums.gross), abs=0.0051)
    assert sums.stop == sums.gross + sums.tolerance


def test_the_shops_own_limit_wins(job):
    sums = quote.totals(sk.estimate(job(shop={"stop_limit": 777})))
    assert sums.stop == cents(Decimal(777))
