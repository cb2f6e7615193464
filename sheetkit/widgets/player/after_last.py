"""Readings after the last stitch: what the player's form adds up and keeps in the heat log."""

from __future__ import annotations

import os
from collections.abc import Sequence

from ...base import amounts
from ...base.errors import SheetkitError
from ...base.units import MM_PER_INCH
from ...sequence.burnt_strip import MeasuredStrip
from ...sequence.cooling_curve import READ_AFTER_S, Learned, Reading, learned
from ...sequence.plan import SequencePlan
from ...views.shop_words import learned_line, own_lines, reading_lines
from ...workshop.heat_log import HEAT_LOG_NAME, HeatEntry, entry_of, heat_log_path, keep
from .sheet_widget import is_number

KINDS = ("cooling", "strip", "forget", "keep")
"""What the form reports: a reading, the strip's width, a line to leave out, that it be kept."""


class AfterLast:
    """One job's readings after the last stitch.

    log : the heat log, or the folder it is in; job : what its entry is called
    display : "mm" or "in", of the strip's width
    """

    def __init__(
        self, plan: SequencePlan, log: str | os.PathLike = HEAT_LOG_NAME, job: str = "",
        display: str = "mm",
    ):  # fmt: skip
        self.plan, self.log, self.job, self.display = plan, log, job, display
        self.clear()

    def clear(self) -> None:
        """Forget all readings: the plan is begun again."""
        self.readings: tuple[Reading, ...] = ()
        self.strip: MeasuredStrip | None = None
        self.entry: HeatEntry | None = None
        self._learned: Learned | None = None
        self.said = ""

    def hear(self, event: dict, starts_s: Sequence[float]) -> None:
        """Take what the page reports; what can't be is told, and changes nothing."""
        self.said = ""
        try:
            if event["kind"] == "cooling":
                one = Reading(_number(event, "after_s"), _number(event, "reading_c"))
                self._learn((*self.readings, one), self.strip, starts_s)
            elif event["kind"] == "strip":
                self._learn(self.readings, MeasuredStrip(_number(event, "width_mm")), starts_s)
            elif event["kind"] == "forget":
                self._forget(event.get("line"), starts_s)
            else:
                self._keep()
        except SheetkitError as error:
            self.said = " ".join(map(str, error.faults))

    def _learn(
        self, readings: tuple[Reading, ...], strip: MeasuredStrip | None, starts_s: Sequence[float]
    ) -> None:
        found = learned(self.plan, readings, starts_s=starts_s, strip=strip)
        self.readings, self.strip, self._learned = readings, strip, found

    def _forget(self, line: object, starts_s: Sequence[float]) -> None:
        if isinstance(line, bool) or not isinstance(line, int):
            return
        if 0 <= line < len(self.readings):
            left = (*self.readings[:line], *self.readings[line + 1 :])
            self._learn(left, self.strip, starts_s)
        elif line == len(self.readings) and self.strip is not None:
            self._learn(self.readings, None, starts_s)

    def _keep(self) -> None:
        if self._learned is None or not self._learned.heat.readings:
            self.said = "There is nothing to keep yet: no reading was used."
            return
        known = {} if self.entry is None else {"entry": self.entry.entry, "date": self.entry.date}
        entry = entry_of(self.job, self._learned, self.readings, self.strip, **known)
        keep(self.log, entry)
        self.entry = entry
        name = heat_log_path(self.log).name
        self.said = f"Kept in {name}. Another reading? Add it and keep again: it counts once."

    def shown(self, degrees: str) -> dict:
        """Return what the page shows: lines with the readings in "C" or "F", words, the log."""
        found, unit = self._learned, self.display
        shown_in = "in" if degrees == "F" else "mm"
        lines = reading_lines(self.readings, found, display=shown_in) if found else []
        if self.strip is not None:
            width = amounts.show(self.strip.width_mm, "length", units=unit)
            lines.append(f"burnt strip {width} wide: it tells the heat alone")
        return {
            "lines": lines,
            "words": learned_line(found) if found else "",
            "own": " ".join(own_lines(self.plan)),
            "said": self.said,
            "kept": self.entry is not None,
            "log": heat_log_path(self.log).name,
            "due_s": list(READ_AFTER_S),
            "due": ", ".join(f"{at / 60:g}" for at in READ_AFTER_S) + " min",
            "mm_per_unit": MM_PER_INCH if unit == "in" else 1.0,
            "length": unit,
        }


def _number(event: dict, name: str) -> float:
    """Return a number the page sent; NaN, which every range refuses, for what is none."""
    value = event.get(name)
    return float(value) if is_number(value) else float("nan")
