"""The lesson's widgets: choose an order by clicking stitches and have it judged; questions."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import traitlets

from ...base import amounts
from ...base.units import MM_PER_INCH
from ...sequence.orders import loop_order
from ...sequence.plan import SequencePlan, retimed
from ...views.heat_frames import colour_table, heat_view, scene_of
from ...views.place_words import hot_lines
from ...views.words import minutes
from ..bundle import bundle, styles
from .sheet_widget import SheetWidget


@dataclass(frozen=True)
class Judged:
    """An order's figures: time and waits under the limit, and the heat when nobody waits.

    never_wait_c : the highest temperature along a stitch from its start to 20 s
        later, without its own heat, when each follows the other at once
    """

    name: str
    plan: SequencePlan
    never_wait_c: float

    @property
    def waiting_s(self) -> float:
        """Waits of the fill together, s."""
        return float(sum(self.plan.wait_s))


def judged(plan: SequencePlan, order, name: str) -> Judged:
    """Return the figures of an order of the fill, timed by the plan's own rules."""
    timed = retimed(plan, order)
    at_once = plan.timed(timed.order, replace(plan.rules, limit_c=math.inf))
    hot = at_once.peak_before_start_c[1:].max(initial=plan.model.ambient_c)
    return Judged(name, timed, float(hot))


class Lesson(SheetWidget):
    """Stitches to click in an order of your own, judged against once round and the planner's.

    Parameters
    ----------
    plan : SequencePlan with its model
    display : "mm" or "in"; inches go with deg F

    Traits
    ------
    order : stitch indices in the order chosen so far; verdict : rows and words once judged
    """

    _esm = bundle("player/lesson.js")
    _css = styles("player/sheet.css", "player/lesson.css")

    stitches = traitlets.Dict().tag(sync=True)
    order = traitlets.List(traitlets.Int()).tag(sync=True)
    verdict = traitlets.Dict().tag(sync=True)

    def __init__(self, plan: SequencePlan, *, display: str = "mm"):
        self.plan, self.display = plan, display
        self._others: list[Judged] = []
        super().__init__(
            stitches=scene_of(retimed(plan, loop_order(len(plan.order)))),
            colours=colour_table(), unit="F" if display == "in" else "C",
            too_hot=hot_lines(plan, display=display),
        )  # fmt: skip

    def __repr__(self) -> str:
        return f"Lesson({len(self.plan.order)} stitches)"

    def _still(self) -> bytes:
        from ...views.axes import png
        from ...views.heat_charts import turns

        return png(turns(self.plan, display=self.display, numbers=False).figure)

    def _answer(self, event: dict) -> None:
        order = event.get("order")
        stitches = list(range(len(self.plan.order)))
        if isinstance(order, list) and sorted(map(repr, order)) == sorted(map(repr, stitches)):
            self.judge(order)

    def judge(self, order=None) -> list[Judged]:
        """Judge an order (default: the one chosen); show the verdict and the heat."""
        order = list(self.order if order is None else order)
        if not self._others:
            self._others = [
                judged(self.plan, loop_order(len(self.plan.order)), "once round"),
                judged(self.plan, self.plan.order, "the planner's"),
            ]
        loop, planner = self._others
        mine = judged(self.plan, order, "yours")
        shown = heat_view(mine.plan)
        self.order = order
        self.view, self.frames = shown.scene, shown.packed
        self.too_hot = hot_lines(mine.plan, display=self.display)
        first = next((n for n, time in enumerate(shown.scene["times_s"]) if time >= 0), 0)
        rows = sorted([mine, loop, planner], key=lambda one: one.plan.total_s)
        self.verdict = {
            "rows": [self._row(one) for one in rows],
            "words": self._words(mine, loop, planner),
            "frame": first,
        }
        return [mine, loop, planner]

    def _row(self, one: Judged) -> dict:
        inch = self.display == "in"
        off = one.plan.heat_imbalance_mm
        return {
            "name": one.name, "mine": one.name == "yours", "total_s": one.plan.total_s,
            "total": minutes(one.plan.total_s), "waiting": minutes(one.waiting_s),
            "hottest": amounts.show(one.never_wait_c, "temperature", units=self.display),
            "balance": f"{off / MM_PER_INCH:.1f} in" if inch else f"{off:.0f} mm",
        }  # fmt: skip

    @staticmethod
    def _words(mine: Judged, loop: Judged, planner: Judged) -> str:
        """Say how the order did, without promising what no order can do."""
        own, round_s, best = (one.plan.total_s for one in (mine, loop, planner))
        if own <= best * 1.001:
            words = "As quick as the planner's, or quicker. "
        elif own <= best * 1.25:
            words = "Close to the planner's. "
        elif own < round_s * 0.98:
            words = f"{round_s / own:.1f} times as quick as once round; the planner saves more. "
        else:
            words = "No quicker than once round: each stitch waits for the one beside it. "
        return words + "The weld shrinks alike in all of them, and is planished out."
