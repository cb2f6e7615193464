"""What is said of a shop's own heat and losses beside the book's, and of readings that taught them."""

from __future__ import annotations

from collections.abc import Sequence

from ..base import amounts
from ..base.showing import Range, counted
from ..sequence.cooling_curve import Learned, Reading, Use
from ..sequence.plan import SequencePlan
from ..sequence.shop_heat import BOOK, ShopHeat

UNVALIDATED = (
    "No measured temperatures of short-arc welds in 0.8 to 2 mm sheet could be found to hold these "
    "waits against: they are unvalidated. Trust the thermometer."
)
"""Said wherever the waits' method is described."""


def span(ratio: Range) -> str:
    """Give a ratio as "1.12 (1.02 to 1.24)"."""
    return f"{ratio:.2f}"


def rests_on(own: ShopHeat) -> str:
    """Give what a shop's ratios rest on, such as "6 readings of 2 jobs"."""
    return f"{counted(own.readings, 'reading')} of {counted(own.jobs, 'job')}"


def own_lines(plan: SequencePlan) -> list[str]:
    """Return what to say of a plan made with a shop's own heat and losses; nothing for the book's."""
    own = plan.own
    if own is None:
        return []
    return [
        f"Planned with your own shop's figures (given by the user, {rests_on(own)}): heat "
        f"{span(own.heat_range)} times the book's, of which the plan takes the hot end; losses "
        f"{span(own.loss_range)} times. The book alone: {span(BOOK.heat_range)} and "
        f"{span(BOOK.loss_range)} (guess). Nine in ten lie within each range."
    ]


def learned_line(learned: Learned) -> str:
    """Return the ratios that one job's readings gave."""
    heat = learned.heat
    if not heat.readings:
        return "Nothing to go by yet: the book's figures stand."
    return (
        f"Heat {span(heat.heat_range)} times the book's, losses {span(heat.loss_range)} times, from "
        f"{counted(heat.readings, 'reading')}; the book alone says {span(BOOK.heat_range)} and "
        f"{span(BOOK.loss_range)}."
    )


def reading_lines(
    readings: Sequence[Reading], learned: Learned, *, display: str = "mm"
) -> list[str]:
    """Return a line for each reading: what it was, what the book gives, what became of it."""

    def shown(celsius: float) -> str:
        return amounts.show(celsius, "temperature", units=display)

    rows = zip(readings, learned.book_c, learned.fitted_c, learned.uses, strict=True)
    return [
        f"{round(one.after_s / 60, 1):g} min: {shown(one.celsius)}; by the book {shown(book)}, by your ratios "
        f"{shown(fitted)}" + ("" if use is Use.USED else f"; {use.value}")
        for one, book, fitted, use in rows
    ]
