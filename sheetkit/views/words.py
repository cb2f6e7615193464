"""The words screens and pages have in common: processes, times, totals, names of figures."""

from __future__ import annotations

import re

from ..base import amounts, units
from ..base.errors import plain
from ..repair.estimate import Estimate
from ..repair.known_heat import known_heat
from ..repair.machine_load import machine_load
from ..sequence.plan import SequencePlan

_ENDINGS = (
    ("_hours_per_job", ", h per job"),
    ("_hours_per_patch", ", h per patch"),
    ("_hours_per_metre", ", h/m"),
    ("_rate_per_h", " rate, a h"),
    ("_ml_per_m", ", ml/m"),
    ("_price_per_kg", " price, a kg"),
    ("_price_per_ml", " price, a ml"),
    ("_per_m3", ", a m³"),
    ("_per_m", ", a metre"),
    ("_l_min", ", l/min"),
    ("_mm_min", ", mm/min"),
    ("_mm", ", mm"),
    ("_s", ", s"),
    ("_l", ", l"),
    ("_g", ", g"),
    ("_h", ", h"),
    ("_a", ", A"),
    ("_v", ", V"),
)
_WORDS = {
    "hidden_rust_share": "hidden rust, share of work",
    "hours_h": "hours, h",
    "gas_real_l": "gas, l",
    "wire_bought_g": "wire, g",
}


def words(name: str) -> str:
    """Give an input's or figure's name in words, with its unit."""
    if name in _WORDS:
        return _WORDS[name]
    for ending, unit in _ENDINGS:
        if name.endswith(ending):
            return name.removesuffix(ending).replace("_", " ") + unit
    return name.replace("_", " ")


_METHODS = {
    "loop": "once round",
    "van der Corput": "halving what is left",
    "branch and bound": "the best of all orders",
    "annealed": "bettered by trying swaps",
    "polished": "bettered by small moves",
    "round and round": "again and again",
    "opposite": "from side to side",
}
_NAMES = re.compile(r"\b[a-z][a-z0-9]*(?:_[a-z0-9]+)+\b")


def named(method: str) -> str:
    """Return what a planner's method is called on screen."""
    said = (_METHODS.get(part, part) for part in method.split(", "))
    return re.sub(
        r"\bskip (\d+)", lambda found: f"every {_ordinal(int(found[1]))}", ", ".join(said)
    )


def spoken(text: str) -> str:
    """Return a text with the names of inputs and figures in words, without their units."""
    text = re.sub(r'explain\("[a-z0-9_]+"\)', "worked out by itself", text)
    return _NAMES.sub(lambda found: words(found[0]).split(",")[0], text)


def _ordinal(number: int) -> str:
    """Give 3 as "3rd"."""
    ending = {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{'th' if 10 < number % 100 < 14 else ending}"


def minutes(seconds: float) -> str:
    """Give a time as "45 s", "2 min 13 s", "12 min" or "1 h 05 min"."""
    if seconds < 90:
        return f"{seconds:.0f} s"
    if seconds < 599.5:
        return f"{round(seconds) // 60} min {round(seconds) % 60:02d} s"
    total = round(seconds / 60)
    return f"{total} min" if total < 60 else f"{total // 60} h {total % 60:02d} min"


def thickness(result: Estimate, display: str) -> str:
    """Give the sheet's thickness with its unit, and the gauge if that was given."""
    given = result.job.data["sheet"]["thickness"]
    shown = amounts.show(result.job.sheet.thickness, "thickness", units=display)
    gauge = units.gauge(given) if isinstance(given, str) else None
    return f"{shown} ({gauge} gauge, Manufacturers' Standard)" if gauge else shown


def waits(result: Estimate) -> str:
    """Say which waits between welds the hours hold: the usual ones, or those of the job's plan."""
    return "with its plan's own waits" if result.by_plan else "with the usual waits"


def totals(result: Estimate) -> list[tuple[str, str, str, str]]:
    """Return (words, figure, amount with unit, how far it can differ) for hours and cost."""
    kinds = (("Hours", "hours_h", 1, "h"), ("Cost", "cost", 0, plain(result.job.shop.currency)))
    return [
        (
            words,
            figure,
            f"{span.likely:.{digits}f} {unit}",
            f"{span.low:.{digits}f} to {span.high:.{digits}f} {unit}, {waits(result)}",
        )
        for words, figure, digits, unit in kinds
        for span in (result.range(figure),)
    ]


def before_the_arc(result: Estimate, order: SequencePlan | None = None) -> list[str]:
    """Return what is told before the first arc: the heat beside known ones, and the machine."""
    return [str(known_heat(result.job, result.values)), str(machine_load(result, order))]
