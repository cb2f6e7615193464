"""The customer's estimate: what is done, what it costs and why, and what happens if it grows."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

import numpy as np

from ..base import amounts
from ..base.errors import SheetkitError
from ..base.showing import Number
from ..base.tables import GIVEN
from ..formulas.explain import explain
from ..formulas.montecarlo import draw
from ..formulas.ranges import quantiles
from ..geometry.patch import blank_size
from ..repair.estimate import Estimate
from ..repair.rust_extent import with_extent
from ..views.words import spoken, waits
from .blocks import Block, Frames, Heading, Paragraph, Table, Ticks

CENT = Decimal("0.01")
EXCLUSIONS = (
    "Rust, earlier repairs or damage that show only when the panel is open",
    "Trim, carpets, glass, wiring, fuel and brake parts, unless named above",
    "Colour matching beyond the repair, and later corrosion elsewhere",
    "Fees for inspections, and work an inspector asks for beyond this list",
)
FORGOTTEN = (
    "finish of the back of the seam", "sealer and cavity wax", "test welds on coupons",
    "battery and control units off and on", "disposal of old metal and rags",
)  # fmt: skip
_WORDS = {
    "labour_cost": "Labour",
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
    """One amount of the quote: what for, money, how it came about, where that comes from."""

    figure: str
    words: str
    amount: Decimal
    how: str
    origin: str


def _money(value: float) -> Decimal:
    return Decimal(str(value)).quantize(CENT, ROUND_HALF_UP)


def _line(result: Estimate, name: str) -> Line:
    why = explain(name, result.chain, result.inputs, result.parts("cost"), result.spans)
    words = _WORDS.get(name, name.removesuffix("_cost").replace("_", " ").capitalize())
    money = result.job.shop.currency
    if name == "labour_cost":
        how = f"{why.inputs[0].value:.2f} h × {why.inputs[1].value:g} {money}/h"
    else:
        how = spoken(f"{why.formula} = {why.numbers}")
    origin = result.rests_on(name).replace(GIVEN, "given by the shop")
    return Line(name, words, _money(result.parts("cost")[name]), how, origin)


def lines(result: Estimate) -> list[Line]:
    """Return the amounts before tax: labour, then each material."""
    materials = [row.quantity for row in result.explain("materials_cost").inputs]
    return [_line(result, name) for name in ("labour_cost", *materials)]


@dataclass(frozen=True)
class Totals:
    """The sums of a quote, each in money of the job's currency."""

    net: Decimal
    tax: Decimal
    gross: Decimal
    tolerance: Decimal
    stop: Decimal
    extra_metre: Decimal


def totals(result: Estimate) -> Totals:
    """Return the sums: net, tax, with tax, tolerance, stop-and-ask limit, a further metre."""
    shop = result.job.shop
    net = sum((line.amount for line in lines(result)), Decimal(0))
    tax = (net * Decimal(str(shop.tax)) / 100).quantize(CENT, ROUND_HALF_UP)
    gross = net + tax
    tolerance = (gross * Decimal(str(shop.tolerance)) / 100).quantize(CENT, ROUND_HALF_UP)
    if shop.quote == "fixed price":
        tolerance = Decimal("0.00")
    stop = gross + tolerance if shop.stop_limit is None else _money(shop.stop_limit)
    return Totals(net, tax, gross, tolerance, stop, _money(extra_metre(result)))


def extra_metre(result: Estimate) -> float:
    """Return what one metre more of seam costs, with tax: the same formulas, counts in proportion."""
    seam = result.values["seam_length_mm"]
    more = {name: result.values[name] * (seam + 1000) / seam for name in _COUNTS}
    longer = result.chain.evaluate(draw(result.inputs) | more)["cost"]
    return float(quantiles(np.asarray(longer - result.drawn["cost"], float))[1])


def amounts_table(result: Estimate) -> Table:
    """Return the quote's amounts, each with how it came about."""
    money, sums = result.job.shop.currency, totals(result)

    def row(words: str, amount: Decimal, how: str, origin: str) -> tuple:
        return words, Number(float(amount), f"{amount:.2f}"), how, origin

    rows = [row(x.words, x.amount, x.how, x.origin) for x in lines(result)]
    tax = f"{result.job.shop.tax:g} % of {sums.net:.2f}"
    given = (
        "given by the shop" if result.job.given("shop.tax") else "none given: ask your tax office"
    )
    rows += [
        row("Sum before tax", sums.net, "the lines above", "sum"),
        row("Tax", sums.tax, tax, given),
        row("Total", sums.gross, "sum and tax", "sum"),
    ]
    heads = ("What", f"Amount, {money}", "How it is reckoned", "Rests on")
    return Table("quote", heads, rows, (26, 18, 48, 26), size=9.5, bold_last=True)


def terms_table(result: Estimate) -> Table:
    """Return what binds both sides, with the amounts put in."""
    shop, sums = result.job.shop, totals(result)
    money = shop.currency
    fixed = shop.quote == "fixed price"
    kind = (
        "Fixed price for the work named here; anything beyond it only after your word."
        if fixed
        else f"Estimate: the bill may differ by up to {shop.tolerance:g} % "
        f"({sums.tolerance:.2f} {money}) without asking. Check your local law on estimates."
    )
    span = result.cost
    over = 100 * result.share_over("cost", float(sums.stop))
    rows = [
        ("Kind", f"{'☐' if fixed else '☒'} estimate   {'☒' if fixed else '☐'} fixed price", kind),
        ("Stop and ask", f"{sums.stop:.2f} {money}", "Work stops before this sum is passed, and goes "
         f"on only after your word is in the log below. By the shop's reckoning about {over:.0f} of 100 "
         "such repairs pass it, with nothing hidden."),
        ("Further metre of seam", f"{sums.extra_metre:.2f} {money}/m", "If more rust shows: the same "
         "formulas with one metre more of cut, seam and welds, with tax."),
        ("Uncertainty", f"{span.low:.0f} to {span.high:.0f} {money}", "By the shop's reckoning one in "
         "ten such repairs costs less, one in ten more, with nothing hidden."),
        *_hidden(result),
        ("Valid", f"{shop.valid_days} days", "From the date above."),
    ]  # fmt: skip
    return Table("terms", ("Term", "This job", "What it means"), rows, (24, 34, 60), size=10.5)


def _hidden(result: Estimate) -> list[tuple]:
    """Return what hidden rust alone adds to the sum, if larger cuts can be reckoned at all."""
    try:
        extent = with_extent(result)
    except SheetkitError:
        return [("Hidden rust", "not reckoned", "Comes on top (one shop reports up to 40 %).")]
    money, added = result.job.shop.currency, extent.added("cost")
    beyond = " Where cuts meet or the panel ends, the rest is reckoned as more of the same seam."
    return [(
        "Hidden rust", f"{added.likely:.0f} to {added.high:.0f} {money} more", "What rust that shows only "
        "when the panel is open adds by itself (up to 40 % more work, one shop's report): half of "
        "such repairs add more than the first sum, one in ten more than the second."
        + beyond * extent.beyond_drawing,
    )]  # fmt: skip


def quote(result: Estimate, *, display: str, date: datetime.date | None = None) -> Iterator[Block]:
    """Yield the customer's estimate as blocks."""
    job, shop, values = result.job, result.job.shop, result.values
    sums = totals(result)
    day = date or datetime.date.today()
    until = day + datetime.timedelta(days=shop.valid_days)
    yield Heading(job.title or "Untitled job", 18)
    facts = [
        ("Shop", shop.name or "________________________"),
        ("Customer", job.customer or "________________________"),
        ("Vehicle", job.vehicle or "________________________"),
        ("Date", f"{day.isoformat()}; valid until {until.isoformat()}"),
    ]
    yield Paragraph("\n".join(f"{name}: {' '.join(words.split())[:400]}" for name, words in facts))
    word = "Fixed price" if shop.quote == "fixed price" else "Estimate"
    yield Paragraph(f"{word}: {sums.gross:.2f} {shop.currency} with tax", 20, True)
    yield Heading("The work")
    seam = amounts.show(values["seam_length_mm"], "length", units=display)
    names = {"butt": "butt-welded", "lap": "lapped and welded", "plug": "plug-welded"}
    pieces = "; ".join(
        f"patch {number}: "
        + " × ".join(amounts.show(s, "length", units=display) for s in blank_size(patch.blank))
        for number, patch in enumerate(result.patches, 1)
    )
    hours = result.hours
    yield Paragraph(
        f"Cut out the rust as drawn, with {amounts.show(job.patch.margin, 'length', units=display)} of "
        f"sound metal round it; make {len(result.patches)} patch"
        f"{'es' if len(result.patches) > 1 else ''} of "
        f"{amounts.show(job.sheet.thickness, 'thickness', units=display)} sheet ({pieces}); "
        f"{names[job.patch.joint]}, {seam} of seam; grind, prime and seal the seam. About "
        f"{hours.likely:.1f} h of work ({hours.low:.1f} to {hours.high:.1f} h), {waits(result)}."
    )
    yield amounts_table(result)
    yield terms_table(result)
    yield Heading("Not included", 14)
    yield Paragraph(
        "\n".join(f"– {' '.join(x.split())}" for x in (*shop.exclusions, *EXCLUSIONS)), 11
    )
    yield Paragraph("Often forgotten (ticked: included):")
    yield Ticks(FORGOTTEN, 2, 11)
    yield Paragraph(
        "A weld shrinks as it cools: a seam in flat sheet can leave the panel uneven. Where the part "
        "carries load, the maker's repair manual, your inspector, local codes and licensed practice "
        "decide; no outcome of an inspection is promised."
    )
    yield Heading("Your word, each time the sum changes", 14)
    yield Table(
        "authorisations",
        ("Date", "Time", "Name", "By phone, mail, in person", "What for", "New total", "Signed"),
        [[""] * 7 for _ in range(5)], (14, 11, 20, 24, 26, 16, 18), size=9.5, least_mm=11,
    )  # fmt: skip
    if shop.photos:
        yield Heading("Photos", 14)
        stages = (
            "as it came",
            "cut open",
            "patch tacked",
            "welded",
            "back of the seam",
            "finished",
        )
        captions = [
            f"{n + 1}: {stages[n] if n < len(stages) else '____________'}, date ______"
            for n in range(shop.photos)
        ]
        yield Frames(captions)
    yield Heading("Where each amount comes from", 14)
    yield Paragraph(
        "The amounts of the estimate add up to its likely total. Below stands the middle of each "
        "figure alone, which may lie a little beside its amount.",
        8.5,
    )
    for name in ("hours_h", "cost", *(line.figure for line in lines(result))):
        yield Paragraph(spoken(str(result.explain(name))), 8.5)
