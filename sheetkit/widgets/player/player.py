"""The heat-spread player: watch a plan's heat, or step along it in the shop."""

from __future__ import annotations

import os
from dataclasses import dataclass

import traitlets

from ...sequence.plan import SequencePlan
from ...sequence.thermometer import (
    LATEST_S,
    LEAST_READING_C,
    MOST_READING_C,
    Pace,
    Reading,
    paced,
)
from ...views.heat_frames import FRAMES, colour_table, heat_view
from ...views.place_words import hot_lines
from ...workshop.heat_log import HEAT_LOG_NAME
from ..bundle import bundle, styles
from .after_last import KINDS as AFTER_KINDS
from .after_last import AfterLast
from .sheet_widget import SheetWidget, is_number

AFTER_READING = {
    Reading.NONE: "",
    Reading.USED: "",
    Reading.HALF_USED: "A second reading that agrees shortens the waits further. ",
    Reading.TOO_COOL: "The sheet is too cool there to tell more; the waits stay. ",
    Reading.SLIP: "That is far off and was not used; check the thermometer and the spot. ",
    Reading.BELOW_AIR: "A sheet is no colder than the air: this was not used. ",
}
"""What is said of a reading, by what became of it."""
KINDS = ("start", "done", "back", "reading", "hot", "restart")


@dataclass(frozen=True)
class Report:
    """What the page reports: kind, the time, starts of the stitches done, a reading; s, deg C."""

    kind: str
    at_s: float
    starts_s: tuple[float, ...]
    reading_c: float | None

    @classmethod
    def of(cls, event: dict, plan: SequencePlan) -> Report | None:
        """Return the report in an event, or None where it can't be one.

        A page sends only sound ones; another program on the same connection might not.
        """
        kind, at, starts = event.get("kind"), event.get("at_s"), event.get("starts_s")
        reading = event.get("reading_c")
        if kind not in KINDS or not isinstance(starts, list) or len(starts) > len(plan.order):
            return None
        if not all(map(is_number, (at, *starts))) or sorted(starts) != starts:
            return None
        latest_s = plan.total_s + LATEST_S
        at_s = min(max(float(at or 0.0), 0.0), latest_s)
        if starts and not (starts[0] >= 0 and starts[-1] <= latest_s):
            return None
        if kind != "reading":
            reading = None
        elif not is_number(reading) or not LEAST_READING_C <= reading <= MOST_READING_C:
            return None
        return cls(kind, at_s, tuple(map(float, starts)), reading)


class Player(SheetWidget):
    """A plan played: the heat over time, or the shop's next step with its countdown.

    Parameters
    ----------
    plan : SequencePlan with its model
    mode : "watch" or "step"
    display : "mm" or "in"; inches go with deg F
    frames : of the heat map, 2 to 400
    log : the heat log in which readings after the last stitch are kept when that is asked for,
        or the folder it is in; job : the job's file, as the log is to name it

    Traits
    ------
    turn : the next turn, from 0; due_s : starts in welding order, s after the end
    of tacking (actual ones for turns done); began_ms : when the page's clock
    started; rehearse : how many times faster than real it runs; ratio : measured
    rise over the model's, by the readings; note : n and text to tell the user; after_last :
    what is shown of the readings after the last stitch
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
    after_last = traitlets.Dict().tag(sync=True)
    ratio = traitlets.Float(1.0)

    def __init__(
        self,
        plan: SequencePlan,
        *,
        mode: str = "watch",
        display: str = "mm",
        frames: int = FRAMES,
        log: str | os.PathLike = HEAT_LOG_NAME,
        job: str = "",
    ):
        self.plan = plan
        self._after = AfterLast(plan, log, job, display)
        degrees = "F" if display == "in" else "C"
        self._found: float | None = None
        shown = heat_view(plan, frames=frames)
        super().__init__(
            view=shown.scene, frames=shown.packed, colours=colour_table(), mode=mode,
            unit=degrees, due_s=[float(s) for s in plan.start_s],
            too_hot=hot_lines(plan, display=display), after_last=self._after.shown(degrees),
        )  # fmt: skip

    def __repr__(self) -> str:
        return f"Player({len(self.plan.order)} stitches)"

    def show_in(self, display: str) -> None:
        """Show temperatures and lengths in other units, "mm" or "in"."""
        self._after.display = display
        with self.hold_sync():
            self.unit = "F" if display == "in" else "C"
            self.too_hot = hot_lines(self.plan, display=display)
            self.after_last = self.after_last | self._after.shown(self.unit)

    def _still(self) -> bytes:
        from ...views.axes import png
        from ...views.heat_charts import peak_map

        display = "in" if self.unit == "F" else "mm"
        return png(peak_map(self.plan, display=display).figure)

    def _answer(self, event: dict) -> None:
        """Time the rest again from what the page reports, or learn from it after the last stitch."""
        if event.get("kind") in AFTER_KINDS:
            self._learn(event)
            return
        report = Report.of(event, self.plan)
        if report is None:
            self._say(event, "That report could not be read: the starts stay as they are.")
        elif report.kind == "restart":
            self.ratio, self.note, self._found = 1.0, {}, None
            self._after.clear()
            self.after_last = self._after.shown(self.unit)
            self.due_s = [float(s) for s in self.plan.start_s]
        elif report.kind != "hot":  # then the page has put the next start off by itself
            pace = paced(
                self.plan, report.starts_s, report.at_s, ratio=self.ratio,
                measured_c=report.reading_c, before=self._found,
            )  # fmt: skip
            self.ratio, self.due_s = pace.ratio, list(pace.due_s)
            if report.reading_c is not None:
                self._found = pace.found
                self._say(event, self._told(pace, report, report.reading_c))

    def _learn(self, event: dict) -> None:
        report = Report.of(event | {"kind": "done", "at_s": 0.0}, self.plan)
        if report is None or len(report.starts_s) != len(self.plan.order):
            self._say(event, "That report could not be read: nothing is learned from it.")
            return
        self._after.hear(event, report.starts_s)
        self.after_last = self._after.shown(self.unit) | {"n": event["n"]}

    @traitlets.observe("unit")
    def _renamed(self, _: object) -> None:
        self.after_last = self.after_last | self._after.shown(self.unit)

    def _say(self, event: dict, text: str) -> None:
        self.note = {"n": event["n"], "text": text}

    def _told(self, pace: Pace, report: Report, measured_c: float) -> str:
        """Say what a reading did."""
        degree, limit_c = self._degrees, self.plan.interpass_limit_c
        words = f"{degree(measured_c)} where {degree(pace.expected_c)} was expected. "
        if pace.reading is Reading.BELOW_AIR:
            words += f"The air is taken for {degree(self.plan.model.ambient_c)}. "
        words += AFTER_READING[pace.reading]
        if pace.reading is Reading.USED and abs(pace.ratio - 1) > 0.03:
            words += f"The waits to come are {'longer' if pace.ratio > 1 else 'shorter'} now. "
        if pace.ratio < 1 and pace.reading in (Reading.USED, Reading.HALF_USED):
            words += "Infrared reads low on bright steel: touch it to be sure. "
        if len(report.starts_s) == len(pace.due_s):
            return words
        if measured_c > limit_c:
            return words + "Wait for the countdown, then measure again."
        if pace.reading in (Reading.SLIP, Reading.BELOW_AIR):
            return words + "Measure again before you weld."
        if pace.due_s[len(report.starts_s)] <= report.at_s + 5:
            return words + "Weld it, then press Done."
        return words + "Heat is still on its way there: wait for the countdown."
