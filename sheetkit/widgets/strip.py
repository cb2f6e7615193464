"""The figures that are always in view, and the one place for a word about them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import anywidget
import traitlets

from ..base import amounts
from ..base.errors import SheetkitError
from ..job.titles import in_words
from ..repair.estimate import Estimate
from ..sketch.drawing import Drawing
from ..sketch.shape_kinds import KINDS
from ..sketch.store import Fitted
from ..views.words import totals
from .bundle import bundle, styles

MOST_NAMED = 2
"""So many shapes that stay out are named; the pad's list marks them all."""
ENDS = "Under each figure: one repair in ten takes less, one in ten more."
_FIGURES = (("Seam", "seam_length_mm", "length"), ("Wire", "wire_bought_g", "filler"),
            ("Gas", "gas_real_l", "volume"))  # fmt: skip
_LABELS = ("Seam", "Wire", "Gas", "Hours", "Cost")


class Strip(anywidget.AnyWidget):
    """Seam, wire, gas, hours and cost with their ranges, over everything else.

    figures : label, amount, how far it can differ, what it rests on
    word : kind ("ok", "hint", "left out" or "fault"), text and, of a shape left out, its id
    title : whose figures these are

    Its height never changes, whatever it says, so that nothing below it moves.
    """

    _esm = bundle("strip.js")
    _css = styles("strip.css")

    figures: traitlets.List[dict] = traitlets.List().tag(sync=True)
    word = traitlets.Dict({"kind": "ok", "text": ""}).tag(sync=True)
    units = traitlets.Enum(["mm", "in"], "mm").tag(sync=True)

    def __init__(self, show: Callable[[str], Any] | None = None):
        self._show = show
        super().__init__(figures=empty())
        self.on_msg(self._receive)

    def __repr__(self) -> str:
        return "Strip(" + ", ".join(f"{f['label']} {f['amount']}" for f in self.figures) + ")"

    def _receive(self, _widget: Any, content: Any, _buffers: list) -> None:
        """Show the shape that stays out."""
        if self._show and isinstance(content, dict) and isinstance(content.get("show"), str):
            self._show(content["show"])


def empty() -> list[dict]:
    """Return the figures of a drawing that has none yet."""
    return [{"label": label, "amount": "–", "range": "", "rests_on": ""} for label in _LABELS]


def figures(result: Estimate, *, display: str = "mm") -> list[dict]:
    """Return the figures of the strip: label, amount, range, what it rests on."""
    made = []
    for label, name, kind in _FIGURES:
        if name not in result.spans:
            made.append({"label": label, "amount": "none", "range": "not needed", "rests_on": ""})
            continue
        low, likely, high = result.spans[name]
        value, unit, digits = amounts.converted(likely, kind, units=display)
        ends = [amounts.converted(end, kind, units=display)[0] for end in (low, high)]
        digits = digits if display == "in" else 0
        same = abs(high - low) <= 1e-9 * abs(likely)
        words = [f"{end:.{digits}f}" for end in ends]
        made.append(
            {
                "label": label,
                "amount": f"{value:.{digits}f} {unit}",
                "range": "as drawn" if same else f"{words[0]} to {words[1]} {unit}",
                "rests_on": result.rests_on(name),
            }
        )
    for label, name, amount, note in totals(result):
        apart, _, waits = note.partition(", ")
        made.append(
            {
                "label": f"{label}, as planned" if result.by_plan else label,
                "amount": amount,
                "range": apart,
                "rests_on": f"{result.rests_on(name)}; {waits}",
            }
        )
    return made


def fault_word(error: SheetkitError) -> dict:
    """Return the word on what can't be worked out."""
    return {"kind": "fault", "text": in_words("; ".join(map(str, error.faults[:3])))}


def left_out(drawing: Drawing, fitted: Fitted) -> dict:
    """Return the word on the drawn shapes that the figures go without, or that none is."""
    count = len(fitted.reasons)
    if not count:
        shapes = len(drawing.shapes)
        words = f"All {shapes} drawn shapes are in these figures. " if shapes > 1 else ""
        return {"kind": "ok", "text": words + ENDS}
    named = []
    for id_, (fault, *_) in list(fitted.reasons.items())[:MOST_NAMED]:
        shape = drawing[id_]
        name = f" “{shape.name}”" if shape.name else ""
        named.append(f"{KINDS[shape.kind].label}{name}: {fault.value}; {fault.remedy}")
    more = [f"and {count - MOST_NAMED} more"] if count > MOST_NAMED else []
    form = "ring" if all(drawing[id_].form == "ring" for id_ in fitted.reasons) else "shape"
    which = f"1 drawn {form} is" if count == 1 else f"{count} drawn {form}s are"
    text = f"{which} not in these figures. {'. '.join(named + more)}."
    return {"kind": "left out", "text": text, "id": next(iter(fitted.reasons))}


def no_figures(drawing: Drawing, fitted: Fitted) -> dict:
    """Return the word on why there is nothing to work out yet."""
    rust = drawing.of_kind("rust_holed", "rust_pitted")
    if not rust:
        if drawing.shapes and fitted.reasons:
            return left_out(drawing, fitted)
        return {"kind": "hint", "text": "Draw a ring round the rust to see patch and seam."}
    out = next((shape for shape in rust if shape.id in fitted.reasons), None)
    if out is not None and all(shape.id in fitted.reasons for shape in rust):
        fault = fitted.reasons[out.id][0]
        why = f"{KINDS[out.kind].label}: {fault.value}; {fault.remedy}"
        text = f"No figures yet: no rust ring is whole and sound. {why}."
        return {"kind": "left out", "text": text, "id": out.id}
    return {"kind": "fault", "text": in_words("; ".join(map(str, fitted.faults[:3])))}
