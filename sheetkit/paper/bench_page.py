"""The page to hang up at the bench: settings in large print, what to heed, what to have at hand."""

from __future__ import annotations

from collections.abc import Iterator
from statistics import median

from ..base import amounts
from ..base.showing import counted
from ..base.tables import limit
from ..formulas.settings import gas_group
from ..job.titles import PROCESSES, choice
from ..repair.cautions import helmet
from ..repair.estimate import Estimate
from ..repair.place_cautions import off_or_shield
from ..repair.plan import arc_s
from ..repair.pull import force, gap_left
from ..sequence.orders import tack_rounds
from ..sequence.plan import SequencePlan
from ..views.place_words import place_lines
from ..views.words import minutes, thickness
from ..workshop.shopping import shopping_list
from . import lettering
from .blocks import Block, Paragraph, Table, Ticks
from .faces_table import positions_said
from .pattern_notes import side_words

HUNG_PT, HEED_PT = 16.0, 10.0
"""Settings are read at arm's length, helmet up; the rest from nearer."""
NAME_MM = 55.0
"""What a place's name may take of a line; the order has all of it."""
SHORT = {
    "fuel": "fuel tank, filler and lines are OFF; no brake cleaner before the arc",
    "fire watch": "extinguisher here; nothing that burns near; somebody watches the far side",
    "mounting": "near a mounting that carries load: inspector, maker's manual, local rules first",
    "structure": "this part carries load: inspector, maker's manual, local rules first",
    "not continuous": "no continuous seam: ask your inspector",
    "vehicle": "battery leads off, negative first; work clamp near the weld",
    "hands and sleeves": "gauntlets, sleeves without plastics, ears and face when grinding",
    "gas in pits": "gas gathers in pits: move the air, not at the weld",
    "zinc": "zinc ground back on both faces, respirator on, air moving",
    "paint and sealer": "paint, sealer, foam, wax off both faces",
    "thin edge": "probe the edge: pitted metal burns through",
    "closed back": "no dolly reaches behind: the shrinkage stays",
    "closed section": "closed section: clear it, watch its openings",
    "seam on a bend": "a seam lies along a bend: weak there, move it on to a flat",
    "tight bend": "tight bend: it can crack, try it on an offcut",
    "gas": "look at the gas: it may not last",
    "burn-through": "thin for these settings: burn-through, try the coupon first",
    "cold weld": "cold for this sheet: turn the coupon over and look",
    "small hole": "a hole this small may be filled over copper",
}
"""Topic of a caution -> how it is said where somebody has no time to read."""
TOOLS = (
    "helmet, respirator, gauntlets",
    "ear and face protection",
    "extinguisher, and who watches",
    "contact thermometer",
    "grinder with guard, clamps",
    "wire brush, cutters, scriber",
)


def rounds(plan: SequencePlan) -> list[list[int]]:
    """Return the plan's tacks by rounds, as indices; one round where the order is another one."""
    found = tack_rounds(plan.model.tacks)
    same = [n for one in found for n in one] == list(plan.tack_order)
    return found if same else [list(plan.tack_order)] * bool(plan.tack_order)


def each_weld(result: Estimate, display: str) -> tuple[str, str]:
    """Return what one weld of the fill is called, and how it is made."""
    values, first = result.values, result.welds[0]
    seconds = median(arc_s(result, weld) for weld in result.welds)

    def size(millimetres: float, kind: str = "length", digits: int | None = None) -> str:
        return amounts.show(millimetres, kind, units=display, digits=digits)

    if first.kind == "plug":
        hole = size(values["hole_diameter_mm"], "thickness", 1 if display == "mm" else 2)
        return (
            "Each plug",
            f"hole {hole}, {seconds:.1f} s of arc; {size(values['plug_pitch_mm'])} apart",
        )
    long = median(weld.length for weld in result.welds)
    if first.kind == "dots":
        dots = median(weld.dots for weld in result.welds)
        pitch = size(long / dots, "thickness", 1 if display == "mm" else 2)
        return (
            "Each group",
            f"{dots:.0f} dots of {values['dot_time_s']:.1f} s, {pitch} apart: {size(long)}",
        )
    gap = f", {size(result.job.weld.spacing)} left bare" if result.job.weld.spacing else ""
    return "Each stitch", f"{size(long)}, {seconds:.1f} s of arc{gap}"


def _sheet(result: Estimate, display: str) -> str:
    job, positions = result.job, positions_said(result)
    said = f"{thickness(result, display)}, {choice('sheet.coating', job.sheet.coating)}"
    return f"{said}; {positions}" if positions else said


def _joint(result: Estimate, display: str) -> tuple[str, str]:
    job = result.job
    if job.patch.joint == "butt":
        digits = 2 if display == "mm" else 3
        gap = amounts.show(job.gap, "thickness", units=display, digits=digits)
        left = gap_left(result)
        assert left is not None  # only a lap has none
        less, most = (
            amounts.show(max(end, 0.0), "thickness", units=display, digits=digits)
            for end in (left.low, left.high)
        )
        return "Butt, gap", f"{gap}; tacking leaves {less.split()[0]} to {most}"
    return "Lap", f"{amounts.show(job.patch.overlap, 'length', units=display)} over the panel"


def hammer_back(result: Estimate, display: str) -> str:
    """Return what a hammer on a dolly has to give back, and where it pulls."""
    _, strip, stretch = force(result)
    reach = amounts.show(strip.likely / 2, "length", units=display)
    by = stretch.likely if display == "mm" else stretch.likely * 12 / 1000
    per = "mm a metre" if display == "mm" else "in a foot"
    return f"the bead {by:.2g} {per}; it pulls {reach} to each side"


def _tacks(result: Estimate, plan: SequencePlan, display: str) -> Iterator[tuple[str, str]]:
    if not result.tacks:
        return
    seam, count = result.values["seam_length_mm"], len(result.tacks)
    apart = amounts.show(seam / count, "length", units=display)
    seconds, turns = result.values["tack_time_s"], counted(len(rounds(plan)), "round")
    yield "Tacks", f"{count}, {apart} apart, {seconds:.1f} s each; {turns}"


def hung_table(result: Estimate, plan: SequencePlan, display: str) -> Table:
    """Return the settings and sizes one works by, a row each, in large print."""
    job, values = result.job, result.values

    def show(name: str, kind: str, digits: int | None = None) -> str:
        low, likely, high = (
            amounts.show(v, kind, units=display, digits=digits) for v in result.spans[name]
        )
        between = f"  ({low.split()[0]} to {high.split()[0]})" if low != high else ""
        return likely + between

    gas = job.weld.gas or gas_group(job.weld.process, None)
    gas = {"none": "none: the wire makes its own"}.get(gas, gas)
    if "flow_l_min" in values:
        gas += f", {show('flow_l_min', 'flow', 0)}"
    tacks = f"tacks {minutes(plan.tack_s)}, then " if plan.tack_order else ""
    starts = amounts.show(job.weld.interpass_limit, "temperature", units=display)
    rows = [
        ("Sheet", _sheet(result, display)),
        ("Process", f"{PROCESSES[job.weld.process]}, {show('wire_diameter_mm', 'wire')}"),
        ("Current", show("current_a", "current", 0)),
        ("Voltage", show("voltage_v", "voltage", 1)),
    ]
    if "wire_feed_m_min" in values:
        rows.append(("Wire feed", show("wire_feed_m_min", "feed", 1 if display == "mm" else 0)))
    if "travel_mm_min" in values:
        rows.append(("Travel", show("travel_mm_min", "speed", 0)))
    rows += [
        ("Gas", gas),
        _joint(result, display),
        *_tacks(result, plan, display),
        each_weld(result, display),
        ("Start under", f"{starts}, read where the next weld goes"),
        ("Helmet", helmet(result.lens_shade_min).replace(" (common practice)", "")),
        ("Takes", f"{tacks}{minutes(plan.total_s)} with waits"),
    ]
    return Table("hung", (), rows, (34, 126), size=HUNG_PT, pad_mm=0.4)


def heed(result: Estimate, plan: SequencePlan, display: str) -> list[str]:
    """Return the cautions in short, the job's own places among them."""
    topics = [caution.topic for caution in result.cautions(display)]
    if "closed section" in topics:  # which says that nothing gets behind
        topics = [topic for topic in topics if topic != "closed back"]
    found = [SHORT[topic] for topic in dict.fromkeys(topics) if topic in SHORT]
    lines = zip(result.job.panel.protect, place_lines(plan, display=display), strict=True)
    for item, line in lines:
        hot = f"TOO HOT ({line.short})" if line.hot else ""
        name = lettering.shortened(item.name, HEED_PT, NAME_MM) or "the place that must stay cool"
        words = f"{off_or_shield(item.name)}: {name}"
        found.insert(0, f"{words} {hot}".strip())
    if result.job.rusty_faces.is_open:
        found.append(f"hammer back: {hammer_back(result, display)}")
    watch = limit("fire_watch")
    found.append(f"fire watch {watch.value:g} min after the last spark, better {watch.high:g} min")
    return found


def to_buy(result: Estimate, display: str) -> list[str]:
    """Return what is to buy, in packs."""
    found = []
    for item in shopping_list(result, display=display):
        if item.packs:
            one = item.pack_words(display)
            size = "" if one in ("1 pieces", "1 sheets") else f" × {one}"
            found.append(f"{item.name}: {item.packs}{size}")
    return found


def bench_page(result: Estimate, plan: SequencePlan, display: str) -> Iterator[Block]:
    """Yield the blocks of the page to hang up."""
    title = " ".join(result.job.title.split()) or "Untitled job"
    yield Paragraph(f"{title}{side_words(result.job)}", 16, True, 1)
    yield hung_table(result, plan, display)
    yield Paragraph(
        "A first try on a coupon, never on the vehicle; ranges in brackets. Where each comes from "
        "stands at the end.",
        9.5,
    )
    yield Paragraph("HEED (in full on the next page)", HEED_PT, True)
    yield Ticks(heed(result, plan, display), 2, HEED_PT)
    yield Paragraph("AT HAND", HEED_PT, True)
    yield Ticks(TOOLS, 3, HEED_PT)
    yield Paragraph("TO BUY, in packs", HEED_PT, True)
    yield Paragraph("; ".join(to_buy(result, display)), 9.5)
