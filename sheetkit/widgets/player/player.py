"""The heat-spread player: watch a plan's heat, or step along it in the shop."""

from __future__ import annotations

import traitlets

from ...base import amounts
from ...sequence.plan import SequencePlan
from ...sequence.thermometer import Pace, paced
from ...views.heat_frames import FRAMES, colour_table, heat_view
from ..bundle import bundle, styles
from .sheet_widget import SheetWidget


class Player(SheetWidget):
    """A plan played: the heat over time, or the shop's next step with its countdown.

    Parameters
    ----------
    plan : SequencePlan with its model
    mode : "watch" or "step"
    display : "mm" or "in"; inches go with deg F
    frames : of the heat map, 2 to 400

    Traits
    ------
    turn : the next turn, from 0; due_s : starts in welding order, s after the end
    of tacking (actual ones for turns done); began_ms : when the page's clock
    started; rehearse : how many times faster than real it runs; ratio : measured
    rise over the model's, by the last reading; note : n and text to tell the user
    """

    _esm = bundle("player/player.js")
    _css = styles("player/sheet.css", "player/player.css")

    mode = traitlets.Enum(["watch", "step"], "watch").tag(sync=True)
    turn = traitlets.Int(0).tag(sync=True)
    due_s = traitlets.List(traitlets.Float()).tag(sync=True)
    began_ms = traitlets.Float(0.0).tag(sync=True)
    rehearse = traitlets.Float(1.0, min=0.1).tag(sync=True)
    sound = traitlets.Bool(False).tag(sync=True)
    note = traitlets.Dict().tag(sync=True)
    ratio = traitlets.Float(1.0)

    def __init__(
        self,
        plan: SequencePlan,
        *,
        mode: str = "watch",
        display: str = "mm",
        frames: int = FRAMES,
    ):
        self.plan = plan
        shown = heat_view(plan, frames=frames)
        super().__init__(
            view=shown.scene, frames=shown.packed, colours=colour_table(), mode=mode,
            unit="F" if display == "in" else "C", due_s=[float(s) for s in plan.start_s],
        )  # fmt: skip

    def __repr__(self) -> str:
        return f"Player({len(self.plan.order)} stitches)"

    def _still(self) -> bytes:
        from ...views.axes import png
        from ...views.heat_charts import peak_map

        display = "in" if self.unit == "F" else "mm"
        return png(peak_map(self.plan, display=display).figure)

    def _answer(self, event: dict) -> None:
        """Time the rest again from what the page reports."""
        kind = event["kind"]
        if kind == "restart":
            self.ratio, self.note = 1.0, {}
            self.due_s = [float(s) for s in self.plan.start_s]
            return
        if kind == "hot":  # the page has put the next start off by itself
            return
        measured = event.get("reading_c")
        pace = paced(
            self.plan,
            event["starts_s"],
            float(event["at_s"]),
            ratio=self.ratio,
            measured_c=measured,
        )
        self.ratio = pace.ratio
        self.due_s = list(pace.due_s)
        if measured is not None:
            self.note = {"n": event["n"], "text": self._told(pace, event)}

    def _told(self, pace: Pace, event: dict) -> str:
        """Say what a reading did."""
        measured_c, now_s = float(event["reading_c"]), float(event["at_s"])
        degree = self._degrees
        words = f"{degree(measured_c)} where {degree(pace.expected_c)} was expected. "
        if pace.clipped:
            words += "That is far off: check the thermometer. "
        if not pace.told:
            words += "The sheet is too cool there to tell more; the waits stay. "
        elif abs(pace.ratio - 1) > 0.03:
            longer = "longer" if pace.ratio > 1 else "shorter"
            words += f"The waits to come are {longer} now. "
        due = pace.due_s[len(event["starts_s"])]
        if measured_c <= self.plan.interpass_limit_c and due <= now_s + 5:
            return words + "Weld it, then press Done."
        if measured_c <= self.plan.interpass_limit_c:
            return words + "Heat is still on its way there: wait for the countdown."
        return words + "Wait for the countdown, then measure again."

    def _degrees(self, celsius: float) -> str:
        return amounts.show(celsius, "temperature", units="in" if self.unit == "F" else "mm")
