"""The estimate bench: move a slider, see patch, seam, wire, gas, hours and cautions follow."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import ipywidgets as ipw
import traitlets

from ..base.errors import Fault, JobRefused, SheetkitError
from ..job.job import Job, load
from ..repair.estimate import Estimate, estimate
from ..repair.plan import order_hangs_on, with_plan
from ..sequence.plan import SequencePlan
from . import cards, controls, plan_svg, still
from .pad.overlays import overlays
from .pad.pad import Pad
from .warming import Warming

_UNDRAWN = [[0, 0], [100, 0], [100, 100], [0, 100]]
"""What the controls start from while nothing is drawn."""
_OF_PROCESS = ("gas", "wire", "current", "voltage", "travel", "flow")
"""What suits one process only: suggested anew when another is chosen."""


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
    worked out.  `display`, "mm" or "in", is what lengths are shown in; a pad's
    units are the bench's.  `plan` may be set to the order of the job shown: its
    waits then stand in the hours, until the job's order is another.
    """

    job = traitlets.Instance(Job, allow_none=True)
    result = traitlets.Instance(Estimate, allow_none=True)
    plan = traitlets.Instance(SequencePlan, allow_none=True)
    display = traitlets.Enum(["mm", "in"], "mm")

    def __init__(self, job: Job | str | os.PathLike, *, draw: bool = False, **pad_options: Any):
        self.pad: Pad | None = None
        if draw:
            if isinstance(job, Job):
                raise JobRefused(
                    Fault("job", "a Job", "must be a path to draw on", "give its file's path")
                )
            self.pad = Pad(job, answer=lambda _: self._drawn(), **pad_options)
            job = self.pad.job or Job.from_data(self.pad.data | {"rust": [{"ring": _UNDRAWN}]})
        elif not isinstance(job, Job):
            job = load(Path(job))
        self._start, self._setting = job, False
        self._touched: set[str] = set()
        self._dropped: dict[str, None] = {}
        display = self.pad.units if self.pad else job.drawn_in
        self.controls = controls.make(job, display)
        self.picture, self.cards, self.amounts = ipw.HTML(), ipw.HTML(), ipw.HTML()
        self.cautions, self.message, self.left_out = ipw.HTML(), ipw.HTML(), ipw.HTML()
        for child in (self.picture, self.cards, self.amounts, self.cautions):
            child.layout = ipw.Layout(width="auto", max_width="860px")
        super().__init__(self._parts(), display=display)
        if self.pad:
            traitlets.dlink((self.pad, "units"), (self, "display"))
        self._drawn() if self.pad else self._work_out(job)
        for name, control in self.controls.items():
            control.observe(lambda change, name=name: self._moved(name), "value")

    def __repr__(self) -> str:
        return f"Bench({self.job.title!r})" if self.job else "Bench()"

    def _repr_mimebundle_(self, **kwargs):
        """Add a still picture for notebooks that aren't trusted."""
        bundle = super()._repr_mimebundle_(**kwargs)
        if bundle and self.result is not None:
            from ..views.repair_charts import patch_plan

            bundle["image/png"] = still.encoded(patch_plan(self.result, display=self.display))
        return bundle

    def _parts(self) -> list[ipw.Widget]:
        """Return all that is shown: a pad takes the whole width, a picture stands beside its controls."""
        inputs = ipw.VBox(list(self.controls.values()), layout=ipw.Layout(width="360px"))
        # what comes and goes stands under the pad, which must not move under the pointer
        shown = ipw.VBox(
            [
                self.message,
                self.left_out if self.pad else self.picture,
                self.cards,
                self.amounts,
                Warming(),
            ],
            layout=ipw.Layout(flex="1 1 420px", min_width="320px"),
        )
        row = ipw.Box([inputs, shown], layout=ipw.Layout(display="flex", flex_flow="row wrap"))
        fold = ipw.Accordion([self.cautions], titles=("Before the first cut: cautions",))
        fold.selected_index = 0
        return [*([self.pad] if self.pad else []), row, fold]

    def _moved(self, name: str) -> None:
        """Take over what the user set, and what was set before it and refused."""
        if self._setting:
            return
        if name == "weld__process":
            self._touched.discard(controls.CURRENT)
            self._dropped = dict.fromkeys(f"weld__{key}" for key in _OF_PROCESS)
        self._touched.add(name)
        try:
            if self.pad:
                self.pad.change_job(**self._changes())
            else:
                self._work_out(self._start.changed(**self._changes()))
        except SheetkitError as error:
            self.message.value = cards.faults(error)

    def _changes(self) -> dict:
        """Return the job's changes by the controls that were moved, and by no other."""
        changes: dict = dict(self._dropped)
        for name in self._touched:
            changes[name] = controls.read(self.controls[name], name, self.display)
        return changes

    def _drawn(self) -> None:
        """Follow the pad: its job is the one to work out, its overlays the answer."""
        assert self.pad is not None
        self.left_out.value = cards.left_out(self.pad.drawing, self.pad.fitted)
        if self.pad.job is None:
            self.result = None
            self.pad.overlays = []
            self.cards.value = self.amounts.value = self.cautions.value = ""
            self.message.value = cards.no_figures(self.pad.drawing, self.pad.fitted)
            return
        if not self._work_out(self.pad.job):
            self.pad.overlays = []

    def _work_out(self, job: Job) -> bool:
        """Work the job out and show it; one that can't be leaves the last result and says why."""
        if self.plan and (not self.job or order_hangs_on(job) != order_hangs_on(self.job)):
            self.plan = None
        try:
            result = estimate(job)
            result = with_plan(result, self.plan) if self.plan else result
        except SheetkitError as error:
            self.message.value = cards.faults(error)
            return False
        self._touched.clear()
        self._dropped.clear()
        self.message.value = ""
        self._start, self.job, self.result = job, job, result
        self._show()
        return True

    @traitlets.observe("plan")
    def _planned(self, change: dict) -> None:
        """Reckon the hours anew with the plan's waits; a plan of another job is refused."""
        if self.result is None or self.job is None:
            return
        try:
            result = estimate(self.job)
            self.result = with_plan(result, self.plan) if self.plan else result
        except SheetkitError as error:
            self.plan = change["old"]
            self.message.value = cards.faults(error)
            return
        self._show()

    @traitlets.observe("display")
    def _show(self, _change: object = None) -> None:
        """Show the job and its result in the units chosen."""
        result, unit = self.result, self.display
        current = result.values["current_a"] if result else self._start.weld.current
        self._setting = True
        try:
            controls.show(self.controls, self._start, current or controls.LEAST_A, unit)
        finally:
            self._setting = False
        if result is None:
            return
        if self.pad:
            self.pad.overlays = overlays(result, display=unit)
        else:
            self.picture.value = plan_svg.plan_svg(result, display=unit)
        self.cards.value = cards.cards(result, display=unit)
        self.amounts.value = cards.amounts(result, display=unit)
        self.cautions.value = cards.caution_list(result, display=unit)
