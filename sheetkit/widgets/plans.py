"""The order of a job's stitches, planned once for everything on the page that needs it."""

from __future__ import annotations

from collections.abc import Callable

import ipywidgets as ipw

from ..job.job import Job
from ..repair.estimate import Estimate
from ..repair.plan import order_hangs_on
from ..sequence.plan import SequencePlan
from .planning import Planning

MOST_KEPT = 4
"""So many jobs' plans are kept: undo, or going back to another way, finds its plan again."""


class Plans:
    """Keeps the plans of the last few jobs; plans in the background what isn't there yet."""

    def __init__(self) -> None:
        self._kept: list[tuple[dict, SequencePlan]] = []
        self._planning: Planning | None = None
        self._told: list[Callable[[], None]] = []

    def on_kept(self, callback: Callable[[], None]) -> None:
        """Call `callback` whenever a plan has been kept that wasn't there."""
        self._told.append(callback)

    def kept(self, job: Job | None) -> SequencePlan | None:
        """Return the plan that holds for a job, if there is one."""
        if job is None:
            return None
        wanted = order_hangs_on(job)
        return next((plan for key, plan in self._kept if key == wanted), None)

    def keep(self, job: Job, plan: SequencePlan) -> None:
        """Keep the plan of a job."""
        if self.kept(job) is plan:
            return
        key = order_hangs_on(job)
        others = [one for one in self._kept if one[0] != key]
        self._kept = [(key, plan), *others][:MOST_KEPT]
        for callback in self._told:
            callback()

    def wait(self) -> None:
        """Return once nothing is being planned; tests need it."""
        if self._planning:
            self._planning.join()

    def planned(
        self,
        result: Estimate,
        shown: ipw.VBox,
        then: Callable[[SequencePlan], None],
        failed: Callable[[], None],
    ) -> None:
        """Call `then` with the plan of a result; a bar and a button to stop stand in `shown` meanwhile.

        `failed` is called instead where it can't be planned: the reason stands beside the bar.
        """
        kept = self.kept(result.job)
        if kept is not None:
            then(kept)
            return
        running = self._planning
        wanted = order_hangs_on(result.job)
        same = running and running.at_work and order_hangs_on(running.result.job) == wanted
        planning = running if running and same else Planning(result)
        planning.button.layout.display = "none"
        shown.children = [planning]

        def at_work(change: dict) -> None:
            if change["new"]:
                return
            if planning.plan is None:
                failed()
                return
            self.keep(result.job, planning.plan)
            then(planning.plan)

        planning.observe(at_work, "at_work")
        if planning is not running:
            self._planning = planning
            planning.start()
