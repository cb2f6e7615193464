"""What the order does to the places that must stay cool, in words a welder can act on."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from math import isfinite

from ..base import amounts
from ..base.errors import plain
from ..base.tables import limit
from ..repair.place_cautions import WHAT_TO_DRAW, flammable
from ..sequence.places import PlacePeak
from ..sequence.plan import SequencePlan
from .order_listing import degree_unit, degrees
from .words import minutes

MOST_TOLD_C = 400.0
"""Close to a weld the figure hangs on the grid; hotter than this is only said to be hotter."""
EXCESS_TOLD_K = 1.0
"""An excess on the finer grid is told from here on."""


LEAST_RATIO_S = 10.0
"""Of shorter waits nobody needs to hear how many times longer they get."""


@dataclass(frozen=True)
class PlaceLine:
    """A sentence or two about one place; `hot`: it gets hotter than it may; `short` for labels."""

    text: str
    hot: bool
    short: str

    def __str__(self) -> str:
        return f"TOO HOT: {self.text}" if self.hot else self.text


def told_apart(names: Iterable[str]) -> list[str]:
    """Return names with " (2)", " (3)" ... behind those that were there before."""
    names, found = list(names), []
    taken, count = set(names), Counter[str]()
    for name in names:
        count[name] += 1
        own = name
        while count[name] > 1 and (own := f"{name} ({count[name]})") in taken:
            count[name] += 1
        taken.add(own)
        found.append(own)
    return found


def place_lines(plan: SequencePlan, *, display: str = "mm") -> list[PlaceLine]:
    """Return a line for each place, in the order of `plan.protected`."""
    names = told_apart(place.name for place in plan.protected)
    without = ""
    if plan.total_s > 1.05 * plan.unheld_total_s:
        without = f" (without such places this order takes {minutes(plan.unheld_total_s)})"
    return [
        _line(plain(name), place, display, without)
        for name, place in zip(names, plan.protected, strict=True)
    ]


def _line(name: str, place: PlacePeak, display: str, without: str) -> PlaceLine:
    def shown(celsius: float) -> str:
        if celsius > MOST_TOLD_C:
            return f"over {amounts.show(MOST_TOLD_C, 'temperature', units=display)}"
        return amounts.show(celsius, "temperature", units=display)

    peak, limit = shown(place.peak_c), shown(place.limit_c)
    off = flammable(place.name)
    remedy = "Take it off" if off else "Take it off, move it or shield it"
    if not place.over:
        waits = (
            f"the waits allow for it{without}: measure there as well as at the weld."
            if place.held
            else f"the waits don't allow for it: {'take it off before welding' if off else 'shield it'}."
        )
        return PlaceLine(f"{name}: {peak} reckoned, limit {limit}; {waits}", False, "")
    words = f"{name}: {peak} reckoned, over its limit of {limit}. "
    alone = f"One weld alone takes it to {shown(place.alone_c)}"
    if place.beyond_waiting:
        words += f"{alone}: no wait can help. "
    else:
        words += f"{alone}. " if place.held else f"{alone}; the waits don't allow for it. "
    words += f"{remedy} before welding."
    return PlaceLine(words, True, f"{peak}, limit {limit}")


def excess_lines(plan: SequencePlan, *, display: str = "mm") -> list[str]:
    """Return what to say of starts that a finer grid finds over the limit, if that is much."""
    if not plan.verified_excess_c > EXCESS_TOLD_K:
        return []
    kelvin = degrees(plan.verified_excess_c, display) - degrees(0.0, display)
    return [
        f"On a finer grid some starts come out {kelvin:.0f} {degree_unit(display)} over the limit: "
        "wait longer, by the thermometer."
    ]


def near_edge_lines(plan: SequencePlan, *, display: str = "mm") -> list[str]:
    """Return what an edge that nobody drew would do to this order's waits; nothing where it is drawn."""
    near = plan.band.on_least
    if near is None:
        return []
    row = limit("sheet_beyond_cut")
    beyond, planned = (
        amounts.show(mm, "length", units=display) for mm in (row.low or row.value, row.value)
    )
    waits = near.total_s - plan.no_wait_bound_s
    if not isfinite(waits):
        longer = f"it never cools to {degrees(plan.interpass_limit_c, display):.0f} {degree_unit(display)}"
    else:
        longer = f"the waits take {minutes(waits)}, not {minutes(plan.waits.likely)}"
        if plan.waits.likely > LEAST_RATIO_S:
            longer += f": {waits / plan.waits.likely:.1f} times as long"
    over = degrees(near.excess_k, display) - degrees(0.0, display)
    hot = f"starts by the clock come out up to {over:.0f} {degree_unit(display)} over the limit"
    return [
        f"AN EDGE NEARER THAN {planned} TO THE CUT? None is drawn. Where the sheet ends "
        f"{beyond} beyond it all round, {longer}; {hot} (derived). Draw it {WHAT_TO_DRAW} and plan "
        "again, or wait by the thermometer alone."
    ]


def hot_lines(plan: SequencePlan, *, display: str = "mm") -> list[str]:
    """Return what must be read before the order is followed."""
    hot = [str(line) for line in place_lines(plan, display=display) if line.hot]
    return hot + excess_lines(plan, display=display) + near_edge_lines(plan, display=display)
