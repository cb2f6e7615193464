"""The work sheet: maps, settings, coupon, order with boxes to tick, shopping list, cautions."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from ..base import amounts, tables
from ..base.showing import Number, sensible_digits
from ..formulas.settings import gas_group
from ..job.titles import PROCESSES, choice, title
from ..repair.cautions import helmet
from ..repair.estimate import Estimate
from ..repair.left_out import assumed
from ..sequence.plan import SequencePlan
from ..views.heat_words import (
    STRIP_ADVICE,
    band_line,
    checked_line,
    ending_line,
    reckoned_lines,
)
from ..views.place_words import excess_lines, hot_lines, near_edge_lines, place_lines
from ..views.shop_words import UNVALIDATED, own_lines
from ..views.words import before_the_arc, minutes, named, thickness, waits
from ..workshop.shopping import shopping_list
from .blocks import Block, Heading, NewPage, Paragraph, Picture, Table, Ticks
from .heat_map import heat_page, strips_table
from .stitch_map import map_pages

BENCH_PT = 13.0
"""Read at arm's length with a helmet up."""
COUPON = (
    "Cut two coupons of the same sheet, 50 × 150 mm, ground to bright metal on both faces.",
    "Clamp them with the job's own joint and gap, back as on the vehicle (air or copper).",
    "Start at the settings above; weld one tack, then one stitch. Change one setting at a time.",
    "Turn it over: the seam must show through evenly. Edges still to be seen: too cold. Holes: "
    "too hot, or the gap is too wide.",
    "Bend the coupon on the seam over both faces; drive a chisel into a plug or a lap. The sheet "
    "should tear before the weld lets go.",
    "Write down what worked. Weld the vehicle with the coupon's settings, not with the table's.",
)
STEPS = (
    "Probe the metal round the rust; draw what you find, and work the job out again if it grew.",
    "Battery leads off, negative first; control units near the weld out; fuel, gas and trim away.",
    "Print the pattern, measure the check square, join the sheets on their marks.",
    "Mark the cut line on the panel; brace openings before a sill or floor is cut.",
    "Cut; dress the edges; grind both faces to bright metal 25 mm wide (common practice).",
    "Cut the patch by the pattern, FACE side up; bend, drill, deburr; keep its corner radii.",
    "Fit it, check the gap all round, clamp; remake the piece if the gap is too wide.",
    "Tack in the order of the map; check the fit after each round.",
    "Weld in the order of the map; wait on the thermometer.",
    "Knock down and grind; look for pinholes with a strong light behind; weld those again.",
    "Degrease; epoxy primer on both faces; sealer over primer; top coat; cavity wax last.",
    "Fire watch: stay at least 30 min after the last spark, look at the far side, then look again.",
)


def settings_table(result: Estimate, display: str) -> Table:
    """Return the machine's settings with their range and origin."""
    job, values = result.job, result.values

    def show(name: str, kind: str, digits: int | None = None) -> tuple[str, str, str]:
        row = result.inputs.get(name)
        low, likely, high = (
            amounts.show(v, kind, units=display, digits=digits) for v in result.spans[name]
        )
        origin = row.origin if row else "derived from current and wire"
        return (
            likely,
            "" if low == high else f"{low} to {high}",
            origin,
        )

    gas = job.weld.gas or gas_group(job.weld.process, None)
    rows = [
        ("Process", PROCESSES[job.weld.process], "", "ISO 4063"),
        (
            "Sheet",
            thickness(result, display),
            choice("sheet.coating", job.sheet.coating),
            "the job",
        ),
        ("Current", *show("current_a", "current", 0)),
        ("Voltage", *show("voltage_v", "voltage", 1)),
        ("Wire or rod", *show("wire_diameter_mm", "wire")),
    ]
    if "travel_mm_min" in values:
        rows.append(("Travel", *show("travel_mm_min", "speed")))
    if "wire_feed_m_min" in values:
        rows.append(("Wire feed", *show("wire_feed_m_min", "feed")))
    given = "the job" if job.weld.gas else "the process's usual gas"
    rows.append(("Gas", gas, "", f"ISO 14175; {given}"))
    if "flow_l_min" in values:
        rows += [
            ("Gas flow", *show("flow_l_min", "flow")),
            ("Pre-flow", *show("pre_flow_s", "time")),
            ("Post-flow", *show("post_flow_s", "time")),
        ]
    limit = amounts.show(job.weld.interpass_limit, "temperature", units=display)
    given = (
        "the job"
        if job.given("weld.interpass_limit")
        else "common practice, no source; still too hot to hold"
    )
    rows.append(("Start under", limit, "", given))
    rows.append(("Lens shade", f"{result.lens_shade_min} or darker", "", "29 CFR 1910.133"))
    return Table(
        "settings",
        ("Setting", "First try", "Range", "Where from"),
        rows,
        (16, 25, 27, 56),
        size=10.5,
        most=6,
    )


def order_table(result: Estimate, plan: SequencePlan, display: str) -> Table:
    """Return the fill in its order, a box to tick before each turn."""
    inch = display == "in"
    rows, degree = [], "°F" if inch else "°C"
    reckoned = [c * 1.8 + 32 if inch else c for c in plan.peak_before_start_c]
    for turn, (index, wait, start) in enumerate(
        zip(plan.order, plan.wait_s, plan.start_s, strict=True), 1
    ):
        clock = f"{int(start) // 60}:{int(start) % 60:02d}"
        rows.append(
            (
                Number(turn, str(turn)),
                Number(plan.patch[index] + 1, str(plan.patch[index] + 1)),
                Number(round(wait, 1), f"{wait:.0f} s"),
                Number(round(start, 1), clock),
                Number(round(reckoned[turn - 1], 1), f"{reckoned[turn - 1]:.0f} {degree}"),
                "",
            )
        )
    heads = (
        "Turn",
        "Patch",
        "Wait, s",
        "Start, min:s",
        f"Reckoned, {degree}",
        f"Measured, {degree}",
    )
    return Table("order", heads, rows, (10, 10, 14, 20, 22, 24), tick=True, size=BENCH_PT)


def order_file(result: Estimate, plan: SequencePlan, display: str) -> Table:
    """Return the fill in its order as a file holds it: with what must be read before the first turn."""
    table = order_table(result, plan, display)
    first, *others = table.rows
    heed = " ".join(hot_lines(plan, display=display))
    rows = [(*first, heed), *((*row, "") for row in others)]
    columns, widths = (*table.columns, "Heed before the first turn"), (*table.widths, 120)
    return replace(table, columns=columns, rows=rows, widths=widths)


def shopping_table(result: Estimate, display: str) -> Table:
    """Return what to have at hand: the shopping list, with what is needed and what is to buy."""
    goods = shopping_list(result, display=display)
    rows: list[tuple] = []
    for item in goods:
        need = item.needed(display)
        words = f"{need:.{sensible_digits(need.likely, 2)}f}"
        pack, unit = item.shown(item.pack, display)
        buy = f"{item.packs} × {pack:.3g} {unit}" if item.packs else "enough is there"
        rows.append((item.name, words, Number(item.packs, buy), item.rests_on))
    rows += [(what, amount, "", word) for what, amount, word in goods.besides]
    heads = ("Item", "Needed", "To buy", "Rests on")
    return Table("shopping", heads, rows, (30, 36, 26, 36), tick=True, size=10.5)


def worksheet(
    result: Estimate,
    plan: SequencePlan,
    *,
    paper: str,
    display: str,
    front: str | None = None,
) -> Iterator[Block]:
    """Yield the work sheet's blocks."""
    job, values = result.job, result.values
    yield Heading(job.title or "Untitled job", 18)
    for name, words in (("Vehicle", job.vehicle), ("Customer", job.customer), ("Notes", job.notes)):
        if words:
            yield Paragraph(f"{name}: {words}", most=12)
    seam = amounts.show(values["seam_length_mm"], "length", units=display)
    yield Paragraph(
        f"Seam {seam}; {len(result.tacks)} tacks, {len(result.welds)} welds after them; arc time "
        f"{minutes(result.range('arc_time_s').likely)}; fill with waits {minutes(plan.total_s)} "
        f"(once round, by the same limit: {minutes(plan.loop_total_s)}; no wait at all: "
        f"{minutes(plan.no_wait_bound_s)}).",
        BENCH_PT,
    )
    yield Heading("Before the first cut")
    yield Ticks([str(caution) for caution in result.cautions(display)])
    yield NewPage()
    yield Heading("Settings: a first try on a coupon, never on the vehicle")
    yield settings_table(result, display)
    for words in before_the_arc(result, plan):
        yield Paragraph(words)
    yield Paragraph(
        "Polarity: as the wire's maker says; solid wire is usually electrode positive, flux-cored "
        "wire without gas usually electrode negative (common practice)."
    )
    left_out = [
        f"{title(field)}: {taken} ({origin})"
        for field, taken, origin in assumed(result, display=display)
        if not field.startswith("weld.")  # these stand in the settings and the order
    ]
    if left_out:
        yield Paragraph("Taken for what the job leaves open: " + "; ".join(left_out) + ".")
    yield NewPage()
    yield Heading("Coupon first")
    yield Ticks(COUPON)
    yield Table(
        "coupon log", ("Coupon", "Current, A", "Voltage, V", "Feed", "Flow", "What it showed"),
        [(str(number), *[""] * 5) for number in range(1, 7)], (16, 20, 20, 14, 14, 44),
        least_mm=14,
    )  # fmt: skip
    yield Picture(
        tuple(map_pages(result, plan, paper=paper, display=display, front=front)),
        "map of tacks and stitches in order",
    )
    yield Picture(
        (heat_page(plan, paper=paper, display=display),), "map of how hot each place gets"
    )
    strips = strips_table(result, plan, display)
    if strips.rows:
        yield Heading("How hot it gets beside the seam")
        yield strips
        yield Paragraph(STRIP_ADVICE, BENCH_PT)
    yield Heading("Order of the welds")
    yield Paragraph(
        f"Order: {named(plan.method)}. Tick each one. A wait ends when the thermometer reads under "
        f"{amounts.show(job.weld.interpass_limit, 'temperature', units=display)} there, not when the clock says so: the times are "
        "reckoned by a heat-flow model. A spread order limits heat build-up; the weld still shrinks as it cools. "
        f"{UNVALIDATED}"
    )
    for words in (
        band_line(plan),
        *own_lines(plan),
        *reckoned_lines(result, plan, display=display),
        checked_line(plan, display=display),
    ):
        if words:
            yield Paragraph(words)
    for line in place_lines(plan, display=display):
        yield Paragraph(str(line), BENCH_PT, line.hot)
    for words in (*excess_lines(plan, display=display), *near_edge_lines(plan, display=display)):
        yield Paragraph(words, BENCH_PT, True)
    if plan.tack_order:
        yield Paragraph(f"Tacks first (about {minutes(plan.tack_s)}):", BENCH_PT, True)
        patch_of = [weld.patch + 1 for weld in result.tacks]
        several = len(result.patches) > 1
        yield Ticks(
            [
                f"T{turn}" + (f" (patch {patch_of[i]})" if several else "")
                for turn, i in enumerate(plan.tack_order, 1)
            ],
            4,
            BENCH_PT,
        )
    yield order_table(result, plan, display)
    yield Paragraph(ending_line(plan, display=display), BENCH_PT)
    degree, length = ("°F", "in") if display == "in" else ("°C", "mm")
    yield Paragraph(
        "For the next plan, hold a contact thermometer on the last stitch: after 1 min ____ "
        f"{degree}, 3 min ____ {degree}, 7 min ____ {degree}. Burnt strip of paint, across the "
        f"seam: ____ {length}. Kept in your heat log they make the next waits your shop's own.",
        BENCH_PT,
    )
    yield NewPage()
    yield Heading("Work sheet")
    yield Ticks(STEPS, size=12.5)
    hours = result.hours
    yield Paragraph(
        f"Hours reckoned: {hours.likely:.1f} ({hours.low:.1f} to {hours.high:.1f}), "
        f"{waits(result)}. "
        "Hours taken: access ____ cutting ____ making ____ fit-up ____ tacking ____ welding ____ "
        "dressing ____ sealing ____ paint-ready ____ · wire ____ g · gauge before ____ after ____ bar"
    )
    yield Heading("Shopping list")
    yield shopping_table(result, display)
    watch = tables.row("limits", "fire_watch", "value")
    yield Paragraph(
        f"At hand before the first spark: extinguisher, watch for {watch.value:g} min afterwards "
        f"({watch.source.split(';')[0]}), welding helmet, {helmet(result.lens_shade_min)}, "
        "respirator, leather gloves, ear and face protection for grinding, thermometer."
    )
    yield Paragraph(
        "Local codes, the maker's repair manual and licensed practice come first. This sheet can't "
        "say whether a repair will be accepted, nor that a panel keeps its shape."
    )
