"""The order on paper: tacks by rounds, the fill with its waits, why it waits, where to measure."""

from __future__ import annotations

from collections.abc import Iterator

from ..base import amounts
from ..base.showing import Number
from ..repair.estimate import Estimate
from ..sequence.plan import SequencePlan
from ..views.order_listing import degree_unit, degrees
from ..views.place_words import hot_lines, told_apart
from ..views.words import minutes
from .bench_page import rounds
from .blocks import Block, Paragraph, Table, Ticks

BENCH_PT = 13.0
"""Read at arm's length with a helmet up."""
GLOVE_MM = 9.5
"""As high as a row must be to be written in with a glove (guess)."""
NO_WAIT_S = 0.5
REACHED_K = 0.5
"""A start whose place is so near to the limit waited for that place."""


def waits_for(plan: SequencePlan) -> list[str]:
    """Return what each turn waits for: "" nothing, "seam", or "P1", the first held place.

    A start waits for its own place until that is at the limit; one that is cooler and
    waits still is held by a place that must stay cool.
    """
    held = [f"P{n}" for n, place in enumerate(plan.protected, 1) if place.held]
    found = []
    tacks = len(plan.tack_order)
    for index, wait, warm in zip(plan.order, plan.wait_s, plan.peak_before_start_c, strict=True):
        limit = plan.interpass_limit_c - plan.held.less_k[tacks + index]
        if wait < NO_WAIT_S:
            found.append("")
        elif warm >= limit - REACHED_K or not held:
            found.append("seam")
        else:
            found.append(" or ".join(held))
    return found


def order_table(result: Estimate, plan: SequencePlan, display: str) -> Table:
    """Return the fill in its order, a box to tick before each turn."""
    degree, turns = degree_unit(display), enumerate(plan.order, 1)
    several = len(result.patches) > 1
    rows: list[tuple[str | Number, ...]] = [
        (
            Number(turn, str(turn)),
            *([Number(plan.patch[index] + 1, str(plan.patch[index] + 1))] if several else []),
            Number(round(wait, 1), f"{wait:.0f} s" if wait >= NO_WAIT_S else "–"),
            place,
            "",
        )
        for (turn, index), wait, place in zip(turns, plan.wait_s, waits_for(plan), strict=True)
    ]
    heads = ("Turn", *(["Patch"] if several else []), "Wait", "At", degree)
    widths = (15, *([17] if several else []), 18, 17, 19)
    return Table(
        "order", heads, rows, widths, tick=True, size=12.0, least_mm=GLOVE_MM, pad_mm=0.8,
        abreast=2,
    )  # fmt: skip


def order_file(result: Estimate, plan: SequencePlan, display: str) -> Table:
    """Return the fill in its order as a file holds it: with what must be read before the first turn."""
    degree = degree_unit(display)
    heed = " ".join(hot_lines(plan, display=display))
    names = dict(
        zip((f"P{n}" for n in range(1, len(plan.protected) + 1)), _names(plan), strict=True)
    )
    rows = []
    turns = zip(
        plan.order,
        plan.wait_s,
        plan.start_s,
        plan.peak_before_start_c,
        waits_for(plan),
        strict=True,
    )
    for turn, (index, wait, start, warm, place) in enumerate(turns, 1):
        rows.append(
            (
                Number(turn, str(turn)),
                Number(plan.patch[index] + 1, str(plan.patch[index] + 1)),
                Number(round(wait, 1), f"{wait:.0f}"),
                Number(round(start, 1), f"{start:.0f}"),
                Number(round(degrees(warm, display)), f"{degrees(warm, display):.0f}"),
                " or ".join(names.get(one, one) for one in place.split(" or ")),
                "",
                heed if turn == 1 else "",
            )
        )
    heads = ("Turn", "Patch", "Wait, s", "Start, s", f"Reckoned, {degree}", "Measure at",
             f"Measured, {degree}", "Heed before the first turn")  # fmt: skip
    return Table("order", heads, rows, (10, 10, 14, 20, 22, 24, 24, 120))


def tacks_file(result: Estimate, plan: SequencePlan) -> Table:
    """Return the tacks in their order, by rounds, as a file holds them."""
    turn, rows = 0, []
    for number, one in enumerate(rounds(plan), 1):
        for index in one:
            turn += 1
            patch = result.tacks[index].patch + 1
            rows.append(tuple(Number(n, str(n)) for n in (turn, number, patch)))
    return Table("tacks", ("Tack", "Round", "Patch"), rows, (10, 10, 10))


def _names(plan: SequencePlan) -> list[str]:
    return told_apart(place.name for place in plan.protected)


def where_to_measure(result: Estimate, plan: SequencePlan, display: str) -> list[str]:
    """Return what the column of the order means, for the places this order waits for."""
    limit = amounts.show(result.job.weld.interpass_limit, "temperature", units=display)
    told = [
        "At: where the thermometer is held, which is what the turn waits for; last column: what it reads. –: no wait, go on when you are there."
    ]
    if not any(waits_for(plan)):
        told.append("By the reckoning no turn has to wait; measure all the same.")
    told += [
        f"seam: the sheet is still warm there. Hold the thermometer where this turn's weld goes: "
        f"start under {limit}."
    ]
    for number, (name, place) in enumerate(zip(_names(plan), plan.protected, strict=True), 1):
        at = amounts.show(place.limit_c, "temperature", units=display)
        if place.held:
            told.append(
                f"P{number}: {name} must stay under {at}. Hold the thermometer on it, at its nearest "
                "to this turn's weld, before and after."
            )
        else:
            told.append(f"{name} holds no wait: it is taken off, moved or shielded first.")
    return told


def tack_blocks(result: Estimate, plan: SequencePlan) -> Iterator[Block]:
    """Yield the tacks by rounds, with a box each, and what to do after each round."""
    if not plan.tack_order:
        return
    yield Paragraph(f"Tacks first (about {minutes(plan.tack_s)}):", BENCH_PT, True)
    several, turn = len(result.patches) > 1, 0
    for number, one in enumerate(rounds(plan), 1):
        names = []
        for index in one:
            turn += 1
            names.append(f"T{turn}" + (f" ({result.tacks[index].patch + 1})" if several else ""))
        after = "then check the fit all round" if number < len(rounds(plan)) else "then the fill"
        yield Paragraph(f"Round {number}, {after}:", 11, True)
        yield Ticks(names, 6 if several else 8, BENCH_PT)
    if several:
        yield Paragraph("In brackets: the patch.", 10)


def fill_blocks(result: Estimate, plan: SequencePlan, display: str) -> Iterator[Block]:
    """Yield the fill's order with its waits."""
    yield Paragraph("\n".join(where_to_measure(result, plan, display)), 11)
    yield order_table(result, plan, display)
