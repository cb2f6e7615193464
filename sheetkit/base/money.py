"""Amounts of money: rounded to what a currency can be paid in, and written for people."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

from .errors import plain

PRICED_IN = "USD"
"""What the prices of the tables are in."""
_WHOLE = frozenset(
    "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF ¥ ￥ 円 ₩ ₫".split()  # noqa: SIM905
)
_THOUSANDTHS = frozenset("BHD IQD JOD KWD LYD OMR TND".split())  # noqa: SIM905


def plainly(number: float | Decimal) -> str:
    """Return a number just as it is multiplied with, thousands apart: "60", "61.37"."""
    return f"{Decimal(str(number)).normalize():,f}"


def decimals(currency: str) -> int:
    """Return how many decimals a currency's smallest sum has: none for yen, two for most.

    Source: minor units of ISO 4217 (value from memory); signs as they are mostly meant.
    """
    name = currency.strip().upper()
    return 0 if name in _WHOLE else 3 if name in _THOUSANDTHS else 2


def rounded(amount: float | Decimal, currency: str) -> Decimal:
    """Return an amount as it can be paid; half a cent goes up."""
    return Decimal(str(amount)).quantize(Decimal(1).scaleb(-decimals(currency)), ROUND_HALF_UP)


def digits(amount: float | Decimal, currency: str, *, about: bool = False) -> str:
    """Return an amount with its decimals and thousands apart, "1,062.92"; `about`: "1,063"."""
    if about:
        return f"{Decimal(str(amount)).quantize(Decimal(1), ROUND_HALF_UP):,}"
    return f"{rounded(amount, currency):,}"


def shown(amount: float | Decimal, currency: str) -> str:
    """Return an amount with its currency."""
    return f"{digits(amount, currency)} {plain(currency)}"
