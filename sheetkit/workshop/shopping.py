"""The shopping list of a whole repair: what it takes, in packs, and what is left over."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import ceil, inf, prod

import numpy as np

from ..base import amounts, tables
from ..base.errors import plain, unknown
from ..base.showing import Column, Listing, Range, Shown, counted
from ..formulas.montecarlo import column, uncertain
from ..formulas.ranges import quantiles
from ..geometry.patch import blank_size, mass
from ..geometry.stock_sheet import TRIES, Placement, place
from ..repair.estimate import Estimate
from ..repair.place_cautions import reach_mm

ML_PER_FL_OZ = 29.5735295625
"""The US fluid ounce: 231 in³ / 128."""
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
    rests_on: str

    @property
    def cost(self) -> float:
        """Price of all packs together."""
        return self.packs * self.price_each

    @property
    def left_over(self) -> float:
        """What stays over when the likely need is used up."""
        return self.at_hand + self.packs * self.pack - self.need

    def shown(self, amount: float, display: str) -> tuple[float, str]:
        """Return an amount of it in the unit it is shown in, and that unit; display "mm" or "in"."""
        kind = {"g": "mass", "l": "volume"}.get(self.unit)
        if self.unit == "ml" and display == "in":
            return amount / ML_PER_FL_OZ, "fl oz"
        if kind is None:
            return amount, self.unit
        return amounts.converted(amount, kind, units=display)[:2]

    def pack_words(self, display: str) -> str:
        """Return what one pack holds, in words: "2000 l"."""
        pack, unit = self.shown(self.pack, display)
        return f"{float(f'{pack:.3g}'):g} {unit}"

    def needed(self, display: str = "mm") -> Range:
        """Return how much is needed, in the unit it is shown in: wire in ounces, its spools in lb."""
        ends = (self.low, self.need, self.high)
        if self.unit != "g":
            low, likely, high = (self.shown(end, display)[0] for end in ends)
            return Range(low, likely, high, self.shown(0.0, display)[1])
        found = [amounts.converted(end, "filler", units=display) for end in ends]
        low, likely, high = (number for number, *_ in found)
        return Range(low, likely, high, found[0][1])


@dataclass(frozen=True, repr=False)
class ShoppingList(Shown):
    """What a repair takes: the items reckoned, in packs, and what has to be there besides.

    besides : (what, how much, a word to it) of what is not reckoned in packs
    """

    items: tuple[Item, ...]
    besides: tuple[tuple[str, str, str], ...]
    currency: str

    def __iter__(self) -> Iterator[Item]:
        return iter(self.items)

    def __len__(self) -> int:
        return len(self.items)

    def __getitem__(self, name: str) -> Item:
        """Return an item by its name, such as "welding wire"."""
        found = {item.name: item for item in self.items}
        if name not in found:
            unknown("shopping list", name, "must be on the list", found)
        return found[name]

    def __repr__(self) -> str:
        buy = sum(item.packs > 0 for item in self.items)
        return (
            f"<shopping list: {counted(len(self), 'thing')}, {buy} to buy for "
            f"{self.cost:.0f} {plain(self.currency)}, {len(self.besides)} more to have at hand>"
        )

    @property
    def cost(self) -> float:
        """Price of everything that is to buy, in the job's currency."""
        return sum(item.cost for item in self.items)

    def listing(self, *, display: str = "mm") -> Listing:
        """Return a row an item; inches show wire in oz, its packs in lb, and gas in cubic feet."""

        def units(item: Item) -> str:
            needed, packs = item.needed(display).unit, item.shown(0.0, display)[1]
            return needed if needed == packs else f"{needed}, packs {packs}"

        rows: list[tuple] = [
            (
                item.name, item.needed(display), units(item),
                item.shown(item.at_hand, display)[0], item.packs,
                item.shown(item.pack, display)[0], item.cost,
                item.shown(item.left_over, display)[0], item.rests_on,
            )
            for item in self
        ]  # fmt: skip
        rows += [
            (what, amount, "", None, None, None, None, None, word)
            for what, amount, word in self.besides
        ]
        return Listing(
            ["what", Column("needed", "", None), "unit", Column("at hand", "", None),
             "packs to buy", Column("in a pack", "", None), Column("price", self.currency),
             Column("left over", "", None), "rests on"],
            rows,
        )  # fmt: skip


def _packs(need: float, at_hand: float, pack: float) -> int:
    return max(0, ceil((need - at_hand) / pack - 1e-9))


def _needs(result: Estimate) -> dict[str, tuple[Range, str]]:
    """Return item -> (how much, what that rests on)."""
    job, values = result.job, result.values

    def figure(name: str) -> tuple[Range, str]:
        return result.range(name), result.rests_on(name)

    def by(item: str, quantity: str, amount: float) -> tuple[Range, str]:
        row = tables.row("consumables", item, quantity)
        ends = quantiles(column(row)) if uncertain(row) else np.full(3, row.value)
        return Range(*(ends * amount).tolist()), row.status

    found = {}
    found["filler_rod" if job.weld.process == "141" else "wire_spool"] = figure("wire_bought_g")
    if "gas_real_l" in values:
        found["gas"] = figure("gas_real_l")
    found["strip_disc"] = figure("strip_discs")
    found["cutting_disc"] = figure("cutting_discs")
    found["flap_disc"] = figure("flap_discs")
    if job.weld.process != "141":
        found["contact_tip"] = by("contact_tip", "per_metre", values["metres_m"])
    if job.patch.joint != "butt":
        found["weld_through_primer"] = figure("lap_primer_ml")
    found["epoxy_primer"] = figure("primer_ml")
    found["seam_sealer"] = figure("sealer_ml")
    found["cavity_wax"] = figure("wax_ml")
    found["respirator_filter"] = figure("filters")
    found["nitrile_gloves"] = figure("glove_pairs")
    return found


def shopping_list(
    result: Estimate,
    *,
    at_hand: Mapping[str, float] | None = None,
    placement: Placement | None = None,
    display: str = "mm",
) -> ShoppingList:
    """Return what to buy for a repair.

    Parameters
    ----------
    result : Estimate
    at_hand : mapping, optional
        What the shop has already, by item, in the item's unit.  The cylinder's
        content and the spool of the job count without being named.
    placement : Placement, optional
        The blanks on stock sheet; default `stock_for` this repair.
    display : "mm" or "in", for the sizes of sheet

    Raises
    ------
    UnknownName
        Something is at hand that no repair takes; the nearest names are given.
    """
    job = result.job
    have = dict(at_hand or {})
    for name in have:
        if name not in NAMES:
            unknown(f"at_hand.{name}", name, "must be something a repair takes", NAMES)
    if job.shop.spool is not None:
        have.setdefault("wire_spool", job.shop.spool)
    if job.given("shop.cylinder") and "cylinder_content_l" in result.values:
        have.setdefault("gas", float(result.values["cylinder_content_l"]))
    items = []
    for item, (needed, rests_on) in _needs(result).items():
        pack = tables.row("consumables", item, "pack")
        price = job.shop.prices.get(item, tables.row("consumables", item, "price").value)
        there = have.get(item, 0.0)
        items.append(
            Item(NAMES[item], pack.unit if pack.unit != "1" else "pieces",
                 needed.low, needed.likely, needed.high, there, pack.value,
                 _packs(needed.likely, there, pack.value), _packs(needed.high, there, pack.value),
                 price, rests_on)
        )  # fmt: skip
    placement = stock_for([result]) if placement is None else placement
    if placement.placed:
        items.append(_sheet(result, placement, display))
    return ShoppingList(tuple(items), tuple(_besides(result, display)), job.shop.currency)


def _besides(result: Estimate, display: str) -> Iterator[tuple[str, str, str]]:
    """Yield (what, how much, a word) of what is cut from the sheet and what is not reckoned."""

    def size(sides: Sequence[float]) -> str:
        return " × ".join(amounts.show(side, "length", units=display) for side in sides)

    for number, patch in enumerate(result.patches, 1):
        sides = blank_size(patch.blank)
        grams = mass(prod(sides), result.job.sheet.thickness)
        weight = amounts.show(grams, "mass", units=display, digits=0 if display == "mm" else None)
        yield f"blank for patch {number}", size(sides), f"smallest rectangle; {weight}"
    yield "two coupons", f"each {size((50, 150))}, same sheet", "common practice"
    yield from _made_good(result, display)
    yield "top coat", "as the paint's maker says", "not reckoned here"
    yield "degreaser, rags", "as needed", "not reckoned here"


def _made_good(result: Estimate, display: str) -> Iterator[tuple[str, str, str]]:
    """Yield what the heat takes off beside the seam, as far as it reaches to each side."""
    job, values = result.job, result.values

    def within(millimetres: float) -> str:
        return f"within {amounts.show(millimetres, 'length', units=display)} of the seam"

    faces = "both faces" if job.sheet.back_access else "the face in reach"
    by_plan = result.by_plan
    run = "by the order" if by_plan else "for one continuous run"
    paint = within(values["paint_burns_mm"]).replace("within", "beyond")
    yield "masking", f"{paint}, {faces}", f"derived, {run}: paint burns nearer"
    if by_plan:  # the order has these strips' own figures
        return
    for what, level in (("sealer and foam", "heat_sealer"), ("wax and underseal", "heat_wax")):
        reach = within(reach_mm(job, values, level))
        yield f"{what}, to make good", f"what lies {reach}", f"derived, {run}"
    if job.sheet.coating == "zinc":
        wide = reach_mm(job, values, "heat_zinc")
        area = 2 * wide * values["seam_length_mm"] * values["faces_reached"] / 100
        size = f"{area / 6.4516:.0f} in²" if display == "in" else f"{area:.0f} cm²"
        yield "zinc-rich primer", f"for {size}, {within(wide)}", f"derived, {run}: zinc melts there"


def _sheet(result: Estimate, placement: Placement, display: str) -> Item:
    """Return the stock sheets as a line: pieces bought by their mass."""
    job = result.job
    price = job.shop.prices.get("sheet", tables.row("consumables", "sheet", "price").value)
    width, height = placement.sheets[0]
    kilograms = mass(width * height, job.sheet.thickness) / 1000
    share = placement.used_mm2 / (width * height)
    count = len(placement.sheets)
    kinds = ("length", "length", "thickness")
    sides = (
        amounts.show(side, kind, units=display)
        for side, kind in zip((width, height, job.sheet.thickness), kinds, strict=True)
    )
    return Item(f"sheet {' × '.join(sides)}", "sheets", share, share, float(count), 0.0, 1.0, count,
                count, price * kilograms, "derived")  # fmt: skip


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
