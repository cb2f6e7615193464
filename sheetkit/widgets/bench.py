"""The estimate bench: move a slider, see patch, seam, wire, gas, hours and cautions follow."""

from __future__ import annotations

import os
from pathlib import Path

import ipywidgets as ipw
import traitlets

from .. import tables, units
from ..errors import SheetkitError
from ..estimate import Estimate, estimate
from ..job import Job, load
from . import live

_WIDE = {"description_width": "112px"}
_BOX = {"width": "336px"}
PROCESSES = (
    ("135 solid wire, gas", "135"),
    ("136 flux-cored wire, gas", "136"),
    ("114 flux-cored wire, no gas", "114"),
    ("141 TIG", "141"),
)


class Bench(ipw.VBox):
    """Controls for one job beside its live results.

    Parameters
    ----------
    job : Job, path or None
        The job shown; a path is loaded.  The file is never written.

    `job` and `result` are traits: they always hold the last job that could be
    worked out.
    """

    job = traitlets.Instance(Job, allow_none=True)
    result = traitlets.Instance(Estimate, allow_none=True)

    def __init__(self, job: Job | str | os.PathLike):
        job = load(Path(job)) if isinstance(job, str | os.PathLike) else job
        self.display_unit = job.drawn_in
        self._current_touched = job.given("weld.current")
        self.controls = self._make_controls(job)
        self.picture, self.cards = ipw.HTML(), ipw.HTML()
        self.amounts, self.cautions = ipw.HTML(), ipw.HTML()
        self.message = ipw.HTML()
        inputs = ipw.VBox(list(self.controls.values()), layout=ipw.Layout(width="360px"))
        for child in (self.picture, self.cards, self.amounts, self.cautions):
            child.layout = ipw.Layout(width="auto", max_width="640px")
        shown = ipw.VBox(
            [self.message, self.picture, self.cards, self.amounts],
            layout=ipw.Layout(flex="1 1 420px", min_width="320px"),
        )
        row = ipw.Box([inputs, shown], layout=ipw.Layout(display="flex", flex_flow="row wrap"))
        fold = ipw.Accordion([self.cautions], titles=("Before the first cut: cautions",))
        fold.selected_index = 0
        super().__init__([row, fold])
        self.job = job
        self._work_out()
        for name, control in self.controls.items():
            control.observe(lambda change, name=name: self._moved(name), "value")

    def __repr__(self) -> str:
        return f"Bench({self.job.title!r})" if self.job else "Bench()"

    def _repr_mimebundle_(self, **kwargs):
        """Add a still picture for notebooks that aren't trusted."""
        bundle = super()._repr_mimebundle_(**kwargs)
        if bundle and self.result is not None:
            import base64

            from ..charts import patch_plan, png

            still = png(patch_plan(self.result, display=self.display_unit).figure)
            bundle["image/png"] = base64.b64encode(still).decode()
        return bundle

    def _make_controls(self, job: Job) -> dict[str, ipw.Widget]:
        inch = self.display_unit == "in"
        scale, digits = (25.4, ".2f") if inch else (1.0, ".1f")
        sold = [float(name) for name in tables.names("sheet_thicknesses")]
        sheets = sorted({*sold, job.sheet.thickness})

        def length(text: str, value: float, top: float, step: float) -> ipw.FloatSlider:
            return ipw.FloatSlider(
                value=value / scale,
                min=0,
                max=top / scale,
                step=step / scale,
                description=f"{text}, {self.display_unit}",
                readout_format=digits,
                style=_WIDE,
                layout=_BOX,
            )

        def pick(text: str, options, value: str) -> ipw.ToggleButtons:
            return ipw.ToggleButtons(
                options=options,
                value=value,
                description=text,
                style=_WIDE | {"button_width": "58px"},
                layout=_BOX,
            )

        return {
            "patch__margin": length("Margin", job.patch.margin, 50, 1),
            "patch__shape": pick("Shape", ["follow", "hull", "box"], job.patch.shape),
            "sheet__thickness": ipw.SelectionSlider(
                options=[(units.show(t, "thickness", units=self.display_unit), t) for t in sheets],
                value=job.sheet.thickness,
                description="Sheet",
                style=_WIDE,
                layout=_BOX,
            ),
            "patch__joint": pick("Joint", ["butt", "lap", "plug"], job.patch.joint),
            "patch__gap": length("Gap (butt)", job.patch.gap, 3, 0.1),
            "patch__overlap": length("Overlap (lap)", job.patch.overlap, 40, 1),
            "weld__process": ipw.Dropdown(
                options=PROCESSES,
                value=job.weld.process,
                description="Process",
                style=_WIDE,
                layout=_BOX,
            ),
            "weld__current": ipw.IntSlider(
                value=60, min=10, max=180, description="Current, A", style=_WIDE, layout=_BOX
            ),
            "weld__fill": pick("Fill", ["stitch", "dots"], job.weld.fill),
            "weld__stitch": length("Stitch length", job.weld.stitch, 100, 1),
        }

    def _moved(self, name: str) -> None:
        if getattr(self, "_setting", False):
            return
        if name == "weld__current":
            self._current_touched = True
        elif name == "weld__process":
            self._current_touched = False
        self._work_out(name)

    def _changes(self) -> dict:
        scale = f" {self.display_unit}"
        changes: dict = {}
        for name, control in self.controls.items():
            if isinstance(control, ipw.FloatSlider):
                changes[name] = f"{control.value:.6f}{scale}"
            else:
                changes[name] = control.value
        if not self._current_touched:
            changes["weld__current"] = None
        changes["sheet__thickness"] = f"{self.controls['sheet__thickness'].value} mm"
        if self.controls["weld__process"].value != self.job.weld.process:
            # the old process's gas and wire don't suit the new one
            changes |= {
                "weld__gas": None,
                "weld__wire": None,
                "weld__voltage": None,
                "weld__travel": None,
                "weld__flow": None,
            }
        return changes

    def _work_out(self, moved: str | None = None) -> None:
        try:
            job = self.job.changed(**self._changes()) if moved else self.job
            result = estimate(job)
        except SheetkitError as error:
            self.message.value = live.faults(error)
            return
        self.message.value = ""
        self.job, self.result = job, result
        if not self._current_touched:
            self._setting = True
            self.controls["weld__current"].value = round(result.values["current_a"])
            self._setting = False
        butt, plug = job.patch.joint == "butt", job.patch.joint == "plug"
        self.controls["patch__gap"].disabled = not butt
        self.controls["patch__overlap"].disabled = butt
        self.controls["weld__fill"].disabled = self.controls["weld__stitch"].disabled = plug
        unit = self.display_unit
        self.picture.value = live.plan_svg(result, display=unit)
        self.cards.value = live.cards(result, display=unit)
        self.amounts.value = live.amounts(result, display=unit)
        self.cautions.value = live.caution_list(result, display=unit)
