"""What orders of one job are judged on: there at once; the planner's own order is searched later.

Of a class only one searches: the order found is laid in the class's folder for the others.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from ..base import files, lock
from ..base.errors import NotWritten
from ..repair.estimate import Estimate
from ..repair.plan import order_hangs_on, plan
from ..sequence.orders import loop_order
from ..sequence.plan import SequencePlan, retimed
from .next_place import Moment, moment_after
from .tries import Judged, judged

ORDERS = ".orders"
"""The folder beside the pupils' in which orders that were searched for lie."""
PATIENT = 15
"""So many times the lock of another who searches is waited for."""


def quick_plan(result: Estimate) -> SequencePlan:
    """Return a plan whose order nobody searched for: what an order is judged on, at once."""
    return plan(result, stop=lambda: True)


class Board:
    """A job's stitches, and how orders of them do.

    plan : what an order is timed on and held to; planner : the planner's order, once it is there
    """

    def __init__(self, source: Estimate | SequencePlan, name: str = ""):
        if isinstance(source, SequencePlan):
            self.result, self.plan = None, source
            self.name, self.planner = name or "board", tuple(source.order)
        else:
            self.result, self.plan = source, quick_plan(source)
            self.name, self.planner = name or source.job.title or "board", ()
        self._once_round: tuple[SequencePlan, Judged] | None = None

    @property
    def count(self) -> int:
        """How many stitches there are."""
        return len(self.plan.patch)

    def judged(self, order: Sequence[int], name: str = "yours") -> Judged:
        """Return an order's figures (see `tries.judged`)."""
        return judged(self.plan, order, name)

    def once_round(self) -> Judged:
        """Return the figures of going once round."""
        if self._once_round is None or self._once_round[0] is not self.plan:
            self._once_round = self.plan, self.judged(loop_order(self.count), "once round")
        return self._once_round[1]

    def after(self, done: Sequence[int]) -> Moment:
        """Return the computed heat of every place that is left after some stitches."""
        return moment_after(self.plan, done)

    def search(
        self,
        folder: str | os.PathLike | None = None,
        *,
        progress: Callable[[str, int, int], Any] | None = None,
        stop: Callable[[], bool] | None = None,
    ) -> None:
        """Find the planner's order, unless it is there: in the folder, or by searching.

        Parameters
        ----------
        folder : the class's; None keeps what is found to oneself
        progress, stop : as for `repair.plan.plan`

        Raises
        ------
        OutOfRange : the job can't be planned
        """
        if self.planner or self.result is None:
            return
        path = None if folder is None or self.plan.protected else self._path(Path(folder))
        for _ in range(PATIENT if path else 0):
            assert path is not None
            if self._take(path):
                return
            try:
                path.parent.mkdir(parents=True, exist_ok=True)
                with lock.held(path):
                    if not self._take(path):
                        self._found(plan(self.result, progress=progress, stop=stop))
                        self._lay(path)
                    return
            except NotWritten:
                continue  # another still searches
            except OSError:
                break
        self._found(plan(self.result, progress=progress, stop=stop))

    def _found(self, found: SequencePlan) -> None:
        self.plan, self.planner = found, tuple(found.order)

    def _path(self, folder: Path) -> Path:
        assert self.result is not None
        told = repr(sorted((k, repr(v)) for k, v in order_hangs_on(self.result.job).items()))
        return folder / ORDERS / f"{hashlib.sha256(told.encode()).hexdigest()[:20]}.json"

    def _lay(self, path: Path) -> None:
        if self.plan.stopped:
            return
        told = {
            "order": list(self.planner),
            "less_k": self.plan.held.less_k.tolist(),
            "loop_total_s": self.once_round().plan.total_s,
        }
        try:
            files.write_text_atomically(path, json.dumps(told), backup=False)
        except NotWritten:
            return  # the others search themselves

    def _take(self, path: Path) -> bool:
        """Take the order that lies there, if it still holds for this sheet."""
        try:
            told = json.loads(path.read_text(encoding="utf-8"))
            order, loop_s = told["order"], float(told["loop_total_s"])
            less_k = np.asarray(told["less_k"], float)
            if sorted(order) != list(range(self.count)):
                return False
            if (
                less_k.shape != self.plan.held.less_k.shape
                or not ((less_k >= 0) & (less_k < 20)).all()
            ):
                return False
            held = replace(self.plan, held=replace(self.plan.held, less_k=less_k))
            if abs(retimed(held, loop_order(self.count)).total_s - loop_s) > 0.01 * loop_s:
                return False
        except (OSError, ValueError, TypeError, KeyError):
            return False
        self.plan, self.planner = held, tuple(int(n) for n in order)
        return True
