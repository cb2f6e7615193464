"""The shopping list of a whole repair: what it takes, in packs, and what is left over."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, inf

from ..base import tables
from ..base.tables import Row
from ..geometry.stock_sheet import TRIES, Placement, place
from ..repair.estimate import Estimate

NAMES = {
    "wire_spool": "welding wire",
    "filler_rod": "filler rod",
    "gas": "shielding gas",
    "strip_disc": "stripping discs",
    "cutting_disc": "cutting discs",
    "flap_disc": "flap discs",
    "contact_tip": "contact tips",
    "weld_through_primer": "weld-through primer",
    "epoxy_primer": "epoxy primer",
    "seam_sealer": "seam sealer",
    "cavity_wax": "cavity wax",
    "respirator_filter": "respirator filters, pairs",
    "nitrile_gloves": "nitrile gloves, pairs",
    "sheet": "sheet",
}


@dataclass(frozen=True)
class Item:
    """One line of the list.  Amounts in `unit`; money in the job's currency.

    `packs` is what to buy so that the likely need is met from what is at hand;
    `packs_at_most` meets the far end of the range.
    """

    name: str
    unit: str
    low: float
    need: float
    high: float
    at_hand: float
    pack: float
    packs: int
    packs_at_most: int
    price_each: float
    origin: Row

    @property
    def cost(self) -> float:
        """Price of all packs together."""
        return self.packs * self.price_each

    @property
    def left_over(self) -> float:
        """What stays over when the likely need is used up."""
        return self.at_hand + self.packs * self.pack - self.need


def _packs(need: float, at_hand: float, pack: float) -> int:
    return max(0, ceil((need - at_hand) / pack - 1e-9))


def _needs(result: Estimate) -> dict[str, tuple[float, float, float, Row]]:
    """Return item -> (low, need, high, where it comes from)."""
    job, values = result.job, result.values

    def figure(name: str) -> tuple[float, float, float, Row]:
        span = result.range(name)
        row = Row("figures", name, name, span.low, span.likely, span.high, "",
                  f'explain("{name}")', "derived", "")  # fmt: skip
        return span.low, span.likely, span.high, row

    def by(item: str, quantity: str, amount: float) -> tuple[float, float, float, Row]:
        row = tables.row("consumables", item, quantity)
        low, high = (row.value if end is None else end for end in (row.low, row.high))
        return low * amount, row.value * amount, high * amount, row

    metres = values["metres_m"]
    found = {}
    found["filler_rod" if job.weld.process == "141" else "wire_spool"] = figure("wire_bought_g")
    if "gas_real_l" in values:
        found["gas"] = figure("gas_real_l")
    found["strip_disc"] = figure("strip_discs")
    found["cutting_disc"] = figure("cutting_discs")
    found["flap_disc"] = figure("flap_discs")
    if job.weld.process != "141":
        found["contact_tip"] = by("contact_tip", "per_metre", metres)
    if job.patch.joint != "butt":
        found["weld_through_primer"] = figure("lap_primer_ml")
    found["epoxy_primer"] = figure("primer_ml")
    found["seam_sealer"] = figure("sealer_ml")
    found["cavity_wax"] = figure("wax_ml")
    found["respirator_filter"] = figure("filters")
    found["nitrile_gloves"] = figure("glove_pairs")
    return found


def shopping_list(
    result: Estimate, *, at_hand: dict[str, float] | None = None, placement: Placement | None = None
) -> list[Item]:
    """Return what to buy for a repair.

    Parameters
    ----------
    result : Estimate
    at_hand : dict, optional
        What the shop has already, by item, in the item's unit.  The cylinder's
        content and the spool of the job count without being named.
    placement : Placement, optional
        The blanks on stock sheet (`stock_for`); its sheets are then on the list.
    """
    job = result.job
    at_hand = dict(at_hand or {})
    if job.shop.spool is not None:
        at_hand.setdefault("wire_spool", job.shop.spool)
    if job.given("shop.cylinder") and "cylinder_content_l" in result.values:
        at_hand.setdefault("gas", float(result.values["cylinder_content_l"]))
    items = []
    for item, (low, need, high, origin) in _needs(result).items():
        pack = tables.row("consumables", item, "pack")
        price = job.shop.prices.get(item, tables.row("consumables", item, "price").value)
        there = at_hand.get(item, 0.0)
        items.append(
            Item(NAMES[item], pack.unit if pack.unit != "1" else "pieces", low, need, high, there,
                 pack.value, _packs(need, there, pack.value), _packs(high, there, pack.value),
                 price, origin)
        )  # fmt: skip
    if placement is not None and placement.placed:
        items.append(_sheet(result, placement))
    return items


def _sheet(result: Estimate, placement: Placement) -> Item:
    """Return the stock sheets as a line: pieces bought by their mass."""
    price = result.job.shop.prices.get("sheet", tables.row("consumables", "sheet", "price").value)
    width, height = placement.sheets[0]
    kilograms = width * height * result.job.sheet.thickness * 7.85e-6
    share = placement.used_mm2 / (width * height)
    count = len(placement.sheets)
    origin = Row("stock", "sheet", "sheets", None, share, None, "1", "the blanks on stock sheet",
                 "derived", "")  # fmt: skip
    name = f"sheet {width:.0f} × {height:.0f} × {result.job.sheet.thickness:g} mm"
    return Item(name, "sheets", share, share, float(count), 0.0, 1.0, count, count,
                price * kilograms, origin)  # fmt: skip


def stock_for(
    results: Sequence[Estimate], *, sheet_mm: tuple[float, float] | None = None
) -> Placement:
    """Return the blanks of one or more repairs of one sheet thickness on stock sheet.

    Without `sheet_mm` the job's own `sheet_stock` is tried, else the sizes of
    the table "stock_sheets": the size that holds all on the least bought area.
    """
    blanks = [patch.blank for result in results for patch in result.patches]
    own = tuple(size for result in results for size in result.job.shop.sheet_stock)
    sold = tuple(
        (
            tables.row("stock_sheets", name, "width").value,
            tables.row("stock_sheets", name, "height").value,
        )
        for name in tables.names("stock_sheets")
    )
    kerf = tables.row("limits", "kerf", "value").value
    margin = tables.row("limits", "sheet_edge", "value").value

    def laid(size: tuple[float, float], tries: int) -> Placement:
        return place(blanks, sheet_mm=size, kerf_mm=kerf, margin_mm=margin, tries=tries)

    def bought(found: Placement) -> tuple[int, float]:
        return len(found.unplaced), sum(w * h for w, h in found.sheets) if found.placed else inf

    # a short search tells the sizes apart, the long one is for the chosen size
    choice = [sheet_mm] if sheet_mm else list(own or sold)
    return laid(min(choice, key=lambda size: bought(laid(size, 40))), TRIES)
