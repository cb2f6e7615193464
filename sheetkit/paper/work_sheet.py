"""The work sheet: a page to hang up, cautions, coupon, maps, order, hours, and where it is all from."""

from __future__ import annotations

from collections.abc import Iterator

from ..base import amounts, tables
from ..base.showing import Number, sensible_digits
from ..formulas.hours import by_step
from ..formulas.settings import gas_group
from ..job.titles import PROCESSES, choice, title
from ..repair.cautions import helmet
from ..repair.estimate import Estimate
from ..repair.left_out import assumed
from ..sequence.plan import SequencePlan
from ..sketch.photo_scale import Photo
from ..views.heat_words import (
    STRIP_ADVICE,
    band_line,
    checked_line,
    ending_line,
    reckoned_lines,
)
from ..views.place_words import excess_lines, near_edge_lines, place_lines
from ..views.shop_words import UNVALIDATED, own_lines
from ..views.words import before_the_arc, minutes, named, thickness, waits
from ..workshop.shopping import shopping_list
from .bench_page import bench_page
from .blocks import Block, Heading, NewPage, Paragraph, Picture, Table, Ticks
from .faces_table import faces_table
from .heat_map import heat_page, strips_table
from .order_pages import BENCH_PT, GLOVE_MM, fill_blocks, tack_blocks
from .stitch_map import map_pages

COUPON_MM = (50.0, 150.0)


def coupon_steps(display: str) -> tuple[str, ...]:
    """Return what is done with the coupons before the first tack."""
    size = " × ".join(amounts.show(side, "length", units=display) for side in COUPON_MM)
    return (
        f"Cut two coupons of the same sheet, {size}, ground to bright metal on both faces.",
        "Clamp them with the job's own joint and gap, back as on the vehicle (air or copper).",
        "Start at the settings of page 1; weld one tack, then one stitch. Change one setting at a time.",
        "Turn it over: the seam must show through evenly. Edges still to be seen: too cold. Holes: "
        "too hot, or the gap is too wide.",
        "Bend the coupon on the seam over both faces; drive a chisel into a plug or a lap. The sheet "
        "should tear before the weld lets go.",
        "Write down what worked. Weld the vehicle with the coupon's settings, not with the table's.",
    )


def steps(result: Estimate, display: str) -> tuple[str, ...]:
    """Return the repair from the first probe to the last look."""
    bright = amounts.show(tables.limit("bright_metal").value, "length", units=display)
    bend = "bend as the pattern says, " if any(p.bends for p in result.patches) else ""
    watch = tables.limit("fire_watch")
    tacked = ["Tack in the order of the map, round by round; check the fit after each round."]
    if not result.tacks:
        tacked = ["Clamp it down round every plug: the sheets must touch."]
    return (
        "Probe the metal round the rust; draw what you find, and work the job out again if it grew.",
        "Battery leads off, negative first; control units near the weld out; fuel, gas and trim away.",
        "Print the pattern, measure the check square, join the sheets on their marks.",
        "Mark the cut line on the panel; brace openings before a sill or floor is cut.",
        f"Cut; dress the edges; grind both faces to bright metal {bright} wide (common practice).",
        f"Cut the patch by the pattern, FACE side up; {bend}drill, deburr; keep its corner radii.",
        "Fit it, check the gap all round, clamp; remake the piece if the gap is too wide.",
        "Weld the coupon (below): the same sheet and joint, until it turns out right.",
        *tacked,
        "Weld in the order of the map; wait on the thermometer.",
        "Knock down and grind; look for pinholes with a strong light behind; weld those again.",
        "Degrease; epoxy primer on both faces; sealer over primer; top coat; cavity wax last.",
        f"Fire watch: stay at least {watch.value:g} min after the last spark, better "
        f"{watch.high:g}; look at the far side, then look again.",
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
            f"{thickness(result, display)}, {choice('sheet.coating', job.sheet.coating)}",
            "",
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
    words = helmet(result.lens_shade_min).replace(" (common practice)", "")
    least = "29 CFR 1910.133 names the least, by the high end of the current; the rest is common practice"
    rows.append(("Helmet", words, "", least))
    return Table(
        "settings",
        ("Setting", "First try", "Range", "Where from"),
        rows,
        (16, 25, 27, 56),
        size=9.5,
        most=6,
        pad_mm=1.0,
    )


def shopping_table(result: Estimate, display: str) -> Table:
    """Return what to have at hand: the shopping list, with what is needed and what is to buy."""
    goods = shopping_list(result, display=display)
    rows: list[tuple] = []
    for item in goods:
        need = item.needed(display)
        words = f"{need:.{sensible_digits(need.likely, 2)}f}"
        buy = f"{item.packs} × {item.pack_words(display)}" if item.packs else "enough is there"
        rows.append((item.name, words, Number(item.packs, buy), item.rests_on))
    rows += [(what, amount, "", word) for what, amount, word in goods.besides]
    heads = ("Item", "Needed", "To buy", "Rests on")
    return Table("shopping", heads, rows, (30, 36, 26, 36), tick=True, size=9.5, pad_mm=1.0)


def hours_table(result: Estimate, display: str) -> Table:
    """Return what each step was reckoned with, and room for what it took, in the log's order."""
    inch = display == "in"
    rows = [
        (one["step"], f"{one['hours']:.1f} h ({one['low']:.1f} to {one['high']:.1f})", "", "h")
        for one in by_step(result.parts("hours_h"), result.spans)
    ]
    whole = result.hours
    rows.append(
        ("all steps", f"{whole.likely:.1f} h ({whole.low:.1f} to {whole.high:.1f})", "", "h")
    )

    def amount(name: str, kind: str) -> str:
        return amounts.show(result.spans[name].likely, kind, units=display)

    gauge, warm = ("psi", "°F") if inch else ("bar", "°C")
    rows.append(("wire", amount("wire_bought_g", "filler"), "", "oz" if inch else "g"))
    if "gas_real_l" in result.values:
        rows += [
            (f"gas: gauge before, and the bottle's {warm}", "", "", f"{gauge}, {warm}"),
            (
                f"gas: gauge after, and the bottle's {warm}",
                f"{amount('gas_real_l', 'volume')} used",
                "",
                f"{gauge}, {warm}",
            ),
        ]
    rows += [
        (words, f"{result.spans[name].likely:.1f}", "", "used")
        for words, name in (("cutting discs", "cutting_discs"), ("flap discs", "flap_discs"))
    ]
    heads = ("Step", "Reckoned", "Taken", "")
    return Table("hours", heads, rows, (52, 48, 40, 20), size=11.5, least_mm=GLOVE_MM, pad_mm=0.8)


def worksheet(
    result: Estimate,
    plan: SequencePlan,
    *,
    paper: str,
    display: str,
    front: str | None = None,
    photo: Photo | None = None,
) -> Iterator[Block]:
    """Yield the work sheet's blocks."""
    yield from bench_page(result, plan, display)
    yield NewPage()
    yield from _before(result, display)
    yield Heading("Coupon first")
    yield Ticks(coupon_steps(display), size=10.5)
    yield Table(
        "coupon log", ("Coupon", "Current, A", "Voltage, V", "Feed", "Flow", "What it showed"),
        [(str(number), *[""] * 5) for number in range(1, 6)], (18, 21, 21, 16, 16, 44),
        size=10.5, least_mm=10.5, pad_mm=1.0,
    )  # fmt: skip
    yield Picture(
        tuple(map_pages(result, plan, paper=paper, display=display, front=front, photo=photo)),
        "map of tacks and stitches in order",
    )
    yield from _order(result, plan, display)
    yield NewPage()
    yield from _after(result, plan, display)
    yield Picture(
        (heat_page(plan, paper=paper, display=display),), "map of how hot each place gets"
    )
    yield from _origins(result, plan, display)


def _before(result: Estimate, display: str) -> Iterator[Block]:
    """Yield what is read and done before the first cut."""
    job = result.job
    for name, words in (("Vehicle", job.vehicle), ("Customer", job.customer), ("Notes", job.notes)):
        if words:
            yield Paragraph(f"{name}: {words}", most=12)
    yield Heading("Before the first cut")
    yield Ticks([str(caution) for caution in result.cautions(display)], size=10.5)
    faces = faces_table(result, display)
    if faces.rows:
        yield Heading("The panel's flats")
        yield faces
        yield Paragraph(
            "Flats are counted along the section, from the drawing's start. Currents are first tries: "
            "set each on a coupon held as that flat is."
        )
    yield Heading("Step by step")
    yield Ticks(steps(result, display), size=10.5)


def _order(result: Estimate, plan: SequencePlan, display: str) -> Iterator[Block]:
    """Yield tacks and fill in their order, with what must be known first."""
    limit = amounts.show(result.job.weld.interpass_limit, "temperature", units=display)
    yield Heading("Order of the welds")
    yield Paragraph(
        f"Tick each one. A wait ends when the thermometer reads under {limit} there, not when the "
        f"clock says so. Fill with waits {minutes(plan.total_s)} (once round, by the same limit: "
        f"{minutes(plan.loop_total_s)}; no wait at all: {minutes(plan.no_wait_bound_s)}); arc time "
        f"{minutes(result.range('arc_time_s').likely)}; order: {named(plan.method)}.",
    )
    for line in place_lines(plan, display=display):
        yield Paragraph(str(line), BENCH_PT, line.hot)
    for words in (*excess_lines(plan, display=display), *near_edge_lines(plan, display=display)):
        yield Paragraph(words, BENCH_PT, True)
    yield from tack_blocks(result, plan)
    yield from fill_blocks(result, plan, display)


def _after(result: Estimate, plan: SequencePlan, display: str) -> Iterator[Block]:
    """Yield what is read, watched and written down after the last weld."""
    hours = result.hours
    yield Heading("After the last weld")
    yield Paragraph(ending_line(plan, display=display), 11)
    degree, length = ("°F", "in") if display == "in" else ("°C", "mm")
    yield Paragraph(
        "For the next plan, hold a contact thermometer on the last stitch: after 1 min ____ "
        f"{degree}, 3 min ____ {degree}, 7 min ____ {degree}. Burnt strip of paint, across the "
        f"seam: ____ {length}. Kept in your heat log they make the next waits your shop's own.",
        11,
    )
    yield Heading("What it took")
    yield Paragraph(
        f"Hours reckoned: {hours.likely:.1f} ({hours.low:.1f} to {hours.high:.1f}), {waits(result)}."
    )
    yield hours_table(result, display)


def _origins(result: Estimate, plan: SequencePlan, display: str) -> Iterator[Block]:
    """Yield how far the heat reaches, and where settings, waits and amounts are from."""
    strips = strips_table(result, plan, display)
    if strips.rows:
        yield Heading("How hot it gets beside the seam")
        yield strips
        yield Paragraph(STRIP_ADVICE)
    yield Heading("Where the settings come from")
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
    yield Heading("Where the waits come from")
    yield Paragraph(
        "The times are reckoned by a heat-flow model. A spread order limits heat build-up; the weld "
        f"still shrinks as it cools. {UNVALIDATED}"
    )
    for words in (
        band_line(plan),
        *own_lines(plan),
        *reckoned_lines(result, plan, display=display),
        checked_line(plan, display=display),
    ):
        if words:
            yield Paragraph(words)
    yield Heading("Shopping list")
    yield shopping_table(result, display)
    yield Paragraph(
        "Local codes, the maker's repair manual and licensed practice come first. This sheet can't "
        "say whether a repair will be accepted, nor that a panel keeps its shape."
    )
