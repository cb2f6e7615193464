"""The bench: a job's drawing, settings and figures on one screen; open, begin, plan, compare, print."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import ipywidgets as ipw
import traitlets

from ..base.errors import Fault, JobRefused, SheetkitError
from ..job.job import Job, load
from ..repair.estimate import Estimate, estimate
from ..repair.plan import with_plan
from ..sequence.plan import SequencePlan
from ..sketch.drawing import Drawing
from ..sketch.job_entries import from_job, into_job_data
from ..sketch.store import undrawn
from . import plan_svg, still, strip
from .bent.bent_panel import BentPanel
from .details import Details
from .form import rows
from .form.fields import SWITCHES, Entry
from .form.form import Form
from .jobs.shelf import Shelf
from .pad.overlays import bends, overlays
from .pad.pad import Pad
from .plans import Plans

_OF_PROCESS = ("gas", "wire", "current", "voltage", "travel", "flow")
"""What suits one process only: suggested anew when another is chosen."""
PAD_PX = 430
"""The pad's height beside its form: both are seen at once on a small laptop."""


class Bench(ipw.VBox):
    """One job on one screen: drawn, set, worked out; or the list of a folder's jobs.

    Parameters
    ----------
    job : Job or path, optional
        The job shown.  Without it, the jobs of this folder to choose from, with the path of a
        folder those in it; so with the path of a job that isn't there, which is offered to be
        begun.
    draw : bool
        Draw on a pad that keeps the job in its file: `job` is then the path of
        a job file, there already or not, and every change is written to it.
        A job opened or begun on screen is drawn so too.
        Otherwise no file is ever written.

    `job` and `result` are traits: they always hold the last job that could be
    worked out.  `display`, "mm" or "in", is what lengths are shown in, everywhere
    on the bench.  `plan` is the order of the job shown, if one was made or set: its
    waits then stand in the hours, until the job's order is another.
    """

    job = traitlets.Instance(Job, allow_none=True)
    result = traitlets.Instance(Estimate, allow_none=True)
    plan = traitlets.Instance(SequencePlan, allow_none=True)
    display = traitlets.Enum(["mm", "in"], "mm")

    def __init__(
        self,
        job: Job | str | os.PathLike | None = None,
        *,
        draw: bool = False,
        **pad_options: Any,
    ):
        self.pad: Pad | None = None
        self._start: Job | None = None
        self._pending: dict[str, Any] = {}
        self.plans, self._reckoning = Plans(), False
        self.plans.on_kept(self._take_up)
        self.picture = ipw.HTML()
        self.details = Details(lambda: self.result, self.plans)
        self.strip = strip.Strip(show=self._look_at)
        self.form = Form(self._take)
        self.bent = BentPanel(self._change)
        path = None if job is None or isinstance(job, Job) else Path(job)
        folder = path if path is not None and path.is_dir() else path.parent if path else Path()
        folder = folder if folder.is_dir() else Path()
        self.shelf = Shelf(folder, self.open_job)
        super().__init__([self.shelf])
        self.add_class("skb")
        traitlets.link((self, "display"), (self.strip, "units"))
        if draw:
            if path is None:
                raise JobRefused(
                    Fault("job", "a Job", "must be a path to draw on", "give its file's path")
                )
            self.open_job(path, **pad_options)
        elif isinstance(job, Job):
            self.look(job, None)
        elif path is not None and not path.is_dir():
            self._asked_for(path)
        else:
            self.shelf.show_list()

    def __repr__(self) -> str:
        return f"Bench({self.job.title!r})" if self.job else "Bench()"

    def _repr_mimebundle_(self, **kwargs):
        """Add a still picture for notebooks that aren't trusted."""
        bundle = super()._repr_mimebundle_(**kwargs)
        if bundle and self.result is not None:
            from ..views.repair_charts import patch_plan

            bundle["image/png"] = still.encoded(patch_plan(self.result, display=self.display))
        return bundle

    # opening ---------------------------------------------------------------

    def open_job(self, path: str | os.PathLike, **pad_options: Any) -> None:
        """Draw on the job kept at `path`, there already or not.

        Raises JobRefused if there is something else; what was open then stays.
        """
        path = Path(path)
        options = {"height_px": PAD_PX} | pad_options
        pad = Pad(
            path,
            answer=lambda _: self._drawn(),
            on_change=lambda _: self._show_rest(),
            **options,
        )
        start = pad.job or undrawn(pad.data)
        self.pad, self._start = pad, start
        self.details.pages.job_path = path
        self._pending.clear()
        self.display = pad.units if "units" in options else start.drawn_in
        pad.units = self.display
        traitlets.link((pad, "units"), (self, "display"))
        self.result, self.job = None, None
        self._lay_out(pad)
        self.shelf.is_open(path, path.name.removesuffix(".json"), kept=True)
        self._drawn()
        self._show_rest()

    def _asked_for(self, path: Path) -> None:
        """Look at the job in a file; one that isn't there is offered, a faulty one told."""
        if not path.exists():
            self.shelf.offered = path.name.removesuffix(".json")
            if not path.parent.is_dir():
                self.shelf.say(f"There is no folder {path.parent}: these are the jobs here.")
        else:
            try:
                return self.look(load(path), path)
            except SheetkitError as refused:
                self.shelf.say(str(refused))
        self.shelf.show_list()

    def look(self, job: Job, path: Path | None = None) -> None:
        """Show a job without a file to write to."""
        self.pad, self.display = None, job.drawn_in
        self.details.pages.job_path = path
        self._pending.clear()
        self._start = job
        name = path.name.removesuffix(".json") if path else job.title or "a job"
        self.shelf.is_open(path, name, kept=False)
        self._lay_out(self.picture)
        self._work_out(job)
        self._show_rest()

    def _lay_out(self, drawn: ipw.DOMWidget) -> None:
        """Put everything about one job on the screen."""
        for part, name in ((drawn, "skb-drawn"), (self.form, "skb-form")):
            part.add_class(name)
        top, work = ipw.Box([self.strip]), ipw.Box([drawn, self.form])
        top.add_class("skb-top")
        work.add_class("skb-work")
        self.children = [self.shelf, top, work, self.bent, self.details]
        if self._start is not None:
            self.bent.begin(self._start)

    # changes ---------------------------------------------------------------

    def _look_at(self, id_: str) -> None:
        if self.pad:
            self.pad.look_at(id_)

    def _take(self, entry: Entry, text: str) -> None:
        """Take over what the user set, and what was set before it and refused.

        Raises SheetkitError if the job can't be so; it stays as it was.
        """
        if self._start is None:
            return
        if entry.path.startswith("drawn__"):
            self._describe(rows.read_thing(entry, text, self.display))
            return
        path, value = entry.path, rows.read(entry, text, self.display)
        if value is None:
            path = SWITCHES.get(path, path)
            if path.startswith("shop__cylinder__"):
                path = "shop__cylinder"  # its size and pressure are one assumption
        new = {path: value}
        if path == "weld__process":
            new = {f"weld__{key}": None for key in _OF_PROCESS} | new
        elif entry.kind == "lines" and value is None:
            new = {path: ""}
        together = self._pending | new
        try:
            self._change(together)
            self._pending.clear()
        except SheetkitError:
            self._pending = together
            if together.keys() == new.keys():
                raise
            self._change(new)
            self._pending = {k: v for k, v in together.items() if k not in new}

    def _change(self, changes: Mapping[str, Any]) -> None:
        assert self._start is not None
        if self.pad:
            self.pad.change_job(**changes)
        else:
            self._worked_out(self._start.changed(**changes))
            self._show_rest()

    def _describe(self, edit: dict) -> None:
        """Give something drawn another name or number."""
        if self.pad:
            self.pad.edit(**edit)
            return
        assert self._start is not None
        drawing = from_job(self._start).edited(edit)
        self._worked_out(Job.from_data(into_job_data(self._start.data, drawing.shapes)[0]))
        self._show_rest()

    # results ---------------------------------------------------------------

    def _drawn(self) -> None:
        """Follow the pad: its job is the one to work out, its overlays the answer."""
        assert self.pad is not None
        drawing, fitted = self.pad.drawing, self.pad.fitted
        if self.pad.job is None:
            try:
                self._start = undrawn(self.pad.data)
            except SheetkitError as error:
                self.strip.word = strip.fault_word(error)
                return
            self.result = None
            self._show_bends()
            self._show_first()
            self.strip.word = strip.no_figures(drawing, fitted)
            return
        if self._work_out(self.pad.job):
            self.strip.word = strip.left_out(drawing, fitted)
        else:
            self._show_bends()

    def _show_bends(self) -> None:
        """Show the panel's bends alone on the pad, of a drawing that has no patch to show."""
        assert self.pad is not None and self._start is not None
        self.pad.overlays = bends(self._start, self.pad.drawing)

    def _work_out(self, job: Job) -> bool:
        """Work the job out and show it; one that can't be leaves the last result and says why."""
        try:
            self._worked_out(job)
        except SheetkitError as error:
            self.strip.word = strip.fault_word(error)
            return False
        return True

    def _worked_out(self, job: Job) -> None:
        result, plan = estimate(job), self.plans.kept(job)
        if plan is not None:
            result = with_plan(result, plan)
        self._pending.clear()
        self.form.forget_refusals()
        self._reckoning = True
        try:
            self._start, self.job, self.result, self.plan = job, job, result, plan
        finally:
            self._reckoning = False
        if self.pad is None:
            self.strip.word = {"kind": "ok", "text": strip.ENDS}
        self._show_first()

    def _take_up(self) -> None:
        """Reckon with an order that was planned somewhere on the page, if it is this job's."""
        if self.job is not None and (plan := self.plans.kept(self.job)) is not None:
            self.plan = plan

    @traitlets.observe("plan")
    def _planned(self, change: dict) -> None:
        """Reckon the hours anew with the plan's waits; a plan of another job is refused."""
        if self._reckoning or self.job is None:
            return
        try:
            result = estimate(self.job)
            self.result = with_plan(result, self.plan) if self.plan else result
        except SheetkitError as error:
            self._reckoning = True
            self.plan = change["old"]
            self._reckoning = False
            self.strip.word = strip.fault_word(error)
            return
        if self.plan is not None:
            self.plans.keep(self.job, self.plan)
        self._show_first()
        self._show_rest()

    @property
    def _shapes(self) -> Drawing:
        if self.pad:
            return self.pad.drawing
        return from_job(self._start) if self._start else Drawing()

    @traitlets.observe("display")
    def _switch(self, _change: dict) -> None:
        """Show everything in the units chosen."""
        if self._start is None:
            return
        self._show_first()
        self.details.show_in(self.display)
        self._show_rest()

    def _show_first(self) -> None:
        """Show what the eye is on while the hand draws: the cut line and the chief figures."""
        result, unit = self.result, self.display
        if result and self.pad:
            drawn = bends(result.job, self.pad.drawing)
            self.pad.overlays = overlays(result, display=unit) + drawn
        elif result:
            self.picture.value = plan_svg.plan_svg(result, display=unit)
        self.strip.figures = strip.figures(result, display=unit) if result else strip.empty()

    def _show_rest(self) -> None:
        """Show everything else of the job and its result."""
        result, unit = self.result, self.display
        if self._start is None:
            return
        self.form.show(self._start, result, self._shapes, unit)
        self.bent.follow(self._start, result, self._shapes, unit)
        self.details.follow(unit)
