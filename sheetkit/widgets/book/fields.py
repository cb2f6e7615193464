"""What the form for a finished job asks, with the book's own figures as hints."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from ...base import amounts
from ...base.errors import Fault, SheetkitError, shown
from ...base.showing import sensible_digits
from ...base.units import parse
from ...formulas.gas import content_l
from ...formulas.hours import STEPS
from ...formulas.settings import gas_group
from ...repair.estimate import Estimate
from ...workshop.log import LIMITS

HOURS, USED, NOTE = "Hours", "Wire, gas and discs", "When, and what to remember"
GROUPS = (NOTE, HOURS, USED)
_CLOCK = re.compile(r"(\d{1,3}):([0-5]?\d)|(\d{1,3})\s*h\s*([0-5]?\d)(?:\s*min)?")
_COMMA = re.compile(r"(\d),(\d)")


@dataclass(frozen=True)
class Asked:
    """One thing the form asks.

    figure : the book's figure that is its hint; kind : of amount, as `amounts` calls it
    dimension : as `units` calls it; empty for a count of discs, and for a text
    """

    name: str
    label: str
    group: str
    figure: str = ""
    kind: str = ""
    dimension: str = ""

    def unit(self, display: str) -> str:
        """Return the unit of a number without one."""
        if self.kind:
            return amounts.converted(0.0, self.kind, units=display)[1]
        return "h" if self.group == HOURS else ""


def _hours() -> tuple[Asked, ...]:
    words = {name: f"{label[0].upper()}{label[1:]}" for name, label in STEPS.items()}
    return tuple(Asked(n, label, HOURS, n, "", "duration") for n, label in words.items())


ASKED = {
    asked.name: asked
    for asked in (
        Asked("date", "Day it was finished", NOTE),
        Asked("note", "Note", NOTE),
        *_hours(),
        Asked("wire_g", "Wire or rod used", USED, "wire_bought_g", "filler", "mass"),
        Asked("pressure_before_bar", "Gauge before", USED, "", "pressure", "pressure"),
        Asked("pressure_after_bar", "Gauge after", USED, "gas_real_l", "pressure", "pressure"),
        Asked("bottle_before_c", "Bottle's warmth before", USED, "", "temperature", "temperature"),
        Asked("bottle_after_c", "Bottle's warmth after", USED, "", "temperature", "temperature"),
        Asked("cutting_discs", "Cutting discs worn", USED, "cutting_discs"),
        Asked("flap_discs", "Flap discs worn", USED, "flap_discs"),
    )
}
_OF_FIGURE = {"wire_bought_g": "wire_g", "gas_real_l": "pressure_after_bar"}
_PLAIN = {"job": "Job", "entry": "Entry"}


def field_of(name: str) -> str:
    """Return the form's field that a log's or a book's figure stands in."""
    return _OF_FIGURE.get(name, name)


def words(fault: Fault) -> str:
    """Return a fault as its user reads it: which field, what it holds, its limit, what to do."""
    name = field_of(fault.field)
    label = ASKED[name].label if name in ASKED else _PLAIN.get(name, name)
    return f"{label}: {fault.value}; {fault.limit}; {fault.remedy}"


def read(name: str, text: str, display: str) -> float:
    """Return what was typed into a field, in the log's unit.

    Hours may be written as 1.5, 1,5, 1:30, 1 h 30 or 90 min; everything with its unit.

    Raises
    ------
    SheetkitError
        It can't be read as such.
    """
    asked = ASKED[name]
    text = _COMMA.sub(r"\1.\2", text.strip())
    if asked.group == HOURS and (clock := _CLOCK.fullmatch(text)):
        hours, minutes = (part for part in clock.groups() if part is not None)
        return int(hours) + int(minutes) / 60
    if asked.dimension:
        bare = {"°C": "degC", "°F": "degF", "h": None}.get(unit := asked.unit(display), unit)
        return parse(text, asked.dimension, field=name, bare=bare)
    try:
        return float(text)
    except ValueError:
        fault = Fault(name, shown(text), f"must be a number of {LIMITS[name][1]}", "write 2 or 0.5")
        raise SheetkitError(fault) from None


def hints(result: Estimate, typed: dict[str, float], display: str) -> dict[str, dict[str, Any]]:
    """Return of each field what the book says: `hint` to stand in the empty box, `note` under it.

    A field that this job can't fill is `off`, and says why.
    """
    told: dict[str, dict[str, Any]] = {}
    for name, asked in ASKED.items():
        told[name] = {"unit": asked.unit(display), "hint": "", "note": "", "off": False}
        if asked.figure and name != "pressure_after_bar":
            if not result.values.get(asked.figure):
                told[name]["note"] = "the book has none for this job"
                continue
            span = result.range(asked.figure)
            ends = [_shown(end, asked, display) for end in (span.likely, span.low, span.high)]
            origin = result.rests_on(asked.figure)
            told[name] |= {"hint": ends[0], "note": f"by the book {ends[1]} to {ends[2]}; {origin}"}
    told["date"]["note"] = "such as 2024-05-31"
    told["note"] |= {"hint": "more rust under the sealer", "note": "whatever made it unusual"}
    return told | _of_the_bottle(result, typed, told, display)


def _shown(value: float, asked: Asked, display: str) -> str:
    if asked.kind:
        value = amounts.converted(value, asked.kind, units=display)[0]
    return f"{value:.{sensible_digits(value, 2)}f}"


def _of_the_bottle(
    result: Estimate, typed: dict[str, float], told: dict[str, dict[str, Any]], display: str
) -> dict[str, dict[str, Any]]:
    """Return the hints for gauge and bottle: where it ends if the book is right."""
    job = result.job
    group = gas_group(job.weld.process, job.weld.gas)
    names = ("pressure_before_bar", "pressure_after_bar", "bottle_before_c", "bottle_after_c")
    found = {name: dict(told[name]) for name in names}
    if group not in ("I1", "M20", "M21"):
        why = "no gas is used" if group == "none" else "CO2 is liquid: weigh the bottle instead"
        for row in found.values():
            row.update(off=True, note=why)
        return found
    bottle = job.shop.cylinder
    before = typed.get("pressure_before_bar")
    start = bottle.pressure if before is None else before

    def show(bar: float) -> str:
        return amounts.show(max(bar, 0.0), "pressure", units=display).split()[0]

    span = result.range("gas_real_l")
    a_bar = content_l(bottle.water_volume, 100.0, 15.0, gas=group) / 100
    ends = [start - litres / a_bar for litres in (span.likely, span.high, span.low)]
    given = job.given("shop.cylinder")
    found[names[0]] |= {
        "hint": show(bottle.pressure),
        "note": "as the job says" if given else "a full bottle, assumed",
    }
    litres = " to ".join(
        amounts.show(end, "volume", units=display, digits=1 if display == "in" else 0)
        for end in (span.low, span.high)
    )
    found[names[1]] |= {
        "hint": show(ends[0]),
        "note": f"by the book {show(ends[1])} to {show(ends[2])}: {litres} less; "
        + result.rests_on("gas_real_l"),
    }
    warmth = amounts.show(15.0, "temperature", units=display)
    for name in names[2:]:
        found[name] |= {"hint": warmth.split()[0], "note": f"left empty: {warmth} is taken"}
    return found
