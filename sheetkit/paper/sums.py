"""The sums of an offer, to the cent: what is charged, what a further metre and hidden rust add."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

import numpy as np

from ..base import money
from ..base.errors import SheetkitError, plain
from ..base.tables import GIVEN
from ..formulas.montecarlo import draw
from ..formulas.ranges import quantiles
from ..repair.estimate import Estimate
from ..repair.rust_extent import with_extent

_WORDS = {
    "wire_cost": "Wire or rod",
    "gas_cost": "Shielding gas",
    "disc_cost": "Cutting and flap discs",
    "coating_cost": "Sealer, primer and cavity wax",
    "sheet_cost": "Sheet metal for the patches",
    "protective_cost": "Gloves and respirator filters",
}
_COUNTS = (
    "seam_length_mm", "welded_length_mm", "cut_length_mm", "tack_count", "dot_count",
    "plug_count", "weld_count", "starts",
)  # fmt: skip


@dataclass(frozen=True)
class Line:
    """One amount before tax: its figure, what for, money."""

    figure: str
    words: str
    amount: Decimal


@dataclass(frozen=True)
class Totals:
    """The sums of an offer, each in money of the job's currency."""

    net: Decimal
    tax: Decimal
    gross: Decimal
    tolerance: Decimal
    stop: Decimal
    extra_metre: Decimal


def fixed(result: Estimate) -> bool:
    """Say whether a price is offered, not an estimate."""
    return result.job.shop.quote == "fixed price"


def hours(result: Estimate) -> Decimal:
    """Return the hours charged, h: the likely ones, to the tenth that is shown."""
    return Decimal(f"{result.hours.likely:.1f}")


def rate(result: Estimate) -> Decimal:
    """Return what an hour costs, in the job's currency."""
    return Decimal(str(result.inputs["labour_rate_per_h"].value))


def rate_words(result: Estimate) -> str:
    """Return the hourly rate as it is multiplied with, such as "60 USD/h"."""
    hourly, currency = rate(result), result.job.shop.currency
    payable = hourly == money.rounded(hourly, currency) and hourly % 1
    number = money.digits(hourly, currency) if payable else money.plainly(hourly)
    return f"{number} {plain(currency)}/h"


def lines(result: Estimate) -> list[Line]:
    """Return the amounts before tax: labour, then each material, all as they are paid.

    Labour is the hours shown times the rate shown.  Materials are those of the
    repairs whose cost is at its middle.
    """
    currency = result.job.shop.currency
    found = [Line("labour_cost", "Labour", money.rounded(hours(result) * rate(result), currency))]
    for row in result.explain("materials_cost").inputs:
        name = row.quantity
        words = _WORDS.get(name, name.removesuffix("_cost").replace("_", " ").capitalize())
        found.append(Line(name, words, money.rounded(result.parts("cost")[name], currency)))
    return found


def totals(result: Estimate) -> Totals:
    """Return the sums: net, tax, with tax, tolerance, stop-and-ask limit, a further metre."""
    shop = result.job.shop

    def share(amount: Decimal, percent: float) -> Decimal:
        return money.rounded(amount * Decimal(str(percent)) / 100, shop.currency)

    net = sum((line.amount for line in lines(result)), Decimal(0))
    tax = share(net, shop.tax)
    gross = net + tax
    tolerance = share(gross, 0.0 if fixed(result) else shop.tolerance)
    own = None if fixed(result) else shop.stop_limit
    stop = gross + tolerance if own is None else money.rounded(own, shop.currency)
    further = money.rounded(extra_metre(result), shop.currency)
    return Totals(net, tax, gross, tolerance, stop, further)


def extra_metre(result: Estimate) -> float:
    """Return what one metre more of seam costs, with tax: the same formulas, counts in proportion."""
    seam = result.values["seam_length_mm"]
    more = {name: result.values[name] * (seam + 1000) / seam for name in _COUNTS}
    longer = result.chain.evaluate(draw(result.inputs) | more)["cost"]
    return float(quantiles(np.asarray(longer - result.drawn["cost"], float))[1])


def hidden_rust(result: Estimate) -> tuple[float, float, bool] | None:
    """Return what hidden rust alone adds: half of such repairs add more than the first, one in
    ten more than the second; and whether it goes beyond what is drawn.

    None: larger cuts can't be reckoned at all.
    """
    try:
        extent = with_extent(result)
    except SheetkitError:
        return None
    added = extent.added("cost")
    return added.likely, added.high, extent.beyond_drawing


def not_in_currency(result: Estimate) -> list[str]:
    """Return what is charged at a table's price though the job is in another currency, in words."""
    if result.job.shop.currency.strip().upper() in (money.PRICED_IN, "$", "US$"):
        return []
    return list(dict.fromkeys(_tabled(result)))


def _tabled(result: Estimate) -> Iterator[str]:
    if result.inputs["labour_rate_per_h"].status != GIVEN:
        yield "labour"
    for line in lines(result)[1:]:
        rows = {row.quantity: row for row in result.explain(line.figure).inputs}
        for name, row in rows.items():
            # what is paid by the ml may be none at all, such as the primer of a lap
            used = rows.get(name.replace("_price_per_ml", "_ml"), row)
            if "_price" in name and row.status != GIVEN and used.value:
                yield line.words[0].lower() + line.words[1:]
