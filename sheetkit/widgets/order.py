"""The order of one's own patch: planned at a press, played under it, marked old by an edit."""

from __future__ import annotations

from collections.abc import Callable

import ipywidgets as ipw
import traitlets

from ..repair.estimate import Estimate
from ..sequence.plan import SequencePlan
from ..views.words import minutes
from .plans import Plans
from .player.player import Player

OLD = (
    "<b>This order is for the job as it was before your last change.</b> "
    "Plan it again before you weld by it."
)


class Order(ipw.VBox):
    """A button that plans the order of a job's stitches, and the player of what it found.

    Parameters
    ----------
    source : callable
        Gives the result of the job as it is now; None while there is none.
    plans : Plans
        Where plans are kept, and found if one was made already.

    `plan` is the one played; `is_old` says whether the job has changed since.
    """

    plan = traitlets.Instance(SequencePlan, allow_none=True)
    is_old = traitlets.Bool(False)

    def __init__(self, source: Callable[[], Estimate | None], plans: Plans, *, display: str = "mm"):
        self._source, self._plans, self._display = source, plans, display
        self.button = ipw.Button(
            description="Plan the order", icon="list-ol", layout=ipw.Layout(width="190px")
        )
        self.button.on_click(lambda _: self.start())
        self.progress, self.played = ipw.VBox(), ipw.VBox()
        self.message = ipw.HTML(layout=ipw.Layout(min_height="30px"))
        super().__init__([self.button, self.progress, self.message, self.played])
        self.add_class("sk-touch")
        self.follow()

    def __repr__(self) -> str:
        return (
            "Order(old)" if self.is_old else f"Order({'planned' if self.plan else 'not planned'})"
        )

    @property
    def player(self) -> Player | None:
        """The player of the plan; None before there is one."""
        return self.played.children[0] if self.played.children else None

    def start(self) -> None:
        """Plan the job as it is now, or show its plan if there is one."""
        result = self._source()
        if result is None:
            self.message.value = "Nothing to plan yet: draw a ring round the rust first."
            return
        self.button.disabled = True
        self._plans.planned(result, self.progress, self._found, self._failed)

    def _failed(self) -> None:
        self.button.disabled = False

    def _found(self, plan: SequencePlan) -> None:
        self.plan = plan
        self.played.children = [Player(plan, display=self._display)]
        self.button.disabled = False
        self.follow()

    def follow(self) -> None:
        """See whether the plan played still is the job's; take up one that was made elsewhere."""
        result = self._source()
        kept = self._plans.kept(result.job if result else None)
        if kept is not None and kept is not self.plan:
            self.plan = kept
            self.played.children = [Player(kept, display=self._display)]
        self.is_old = self.plan is not None and kept is None
        if self.plan is None:
            self.message.value = (
                "Tacks first, then the stitches with what waits, so that heat spreads."
            )
        elif self.is_old:
            self.message.value = OLD
        else:
            self.message.value = (
                f"Tacks: {minutes(self.plan.tack_s)}. Stitches with their waits: "
                f"<b>{minutes(self.plan.total_s)}</b>; once round would take "
                f"{minutes(self.plan.loop_total_s)}."
            )
        self.button.description = "Plan it again" if self.is_old else "Plan the order"

    def show_in(self, display: str) -> None:
        """Show temperatures and lengths in the units chosen, "mm" or "in"."""
        self._display = display
        if self.player is not None:
            self.player.show_in(display)
