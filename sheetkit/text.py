"""An estimate and a sequence as lines of text: for the terminal and for plain reading."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from html import escape
from textwrap import fill

from . import labour, tables, units
from .assumed import assumed
from .errors import plain
from .estimate import Estimate
from .patch import blank_size, mass
from .sequence import SequencePlan

PROCESSES = {
    "135": "135 MIG/MAG, solid wire",
    "136": "136 MIG/MAG, flux-cored",
    "114": "114 flux-cored, gasless",
    "141": "141 TIG",
}
"""What the process numbers of ISO 4063 are called on screens and pages."""


def named(method: str) -> str:
    """Return what a planner's method is called on screen."""
    plain = {"loop": "once round", "van der Corput": "halving", "branch and bound": "best of all"}
    return plain.get(method, method.replace("annealed", "searched"))


class Table:
    """Rows to stand at the end of a notebook cell, as a table or as plain text.

    `rows` are mappings of one set of keys (the heads), or sequences with `columns`.
    """

    def __init__(self, rows: Iterable, columns: Sequence[str] = ()):
        rows = list(rows)
        self.columns = list(columns) or list(rows[0])
        self.rows = [
            [str(v) for v in (row.values() if isinstance(row, Mapping) else row)] for row in rows
        ]

    def _repr_html_(self) -> str:
        head = "".join(f'<th style="text-align:left">{escape(c)}</th>' for c in self.columns)
        body = "".join(
            "<tr>" + "".join(f'<td style="text-align:left">{escape(v)}</td>' for v in row) + "</tr>"
            for row in self.rows
        )
        return f"<table><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"

    def __repr__(self) -> str:
        return "\n".join(" | ".join(row) for row in [self.columns, *self.rows])


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
    shown = units.show(result.job.sheet.thickness, "thickness", units=display)
    gauge = units.gauge(given) if isinstance(given, str) else None
    return f"{shown} ({gauge} gauge, Manufacturers' Standard)" if gauge else shown


def totals(result: Estimate) -> list[tuple[str, str, str, str]]:
    """Return (words, figure, amount with unit, how far it can differ) for hours and cost."""
    kinds = (("Hours", "hours_h", 1, "h"), ("Cost", "cost", 0, plain(result.job.shop.currency)))
    return [
        (
            words,
            figure,
            f"{span.likely:.{digits}f} {unit}",
            f"{span.low:.{digits}f} to {span.high:.{digits}f} {unit}",
        )
        for words, figure, digits, unit in kinds
        for span in (result.range(figure),)
    ]


SUMMARY = ("what", "amount", "how far it can differ", "rests on")


def summary(result: Estimate, *, display: str = "mm") -> list[tuple[str, str, str, str]]:
    """Return a row under the heads `SUMMARY` for every result."""
    values, job = result.values, result.job

    def show(name: str, kind: str, digits: int | None = None) -> tuple[str, str, str]:
        low, high = result.spans[name]
        ends = (units.show(max(v, 0.0), kind, units=display, digits=digits) for v in (low, high))
        span = "" if high - low < 1e-9 else " to ".join(ends)
        shown = units.show(values[name], kind, units=display, digits=digits)
        return shown, span, result.rests_on(name)

    energy_unit = ("kJ/in", 25.4) if display == "in" else ("kJ/mm", 1.0)

    def energy(name: str) -> tuple[str, str, str]:
        unit, scale = energy_unit
        low, high = result.spans[name]
        return (
            f"{values[name] * scale:.3f} {unit}",
            f"{low * scale:.3f} to {high * scale:.3f} {unit}",
            result.rests_on(name),
        )

    def count(name: str, number: float) -> tuple[str, str, str]:
        return f"{number:.0f}", "", result.rests_on(name)

    size = units.show
    rows = [("Sheet", thickness(result, display), "", result.rests_on("thickness_mm"))]
    for number, patch in enumerate(result.patches, 1):
        sides = " × ".join(size(s, "length", units=display) for s in blank_size(patch.blank))
        rows.append(
            (
                f"Patch {number}: blank",
                f"{sides}, {size(mass(patch.blank.area, job.sheet.thickness), 'mass', units=display)}",
                "",
                result.rests_on("blank_mass_g"),
            )
        )
    rows += [
        ("Cut line", *show("cut_length_mm", "length")),
        ("Seam", *show("seam_length_mm", "length")),
        ("Tacks", *count("tack_count", len(result.tacks))),
    ]
    kinds = {"stitch": "Stitches", "dots": "Groups of dots", "plug": "Plug welds"}
    for kind in sorted({weld.kind for weld in result.welds}):
        number = sum(w.kind == kind for w in result.welds)
        rows.append((kinds[kind], *count("weld_count", number)))
    if values["dot_count"]:
        rows.append(("Dots", *count("dot_count", values["dot_count"])))
    rows += [
        ("Current", *show("current_a", "current", 0)),
        ("Voltage", *show("voltage_v", "voltage", 1)),
        ("Travel speed", *show("travel_mm_min", "speed")),
        ("Wire diameter", *show("wire_diameter_mm", "wire")),
    ]
    if "wire_feed_m_min" in values:
        rows.append(("Wire-feed speed", *show("wire_feed_m_min", "feed")))
    rows += [
        ("Arc energy (U I / v)", *energy("arc_energy_kj_per_mm")),
        ("Heat input (k U I / v)", *energy("heat_input_kj_per_mm")),
        (
            "Arc time",
            minutes(values["arc_time_s"]),
            " to ".join(minutes(v) for v in result.spans["arc_time_s"]),
            result.rests_on("arc_time_s"),
        ),
        ("Weld metal", *show("deposit_g", "mass")),
        ("Wire, by the joint's volume", *show("wire_g", "mass")),
    ]
    if "wire_by_feed_g" in values:
        rows.append(("Wire, by wire-feed speed × arc time", *show("wire_by_feed_g", "mass")))
    if "gas_real_l" in values:
        rows += [
            ("Gas, arc alone", *show("gas_arc_l", "volume")),
            ("Gas, with pre-flow, post-flow, surge", *show("gas_real_l", "volume")),
        ]
    if "cylinder_left_l" in values:
        rows.append(
            (
                "Left in the cylinder",
                *show("cylinder_left_l", "volume", 0 if display == "mm" else 1),
            )
        )
    rows += [(words, *shown, result.rests_on(name)) for words, name, *shown in totals(result)]
    shade = tables.lens_shade(job.weld.process, values["current_a"])
    rows.append(("Lens shade, at least", f"{result.lens_shade_min}", "", shade.status))
    return rows


ROUTES = (
    "The two wire figures differ because they ask different questions: the joint's volume gives "
    "what a joint of just this gap and cap holds; wire-feed speed × arc time gives what the machine "
    "feeds at this current and travel, into a bigger bead, spatter and tacks. Buy by the larger."
)


ORIGINS = {
    "P": "published",
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
        yield "Taken for what the job leaves out"
    for name, taken, origin in left_out:
        yield f"  {name:<38} {taken:<52} {_letters(origin)}"
    yield "Hours by step"
    for row in labour.by_step(result.values, result.spans):
        yield f"  {row['step']:<38} {row['hours']:.2f} h{'':<16} {row['low']:.2f} to {row['high']:.2f} h"
    yield f"  The arc burns for {100 * result.values['arc_on_share']:.1f} % of the hours."
    yield "Cautions"
    for caution in result.cautions(display):
        yield _wrapped(f"- {plain(str(caution))}")


def sequence_lines(result: Estimate, order: SequencePlan, *, display: str = "mm") -> Iterator[str]:
    """Yield the order of tacks and stitches with their waits as lines of text."""

    def degrees(celsius: float) -> str:
        return units.show(celsius, "temperature", units=display)

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
    yield "  turn  stitch  patch  wait before it  sheet there before it"
    turns = zip(order.order, order.wait_s, order.peak_before_start_c, strict=True)
    for turn, (stitch, wait, before) in enumerate(turns, 1):
        yield (
            f"  {turn:>4}  {stitch + 1:>6}  {order.patch[stitch] + 1:>5}  {wait:>12.0f} s  "
            f"{degrees(before):>21}"
        )
    yield _wrapped(
        f"The waits keep the sheet under {degrees(result.job.weld.interpass_limit)} before each "
        "start, by a heat-flow model of the sheet. Heat input, sheet and air differ by a fifth or "
        "more in a shop: touch with a thermometer and wait on what it reads."
    )
    yield _wrapped(
        "A spread order limits heat build-up and burn-through; the weld still shrinks as it "
        "cools, and no order makes a panel stay flat."
    )
