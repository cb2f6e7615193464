"""What an order was reckoned with, in words: sheet, faces, heat, and how far the waits can differ."""

from __future__ import annotations

from math import isfinite, isnan

from ..base import amounts
from ..base.tables import Row, limit
from ..repair.estimate import Estimate
from ..repair.place_cautions import no_outline
from ..repair.plan import surroundings
from ..sequence.hot_strips import all_ends_s, reached
from ..sequence.plan import SequencePlan
from .order_listing import degree_unit, degrees
from .words import minutes


def _loss(row: Row) -> str:
    return f"{row.value:.1f} ({row.low:.1f} to {row.high:.1f}) W/(m² K), {row.origin}"


def reckoned_lines(result: Estimate, plan: SequencePlan, *, display: str = "mm") -> list[str]:
    """Return what the order was reckoned with, each with its range and where it is from."""
    job = result.job
    lying = surroundings(job)
    lines = [] if job.panel_shape is not None else [no_outline(display)]
    if plan.own is None:
        row = result.inputs["thermal_efficiency"]
        lines.append(
            f"Planned with the unkind end of the thermal efficiency, {row.value * plan.heat_share:.2f} "
            f"({row.status}; the estimate keeps the usual {row.value:.2f})."
        )
    front, back = lying.sides
    ambient = amounts.show(lying.ambient_c, "temperature", units=display)
    lines.append(
        f"Air at {ambient}. Lost by the front ({lying.front}): {_loss(front)}; by the back "
        f"({lying.back}): {_loss(back)}. Where it lies otherwise, say so in the job's surroundings."
    )
    return lines


def band_line(plan: SequencePlan) -> str:
    """Return how far the waits can differ; nothing where it wasn't reckoned."""
    span = plan.waits
    if not isfinite(span.high):
        return ""
    nearer = "" if plan.band.on_least is None else " or ends nearer than planned"
    return (
        f"Waits: {minutes(span.likely)} planned; {minutes(span.low)} where heat, sheet and air are "
        f"kinder by a fifth, {minutes(span.high)} where they are unkind by as much or the sheet "
        f"loses only half{nearer} (derived)."
    )


def order_waits(plan: SequencePlan) -> list[str]:
    """Return the wait before each turn with its low and high: "12 s (0 to 31)"."""
    if not plan.band.waits_s:
        return [f"{wait:.0f} s" for wait in plan.wait_s]
    both = zip(plan.wait_s, plan.band.waits_s, strict=True)
    return [f"{wait:.0f} s ({low:.0f} to {high:.0f})" for wait, (low, high) in both]


SUFFERS = {
    "heat_wax": "wax and underseal run, trim and glass suffer",
    "heat_sealer": "sealer and foam break down",
    "heat_paint": "paint burns",
    "heat_zinc": "zinc melts",
}
"""Row of the table "limits" -> what happens from that temperature on."""


STRIP_ADVICE = (
    "Strip paint to its line, mask beyond it; sealer, foam, wax and trim within theirs come off or "
    "are made good. What lies behind the sheet there gets as hot: look at the far side first, and "
    "have it watched."
)


def strip_lines(plan: SequencePlan, *, display: str = "mm") -> list[str]:
    """Return how far from the seam what suffers, and what to do about it."""
    parts = []
    for strip in reversed(reached(plan).strips):
        if strip.widest_mm > 0:
            mean, most = (
                amounts.show(mm, "length", units=display) for mm in (strip.mean_mm, strip.widest_mm)
            )
            at = amounts.show(strip.level.value, "temperature", units=display)
            parts.append(
                f"{SUFFERS[strip.level.name]} ({at}, {strip.level.status}) to {mean}, at most {most}"
            )
    if not parts:
        return []
    return [
        "How hot it gets beside the seam, on each side and on both faces alike (derived, with the "
        f"heat planned with): {'; '.join(parts)}. {STRIP_ADVICE}"
    ]


def ending_line(plan: SequencePlan, *, display: str = "mm") -> str:
    """Return when the sheet can be touched and until when somebody watches for fire."""
    ends, touch_s, watch = all_ends_s(plan), reached(plan).touch_s, limit("fire_watch")
    skin = amounts.show(limit("cool_to_touch").value, "temperature", units=display)
    cool = (
        f"nothing is over {skin} (skin, ISO 13732-1, value from memory) about {minutes(touch_s)} "
        "later (derived): measure before you touch"
        if touch_s is not None
        else f"it doesn't cool to {skin}, which skin bears, within two hours: don't touch it"
    )
    return (
        f"The last arc goes out {minutes(ends)} after the first tack is begun, if nothing holds "
        f"you up; {cool}. Fire watch on the same clock: until {minutes(ends + 60 * watch.value)}, "
        f"longer rules {minutes(ends + 60 * (watch.high or watch.value))} ({watch.value:g} min, "
        f"29 CFR 1910.252; {watch.high or watch.value:g} min, NFPA 51B, value from memory)."
    )


def checked_line(plan: SequencePlan, *, display: str = "mm") -> str:
    """Return what the check on a finer grid found, and what it is not."""
    if isnan(plan.verified_excess_c):
        return ""
    unit = degree_unit(display)
    over, about = (
        degrees(k, display) - degrees(0.0, display) for k in (plan.verified_excess_c, 1.0)
    )
    return (
        f"Checked on cells of half the size the starts are at most {over:.1f} {unit} over the limit; "
        f"other ways to reckon differ by about {about:.0f} {unit} more. That is what the arithmetic "
        "is good for, not a bound for your shop."
    )
