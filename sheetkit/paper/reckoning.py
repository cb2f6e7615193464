"""The shop's copy of an offer: every amount with how it came about and what it rests on."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from ..base import money
from ..base.errors import plain
from ..base.showing import Number
from ..base.tables import GIVEN
from ..formulas.explain import explain
from ..repair.estimate import Estimate
from ..views.words import spoken, waits
from . import sums
from .blocks import Block, Heading, Paragraph, Table, Worked
from .quote import draft_words, taxed


def reckoned_table(result: Estimate) -> Table:
    """Return the amounts, each with how it came about and what that rests on."""
    shop, total = result.job.shop, sums.totals(result)
    currency = plain(shop.currency)

    def row(words: str, amount: Decimal, how: str, origin: str) -> tuple:
        return words, Number(float(amount), money.digits(amount, shop.currency)), how, origin

    def how(line: sums.Line) -> str:
        if line.figure == "labour_cost":
            return f"{sums.hours(result)} h × {sums.rate_words(result)}"
        parts = result.parts("cost")
        why = explain(line.figure, result.chain, result.inputs, parts, result.spans)
        return spoken(f"{why.formula} = {why.numbers}")

    rows = [
        row(
            x.words, x.amount, how(x), result.rests_on(x.figure).replace(GIVEN, "given by the shop")
        )
        for x in sums.lines(result)
    ]
    given = "given by the shop" if taxed(result) else "none given: ask your tax office"
    tax = f"{money.plainly(shop.tax)} % of {money.digits(total.net, shop.currency)}"
    last = len(rows) + 1  # the heads are row 1
    net, taxes = f"B{last + 1}", f"B{last + 2}"
    percent = f"{money.plainly(shop.tax).replace(',', '')}/100"
    sums_by_formula = (
        ("Sum before tax", total.net, "the lines above", "sum", f"=SUM(B2:B{last})"),
        ("Tax", total.tax, tax, given, f"=ROUND({net}*{percent},{money.decimals(shop.currency)})"),
        ("Total", total.gross, "sum and tax", "sum", f"={net}+{taxes}"),
    )
    rows += [
        (
            words,
            Worked(float(amount), money.digits(amount, shop.currency), formula),
            why,
            origin,
        )
        for words, amount, why, origin, formula in sums_by_formula
    ]
    heads = ("What", f"Amount, {currency}", "How it is reckoned", "Rests on")
    return Table("quote", heads, rows, (26, 18, 48, 26), size=9.5, bold_last=True)


def reckoning(result: Estimate) -> Iterator[Block]:
    """Yield the shop's copy as blocks."""
    currency, span, hours = result.job.shop.currency, result.cost, result.hours
    yield Heading(" ".join(result.job.title.split()) or "Untitled job", 16)
    for words in draft_words(result):
        yield Paragraph(words[0].upper() + words[1:], bold=True)
    yield reckoned_table(result)
    total = sums.totals(result)
    over = 100 * result.share_over("cost", float(total.stop))
    yield Paragraph(
        f"Hours: {hours.likely:.1f} ({hours.low:.1f} to {hours.high:.1f}), {waits(result)}. Cost by the "
        f"draws: {money.shown(span.likely, currency)} ({money.shown(span.low, currency)} to "
        f"{money.shown(span.high, currency)}: one in ten below, one in ten above). Stop and ask at "
        f"{money.shown(total.stop, currency)}, which {over:.0f} of 100 draws pass. Materials are those "
        "of the repairs whose cost is at its middle; labour is the hours shown times the rate shown."
    )
    yield Heading("Where each amount comes from", 14)
    yield Paragraph(
        "Below stands the middle of each figure alone, which may lie a little beside its amount.",
        8.5,
    )
    for name in ("hours_h", "cost", *(line.figure for line in sums.lines(result))):
        yield Paragraph(spoken(str(result.explain(name))), 8.5)
