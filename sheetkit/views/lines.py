"""The estimate and the order as lines of text, for a terminal."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import fill

from ..base import amounts
from ..base.errors import plain
from ..formulas import hours
from ..job.titles import title
from ..repair.estimate import Estimate
from ..repair.left_out import assumed
from ..sequence.first_look import FirstLook
from ..sequence.plan import SequencePlan
from .heat_words import (
    band_line,
    checked_line,
    ending_line,
    order_waits,
    reckoned_lines,
    strip_lines,
)
from .place_words import excess_lines, near_edge_lines, place_lines
from .shop_words import UNVALIDATED, own_lines
from .summary import ROUTES, summary
from .words import before_the_arc, minutes, named, waits

ORIGINS = {
    "P": "published",
    "M": "published from memory",
    "D": "derived",
    "C": "common practice",
    "G": "guess",
    "U": "given by the user",
}
"""The letters that say in print what a figure rests on."""


def _letters(origins: str) -> str:
    """Give "derived, guess" as "DG"."""
    return "".join(letter for letter, words in ORIGINS.items() if words in origins.split(", "))


def _wrapped(text: str) -> str:
    return fill(text, 98, initial_indent="  ", subsequent_indent="    ", break_on_hyphens=False)


def estimate_lines(result: Estimate, *, display: str = "mm") -> Iterator[str]:
    """Yield the estimate as lines of text."""
    yield plain(result.job.title) or "Untitled job"
    legend = ", ".join(f"{letter} {words}" for letter, words in ORIGINS.items())
    yield _wrapped(f"After each line, what it rests on: {legend}.")
    for name, amount, span, origin in summary(result, display=display):
        yield f"  {name:<38} {amount:<24} {span:<27} {_letters(origin)}"
    yield _wrapped(ROUTES)
    left_out = assumed(result, display=display)
    if left_out:
        yield "Taken for what the job leaves open"
    for name, taken, origin in left_out:
        yield f"  {title(name):<38} {taken:<52} {_letters(origin)}"
    yield "Hours by step"
    for row in hours.by_step(result.parts("hours_h"), result.spans):
        yield f"  {row['step']:<38} {row['hours']:.2f} h{'':<16} {row['low']:.2f} to {row['high']:.2f} h"
    yield _wrapped(
        "Likely is the middle: half of such repairs take longer; one in ten takes less than the "
        "low, one in ten more than the high. A setting's range is its table's. "
        + (
            f"The hours stand {waits(result)} between welds."
            if result.by_plan
            else f"The hours stand {waits(result)} between welds; an order planned for this job "
            "has its own."
        )
    )
    yield f"  The arc burns for {100 * result.range('arc_on_share').likely:.1f} % of the hours."
    yield "Before the first arc"
    yield from map(_wrapped, before_the_arc(result))
    yield "Cautions"
    for caution in result.cautions(display):
        yield _wrapped(f"- {plain(str(caution))}")


def first_look_words(look: FirstLook) -> str:
    """Return what a first look says, in one line: for what it is good and for what it isn't."""
    begin = ", ".join(str(stitch + 1) for stitch in look.order[:5])
    return (
        f"first look, on large cells and not checked: {named(look.method)}, "
        f"{minutes(look.total_s)}, stitches {begin}{' …' if len(look.order) > 5 else ''}"
    )


def bound_line(order: SequencePlan) -> str:
    """Return what no order can be shorter than, and what this one takes; only what is proven."""
    looked = order.least_total_s > order.no_wait_bound_s
    by = (
        f"by all orders, on cells of {order.grid_mm:.0f} mm"
        if looked
        else "by arcs and moves alone"
    )
    return (
        f"no order of these welds can be shorter than {minutes(order.least_total_s)} ({by}); "
        f"this one takes {minutes(order.total_s)}"
    )


def sequence_lines(result: Estimate, order: SequencePlan, *, display: str = "mm") -> Iterator[str]:
    """Yield the order of tacks and stitches with their waits as lines of text."""

    def degrees(celsius: float) -> str:
        return amounts.show(celsius, "temperature", units=display)

    yield plain(result.job.title) or "Untitled job"
    if order.tack_order:
        yield (
            f"  Tacks first, in this order ({minutes(order.tack_s)}): "
            + " ".join(str(i + 1) for i in order.tack_order)
        )
    yield f"  Then the fill, {named(order.method)}: {minutes(order.total_s)} in all"
    yield (
        f"  (once round, by the same limit, takes {minutes(order.loop_total_s)}; with no wait "
        f"at all {minutes(order.no_wait_bound_s)})"
    )
    yield _wrapped(bound_line(order))
    if band := band_line(order):
        yield _wrapped(band)
    yield from map(_wrapped, own_lines(order))
    yield from map(_wrapped, reckoned_lines(result, order, display=display))
    for line in place_lines(order, display=display):
        yield _wrapped(str(line))
    yield from map(_wrapped, excess_lines(order, display=display))
    yield from map(_wrapped, near_edge_lines(order, display=display))
    yield "  turn  stitch  patch  wait before it (low to high)  sheet there before it"
    waits = order_waits(order)
    turns = zip(order.order, waits, order.peak_before_start_c, strict=True)
    for turn, (stitch, wait, before) in enumerate(turns, 1):
        yield (
            f"  {turn:>4}  {stitch + 1:>6}  {order.patch[stitch] + 1:>5}  {wait:>28}  "
            f"{degrees(before):>21}"
        )
    yield _wrapped(
        f"The waits keep the sheet under {degrees(result.job.weld.interpass_limit)} before each "
        "start, by a heat-flow model of the sheet. Heat input, sheet and air differ by a fifth or "
        f"more in a shop: touch with a thermometer and wait on what it reads. {UNVALIDATED}"
    )
    if checked := checked_line(order, display=display):
        yield _wrapped(checked)
    yield from map(_wrapped, strip_lines(order, display=display))
    yield _wrapped(ending_line(order, display=display))
    yield from map(_wrapped, before_the_arc(result, order))
    yield _wrapped(
        "A spread order limits heat build-up and burn-through; the weld still shrinks as it "
        "cools, and no order makes a panel stay flat."
    )
