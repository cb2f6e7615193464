"""What an order was reckoned with, in words: sheet, faces, heat, and how far the waits can differ."""

from __future__ import annotations

from math import isfinite

from ..base import amounts
from ..base.tables import Row
from ..repair.estimate import Estimate
from ..repair.place_cautions import no_outline
from ..repair.plan import surroundings
from ..sequence.plan import SequencePlan
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
        f"({lying.back}): {_loss(back)}. Covered otherwise, give surroundings.front, .back, "
        ".ambient, .air."
    )
    return lines


def band_line(plan: SequencePlan) -> str:
    """Return how far the waits can differ; nothing where it wasn't reckoned."""
    span = plan.waits
    if not isfinite(span.high):
        return ""
    return (
        f"Waits: {minutes(span.likely)} planned; {minutes(span.low)} where heat, sheet and air are "
        f"kinder by a fifth, {minutes(span.high)} where they are unkind by as much or the sheet "
        "loses only half (derived)."
    )


def order_waits(plan: SequencePlan) -> list[str]:
    """Return the wait before each turn with its low and high: "12 s (0 to 31)"."""
    if not plan.band.waits_s:
        return [f"{wait:.0f} s" for wait in plan.wait_s]
    both = zip(plan.wait_s, plan.band.waits_s, strict=True)
    return [f"{wait:.0f} s ({low:.0f} to {high:.0f})" for wait, (low, high) in both]
