"""The bench's sliders and lists: made for a job, kept true to it, read for its changes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

import ipywidgets as ipw

from ..base import amounts, tables
from ..base.units import length_unit_mm
from ..job.job import Job
from ..views.words import PROCESSES
from .slider import Slider

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

    def digits(self, display: str) -> int:
        """Return how many decimals are shown."""
        return (2 if display == "in" else 1) + self.fine


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


def make(job: Job, display: str) -> dict[str, Any]:
    """Return the controls by the field they change, showing the job; `display` is "mm" or "in"."""
    made: dict[str, Any] = {}
    for name, kind in CONTROLS.items():
        if isinstance(kind, Pick):
            made[name] = ipw.Dropdown(
                options=kind.options, description=kind.text, style=_WIDE, layout=_BOX
            )
        elif name == SHEET:
            made[name] = ipw.Dropdown(description="Sheet", style=_WIDE, layout=_BOX)
        else:
            made[name] = Slider()
    show(made, job, job.weld.current or LEAST_A, display)
    return made


def show(controls: Mapping[str, Any], job: Job, current_a: float, display: str) -> None:
    """Set every control to what the job says; `current_a` is the current it is worked out with."""
    scale = length_unit_mm(display)
    for name, kind in CONTROLS.items():
        if isinstance(kind, Length):
            step = kind.step(display)
            top = round(kind.top_mm / scale / step) * step
            _set(controls[name], _value(job, name) / scale, (0.0, top), step, kind.digits(display))
            controls[name].description = f"{kind.text}, {display}"
        elif isinstance(kind, Pick):
            controls[name].value = _value(job, name)
    _set_sheet(controls[SHEET], job.sheet.thickness, display)
    _set(controls[CURRENT], current_a, (LEAST_A, MOST_A), 1.0, 1)
    controls[CURRENT].description = "Current, A"
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


def _set(slider: Slider, value: float, ends: tuple[float, float], step: float, digits: int) -> None:
    """Set a slider whose ends take its value in, however far out that is."""
    # an end that was widened stays where it is while the unit does
    far = slider.max if slider.step == step else value
    with slider.hold_sync():
        slider.min, slider.max = min(ends[0], value), max(ends[1], value, far)
        slider.step, slider.digits = step, digits
        if abs(slider.value - value) > 1e-6:
            slider.value = value


def _set_sheet(pick: ipw.Dropdown, thickness_mm: float, display: str) -> None:
    sold = [float(name) for name in tables.names("sheet_thicknesses")]
    options = tuple(
        (amounts.show(t, "thickness", units=display), t) for t in sorted({*sold, thickness_mm})
    )
    with pick.hold_sync():
        if pick.options != options:
            pick.options = options
        pick.value = thickness_mm
