"""What a beginner's first kit costs, in three bands, and what each band buys.

Prices are starting values to be written over with those of the shops near you.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ..base import tables
from ..base.errors import Fault, SheetkitError, shown
from ..base.showing import Listing, Range
from ..base.tables import Row, given

BANDS = ("bare", "sensible", "comfortable")
_TABLE = "starter_kit"


@dataclass(frozen=True)
class Kit:
    """One band's items (rows with price range, origin and what it buys) and their sums, USD."""

    band: str
    items: tuple[Row, ...]

    @property
    def low(self) -> float:
        """Low end of the whole, USD."""
        return sum(row.value if row.low is None else row.low for row in self.items)

    @property
    def likely(self) -> float:
        """Likely price of the whole, USD."""
        return sum(row.value for row in self.items)

    @property
    def high(self) -> float:
        """High end of the whole, USD."""
        return sum(row.value if row.high is None else row.high for row in self.items)


def items() -> tuple[str, ...]:
    """Return the names of what a kit holds."""
    return tuple(name for name in tables.names(_TABLE) if not name.startswith("check "))


def kit(band: str, prices: Mapping[str, float] | None = None) -> Kit:
    """Return a band's kit; `prices` are your own, by item, and win.

    Raises
    ------
    SheetkitError
        An unknown band or item, or a price below zero; every one named.
    """
    prices = dict(prices or {})
    faults = []
    if band not in BANDS:
        faults.append(
            Fault("band", shown(band), f"must be one of {', '.join(BANDS)}", "choose one")
        )
    for name, price in prices.items():
        if name not in items():
            faults.append(
                Fault(
                    f"prices.{name}",
                    shown(name),
                    f"must be one of {', '.join(items())}",
                    "rename it",
                )
            )
        elif not 0 <= price <= 100_000:
            faults.append(
                Fault(f"prices.{name}", shown(price), "must be 0 to 100000", "give the price paid")
            )
    if faults:
        raise SheetkitError(faults)
    rows = []
    for name in items():
        row = tables.row(_TABLE, name, f"{band} price")
        if name in prices:
            row = given(name, prices[name], row.unit, row.note)
        rows.append(row)
    return Kit(band, tuple(rows))


def kits(prices: Mapping[str, float] | None = None) -> Listing:
    """Return what each band's kit costs, USD, and what that buys; `prices` are your own.

    Raises
    ------
    SheetkitError
        An unknown item, or a price below zero; every one named.
    """
    bands = [kit(band, prices) for band in BANDS]
    rows = [
        (rows[0].name, *(f"{row.value:.0f}: {row.note}" for row in rows))
        for rows in zip(*(one.items for one in bands), strict=True)
    ]
    sums = [f"{Range(one.low, one.likely, one.high):.0f}" for one in bands]
    return Listing(["what, USD", *BANDS], [*rows, ("in all", *sums)])


def checks() -> tuple[Row, ...]:
    """Return the trade's check values for the kit: common practice without source."""
    return tuple(row for row in tables.rows(_TABLE) if row.name.startswith("check "))
