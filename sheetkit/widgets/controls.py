"""The bench's sliders and lists: made for a job, kept true to it, read for its changes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

import ipywidgets as ipw

from ..base import amounts, tables
from ..base.units import length_unit_mm
from ..job.job import Job
from ..views.words import PROCESSES

_WIDE = {"description_width": "124px"}
_BOX = {"width": "336px"}


class Length(NamedTuple):
    """A slider from nought; `top_mm` is its usual end, farther where the job is beyond it."""

    text: str
    top_mm: float
    fine: bool = False

    def step(self, display: str) -> float:
        """Return the slider's step in the unit shown."""
        if display == "in":
            return 0.005 if self.fine else 0.05
        return 0.1 if self.fine else 1.0

    def format(self, display: str) -> str:
        """Return the readout's format."""
        if display == "in":
            return ".3f" if self.fine else ".2f"
        return ".2f" if self.fine else ".1f"


class Pick(NamedTuple):
    """A list to choose from: words and what they stand for."""

    text: str
    options: tuple[tuple[str, Any], ...]


def _plain(*names: str) -> tuple[tuple[str, str], ...]:
    return tuple((name, name) for name in names)


SHEET, CURRENT = "sheet__thickness", "weld__current"
LEAST_A, MOST_A = 10.0, 180.0
"""Where the slider of the current usually ends, A."""
CONTROLS: dict[str, Length | Pick | None] = {
    "patch__margin": Length("Margin", 50),
    "patch__shape": Pick("Shape", _plain("follow", "hull", "box")),
    SHEET: None,
    "sheet__role": Pick(
        "Part",
        (
            ("floor", "floor"),
            ("visible skin", "skin"),
            ("carries load: sill, pillar", "structural"),
        ),
    ),
    "sheet__coating": Pick("Coating", _plain("painted", "zinc", "bare")),
    "sheet__position": Pick("Position", _plain("flat", "vertical", "overhead")),
    "sheet__back_access": Pick("Back", (("a hand reaches it", True), ("closed", False))),
    "patch__joint": Pick("Joint", _plain("butt", "lap", "plug")),
    "patch__gap": Length("Gap (butt)", 3, fine=True),
    "patch__overlap": Length("Overlap (lap)", 40),
    "weld__process": Pick("Process", tuple((words, name) for name, words in PROCESSES.items())),
    CURRENT: None,
    "weld__fill": Pick("Fill", (("stitches", "stitch"), ("dots", "dots"))),
    "weld__stitch": Length("Stitch length", 100),
}
"""Field of the job, part and key joined by two underscores -> its control."""


def make(job: Job, display: str) -> dict[str, ipw.Widget]:
    """Return the controls by the field they change, showing the job; `display` is "mm" or "in"."""
    made: dict[str, ipw.Widget] = {}
    for name, kind in CONTROLS.items():
        if isinstance(kind, Pick):
            made[name] = ipw.Dropdown(
                options=kind.options, description=kind.text, style=_WIDE, layout=_BOX
            )
        elif name == SHEET:
            made[name] = ipw.SelectionSlider(
                options=[("", job.sheet.thickness)], description="Sheet", style=_WIDE, layout=_BOX
            )
        else:
            made[name] = ipw.FloatSlider(
                min=0, max=0, description="Current, A", style=_WIDE, layout=_BOX
            )
    show(made, job, job.weld.current or LEAST_A, display)
    return made


def show(controls: Mapping[str, Any], job: Job, current_a: float, display: str) -> None:
    """Set every control to what the job says; `current_a` is the current it is worked out with."""
    scale = length_unit_mm(display)
    for name, kind in CONTROLS.items():
        control = controls[name]
        if isinstance(kind, Length):
            step = kind.step(display)
            top = round(kind.top_mm / scale / step) * step
            control.description = f"{kind.text}, {display}"
            _set(control, _value(job, name) / scale, (0.0, top), step, kind.format(display))
        elif isinstance(kind, Pick):
            control.value = _value(job, name)
    _set_sheet(controls[SHEET], job.sheet.thickness, display)
    whole = f"{current_a:.1f}".endswith(".0")
    _set(controls[CURRENT], current_a, (LEAST_A, MOST_A), 1.0, ".0f" if whole else ".1f")
    butt, plug = job.patch.joint == "butt", job.patch.joint == "plug"
    controls["patch__gap"].disabled = not butt
    controls["patch__overlap"].disabled = butt
    controls["weld__fill"].disabled = controls["weld__stitch"].disabled = plug


def read(control: Any, name: str, display: str) -> Any:
    """Return what a control says, as `Job.changed` takes it."""
    if isinstance(CONTROLS[name], Length):
        return f"{control.value:.6g} {display}"
    if name == SHEET:
        return f"{control.value} mm"
    return control.value


def _value(job: Job, name: str) -> Any:
    part, key = name.split("__")
    return job.gap if name == "patch__gap" else getattr(getattr(job, part), key)


def _set(
    slider: ipw.FloatSlider, value: float, ends: tuple[float, float], step: float, readout: str
) -> None:
    """Set a slider whose ends take its value in, however far out that is."""
    with slider.hold_sync():
        # an end that was widened stays where it is while the unit does
        far = slider.max if slider.step == step else value
        low, high = min(ends[0], value), max(ends[1], value, far)
        slider.max = max(high, slider.value, slider.max)  # room first: a value outside is cut off
        slider.min = min(low, slider.value)
        slider.step, slider.readout_format = step, readout
        if abs(slider.value - value) > 1e-6:
            slider.value = value
        slider.min, slider.max = low, high


def _set_sheet(slider: ipw.SelectionSlider, thickness_mm: float, display: str) -> None:
    sold = [float(name) for name in tables.names("sheet_thicknesses")]
    options = tuple(
        (amounts.show(t, "thickness", units=display), t) for t in sorted({*sold, thickness_mm})
    )
    with slider.hold_sync():
        if slider.options != options:
            slider.options = options
        slider.value = thickness_mm
