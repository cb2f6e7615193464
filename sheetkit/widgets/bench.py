"""The estimate bench: move a slider, see patch, seam, wire, gas, hours and cautions follow."""

from __future__ import annotations

import os
from pathlib import Path

import anywidget
import ipywidgets as ipw
import traitlets

from ..base import amounts, tables
from ..base.errors import SheetkitError
from ..job.job import Job, load
from ..repair.estimate import Estimate, estimate
from ..views.words import PROCESSES
from . import cards, plan_svg
from .bundle import bundle
from .pad.overlays import overlays
from .pad.pad import Pad

_WIDE = {"description_width": "124px"}
_BOX = {"width": "336px"}
ROLES = (
    ("floor", "floor"),
    ("visible skin", "skin"),
    ("carries load: sill, pillar", "structural"),
)
COATINGS = (("painted", "painted"), ("zinc", "zinc"), ("bare", "bare"))


_UNDRAWN = [[0, 0], [100, 0], [100, 100], [0, 100]]
"""What the controls start from while nothing is drawn."""


class _Names(anywidget.AnyWidget):
    """Stands unseen among sliders and gives their handles names."""

    _esm = bundle("names.js")


class Bench(ipw.VBox):
    """Controls for one job beside its live results.

    Parameters
    ----------
    job : Job or path
        The job shown; a path is loaded.
    draw : bool
        Draw on a pad that keeps the job in its file: `job` is then the path of
        a job file, there already or not, and every change is written to it.
        Otherwise no file is ever written.

    `job` and `result` are traits: they always hold the last job that could be
    worked out.
    """

    job = traitlets.Instance(Job, allow_none=True)
    result = traitlets.Instance(Estimate, allow_none=True)

    def __init__(self, job: Job | str | os.PathLike, *, draw: bool = False, **pad_options):
        self.pad = Pad(job, answer=lambda _: self._drawn(), **pad_options) if draw else None
        if self.pad is not None:
            job = self.pad.job or Job.from_data(self.pad.data | {"rust": [{"ring": _UNDRAWN}]})
        elif isinstance(job, str | os.PathLike):
            job = load(Path(job))
        self.display_unit = job.drawn_in
        self._start, self._touched, self._dropped, self._setting = job, set(), {}, False
        self.controls = self._make_controls(job)
        self.picture, self.cards = ipw.HTML(), ipw.HTML()
        if self.pad is not None:
            self.display_unit = self.pad.units
        self.amounts, self.cautions = ipw.HTML(), ipw.HTML()
        self.message = ipw.HTML()
        for child in (self.picture, self.cards, self.amounts, self.cautions):
            child.layout = ipw.Layout(width="auto", max_width="640px")
        inputs = ipw.VBox([*self.controls.values(), _Names()], layout=ipw.Layout(width="360px"))
        # a pad takes the whole width, a picture stands beside its controls
        drawn = [self.message, self.pad or self.picture]
        above, beside = (drawn, []) if self.pad else ([], drawn)
        shown = ipw.VBox(
            [*beside, self.cards, self.amounts],
            layout=ipw.Layout(flex="1 1 420px", min_width="320px"),
        )
        row = ipw.Box([inputs, shown], layout=ipw.Layout(display="flex", flex_flow="row wrap"))
        fold = ipw.Accordion([self.cautions], titles=("Before the first cut: cautions",))
        fold.selected_index = 0
        super().__init__([*above, row, fold])
        if self.pad is None:
            self._work_out()
        else:
            self._drawn()
        for name, control in self.controls.items():
            control.observe(lambda change, name=name: self._moved(name), "value")

    def __repr__(self) -> str:
        return f"Bench({self.job.title!r})" if self.job else "Bench()"

    def _repr_mimebundle_(self, **kwargs):
        """Add a still picture for notebooks that aren't trusted."""
        bundle = super()._repr_mimebundle_(**kwargs)
        if bundle and self.result is not None:
            import base64

            from ..views.axes import png
            from ..views.repair_charts import patch_plan

            still = png(patch_plan(self.result, display=self.display_unit).figure)
            bundle["image/png"] = base64.b64encode(still).decode()
        return bundle

    def _make_controls(self, job: Job) -> dict[str, ipw.Widget]:
        inch = self.display_unit == "in"
        scale = 25.4 if inch else 1.0
        sold = [float(name) for name in tables.names("sheet_thicknesses")]
        sheets = sorted({*sold, job.sheet.thickness})

        def length(text: str, value: float, top: float, *, fine: bool = False) -> ipw.FloatSlider:
            step = (0.005 if fine else 0.05) if inch else (0.1 if fine else 1.0)
            return ipw.FloatSlider(
                value=value / scale,
                min=0,
                max=round(top / scale / step) * step,
                step=step,
                description=f"{text}, {self.display_unit}",
                readout_format=(".3f" if fine else ".2f") if inch else ".1f",
                style=_WIDE,
                layout=_BOX,
            )

        processes = [(words, number) for number, words in PROCESSES.items()]

        def pick(text: str, options, value) -> ipw.Dropdown:
            return ipw.Dropdown(
                options=options, value=value, description=text, style=_WIDE, layout=_BOX
            )

        return {
            "patch__margin": length("Margin", job.patch.margin, 50),
            "patch__shape": pick("Shape", ["follow", "hull", "box"], job.patch.shape),
            "sheet__thickness": ipw.SelectionSlider(
                options=[
                    (amounts.show(t, "thickness", units=self.display_unit), t) for t in sheets
                ],
                value=job.sheet.thickness,
                description="Sheet",
                style=_WIDE,
                layout=_BOX,
            ),
            "sheet__role": pick("Part", ROLES, job.sheet.role),
            "sheet__coating": pick("Coating", COATINGS, job.sheet.coating),
            "sheet__position": pick(
                "Position", ["flat", "vertical", "overhead"], job.sheet.position
            ),
            "sheet__back_access": pick(
                "Back", [("a hand reaches it", True), ("closed", False)], job.sheet.back_access
            ),
            "patch__joint": pick("Joint", ["butt", "lap", "plug"], job.patch.joint),
            "patch__gap": length("Gap (butt)", job.gap, 3, fine=True),
            "patch__overlap": length("Overlap (lap)", job.patch.overlap, 40),
            "weld__process": pick("Process", processes, job.weld.process),
            "weld__current": ipw.IntSlider(
                value=60, min=10, max=180, description="Current, A", style=_WIDE, layout=_BOX
            ),
            "weld__fill": pick("Fill", [("stitches", "stitch"), ("dots", "dots")], job.weld.fill),
            "weld__stitch": length("Stitch length", job.weld.stitch, 100),
        }

    def _moved(self, name: str) -> None:
        if self._setting:
            return
        if name == "weld__process":
            # the old process's settings don't suit the new one
            self._touched.discard("weld__current")
            self._dropped = dict.fromkeys(
                f"weld__{key}" for key in ("gas", "wire", "current", "voltage", "travel", "flow")
            )
        self._touched.add(name)
        if self.pad is None:
            self._work_out()
            return
        try:
            self.pad.change_job(**self._changes())
        except SheetkitError as error:
            self.message.value = cards.faults(error)

    def _drawn(self) -> None:
        """Follow the pad: its job is the one to work out, its overlays the answer."""
        if self.pad.job is None:
            self.result = None
            self.pad.overlays = []
            self.cards.value = self.amounts.value = self.cautions.value = ""
            self.message.value = cards.hint("Draw a ring round the rust to see patch and seam.")
            return
        self._start, self._touched, self._dropped = self.pad.job, set(), {}
        self._work_out()

    def _changes(self) -> dict:
        """Return the job's changes by the controls that were moved, and by no other."""
        changes: dict = dict(self._dropped)
        for name in self._touched:
            control = self.controls[name]
            if isinstance(control, ipw.FloatSlider):
                changes[name] = f"{control.value:.6g} {self.display_unit}"
            elif name == "sheet__thickness":
                changes[name] = f"{control.value} mm"
            else:
                changes[name] = control.value
        return changes

    def _work_out(self) -> None:
        try:
            changes = self._changes()
            job = self._start.changed(**changes) if changes else self._start
            result = estimate(job)
        except SheetkitError as error:
            self.message.value = cards.faults(error)
            if self.pad is not None:
                self.pad.overlays = []
            return
        self.message.value = ""
        self.job, self.result = job, result
        if not job.given("weld.current"):
            self._setting = True
            self.controls["weld__current"].value = round(result.values["current_a"])
            self._setting = False
        butt, plug = job.patch.joint == "butt", job.patch.joint == "plug"
        self.controls["patch__gap"].disabled = not butt
        self.controls["patch__overlap"].disabled = butt
        self.controls["weld__fill"].disabled = self.controls["weld__stitch"].disabled = plug
        unit = self.display_unit
        if self.pad is None:
            self.picture.value = plan_svg.plan_svg(result, display=unit)
        else:
            self.pad.overlays = overlays(result, display=unit)
        self.cards.value = cards.cards(result, display=unit)
        self.amounts.value = cards.amounts(result, display=unit)
        self.cautions.value = cards.caution_list(result, display=unit)
