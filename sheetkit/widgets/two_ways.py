"""Two ways to do one repair, side by side: both pictures, and what differs, in words."""

from __future__ import annotations

import threading
from collections.abc import Callable
from html import escape
from typing import Any

import ipywidgets as ipw

from ..base import amounts
from ..base.errors import SheetkitError, plain
from ..job.job import Job
from ..repair.estimate import Estimate, estimate
from ..repair.pull import pull
from ..views.pull_words import STOPS, against, reasons, spoken
from ..workshop.compare import Way, way
from . import cards
from .plan_svg import plan_svg

NOW = "as it is now"
WIDER_MM = 10.0
_SAME = 0.005
"""A share by which two figures differ that nobody would call a difference."""


def choices(job: Job, *, display: str = "mm") -> dict[str, dict[str, Any]]:
    """Return the ways to choose from: words -> what `Job.changed` takes."""
    margin = job.patch.margin
    words = {mm: amounts.show(mm, "length", units=display, digits=2 if display == "in" else 0)
             for mm in (margin + WIDER_MM, max(margin - WIDER_MM, 0.0))}  # fmt: skip
    return {
        NOW: {},
        "cut that follows the rust": {"patch__shape": "follow"},
        "cut straight across hollows": {"patch__shape": "hull"},
        "cut as a box": {"patch__shape": "box"},
        "butt joint": {"patch__joint": "butt"},
        "lap joint": {"patch__joint": "lap"},
        "lap with plug welds": {"patch__joint": "plug"},
        "stitches": {"weld__fill": "stitch"},
        "dots": {"weld__fill": "dots"},
        **{f"margin of {text}": {"patch__margin": f"{mm:g} mm"} for mm, text in words.items()},
    }


def differences(one: Estimate, other: Estimate, *, display: str = "mm") -> list[tuple[str, ...]]:
    """Return a row for each figure: its name, both amounts, and the difference in words."""
    ways = way("one", one), way("other", other)
    money = plain(one.job.shop.currency)

    def shown(kind: str, digits: int | None = None) -> Callable[[float], str]:
        return lambda amount: amounts.show(amount, kind, units=display, digits=digits)

    figures: tuple[tuple[str, Callable[[Way], float], Callable[[float], str]], ...] = (
        ("seam", lambda w: 1000 * w.seam_m, shown("length")),
        ("new sheet", lambda w: w.area_mm2, shown("area")),
        ("welds", lambda w: w.welds, lambda n: f"{n:.0f}"),
        ("wire", lambda w: w.wire_g, shown("mass")),
        ("gas", lambda w: w.gas_l, shown("volume")),
        ("heat into the sheet", lambda w: w.heat_kj, lambda kj: f"{kj:.0f} kJ"),
        ("hours", lambda w: w.hours.likely, lambda h: f"{h:.1f} h"),
        ("cost", lambda w: w.cost.likely, lambda cost: f"{cost:.0f} {money}"),
    )
    rows: list[tuple[str, ...]] = []
    for name, of, text in figures:
        first, second = (float(of(w)) for w in ways)
        apart = second - first
        if abs(apart) <= _SAME * max(abs(first), abs(second)):
            words = "the same"
        else:
            words = f"{text(abs(apart))} {'more' if apart > 0 else 'less'}"
        rows.append((name, text(first), text(second), words))
    return rows


class TwoWays(ipw.VBox):
    """Two lists to choose a way from, a button, both pictures and a table of what differs.

    Parameters
    ----------
    source : callable
        Gives the result of the job as it is now; None while there is none.
    """

    def __init__(self, source: Callable[[], Estimate | None], *, display: str = "mm"):
        self._source, self._display = source, display
        self.first = ipw.Dropdown(description="This way")
        self.second = ipw.Dropdown(description="or that")
        self.button = ipw.Button(description="Show both", icon="columns")
        self.button.on_click(lambda _: self.compare())
        self.message = ipw.HTML(layout=ipw.Layout(min_height="26px"))
        self.pictures, self.table = ipw.HTML(), ipw.HTML()
        self.pulls = ipw.HTML(layout=ipw.Layout(min_height="26px"))
        self._asked = 0
        self._thread: threading.Thread | None = None
        row = ipw.Box(
            [self.first, self.second, self.button],
            layout=ipw.Layout(display="flex", flex_flow="row wrap"),
        )
        super().__init__([row, self.message, self.pictures, self.table, self.pulls])
        self.follow()

    def __repr__(self) -> str:
        return f"TwoWays({self.first.value!r}, {self.second.value!r})"

    def follow(self) -> None:
        """Offer the ways of the job as it is now; say so where what is shown is of another."""
        result = self._source()
        if result is None:
            return
        names = tuple(choices(result.job, display=self._display))
        if self.first.options != names:
            wanted = self.first.value or NOW, self.second.value or "cut as a box"
            for pick, name in zip((self.first, self.second), wanted, strict=True):
                pick.options = names
                pick.value = name if name in names else NOW
        if self.table.value:
            self.message.value = "Shown for the job before your last change: press Show both."

    def show_in(self, display: str) -> None:
        """Offer lengths in the units chosen; what is shown is worked out again."""
        self._display = display
        was = bool(self.table.value)
        self.follow()
        if was:
            self.compare()

    def compare(self) -> None:
        """Work both ways out and show them."""
        result = self._source()
        if result is None:
            self.message.value = "Nothing to compare yet: draw a ring round the rust first."
            return
        ways = choices(result.job, display=self._display)
        both = []
        for name in (self.first.value, self.second.value):
            try:
                both.append(estimate(result.job.changed(**ways[name])) if ways[name] else result)
            except SheetkitError as error:
                self.message.value = f"<b>{escape(name)}</b>: {cards.faults(error)}"
                return
        self.message.value = ""
        names = [escape(name) for name in (self.first.value, self.second.value)]
        pictures = "".join(
            '<figure style="flex:1 1 300px;margin:0"><figcaption style="font-weight:600">'
            f"{name}</figcaption>{plan_svg(one, display=self._display, close=True)}</figure>"
            for name, one in zip(names, both, strict=True)
        )
        self.pictures.value = f'<div style="display:flex;flex-wrap:wrap;gap:12px">{pictures}</div>'
        self.table.value = _table(names, differences(*both, display=self._display))
        self._asked += 1
        self.pulls.value = "Reckoning what both seams pull …"
        self._thread = threading.Thread(target=self._pull, args=(both, self._asked), daemon=True)
        self._thread.start()

    def wait(self) -> None:
        """Return once both pulls are told; tests need it."""
        if self._thread is not None:
            self._thread.join()

    def _pull(self, both: list[Estimate], asked: int) -> None:
        """Tell how the second way's pull stands to the first's, unless another pair was asked for."""
        try:
            first, second = (pull(one, stop=lambda: asked != self._asked) for one in both)
            if first is None or second is None:
                return
            why = "; ".join(reasons(second, first, self._display))
            told = (
                f"<b>Pull of the seam</b>, index: {spoken(first.index)} this way, "
                f"{spoken(second.index)} that way: {against(second, first)}"
                f"{'. What differs: ' + escape(why) if why else ''}. {escape(STOPS)}"
            ).replace("the first design", "the first way")
        except SheetkitError as error:
            told = cards.faults(error)
        except Exception as error:
            # a thread has nobody above it
            told = cards.unexpected(error)
        if asked == self._asked:
            self.pulls.value = told


def _table(names: list[str], rows: list[tuple[str, ...]]) -> str:
    cell = 'style="text-align:right;padding:2px 12px;font-variant-numeric:tabular-nums"'
    head = "".join(f'<th scope="col" {cell}>{name}</th>' for name in (*names, "that way"))
    body = "".join(
        f'<tr><th scope="row" style="text-align:left">{escape(row[0])}</th>'
        + "".join(f"<td {cell}>{escape(text)}</td>" for text in row[1:])
        + "</tr>"
        for row in rows
    )
    return (
        '<table style="border-collapse:collapse;font-size:14px;line-height:1.5">'
        f"<thead><tr><td></td>{head}</tr></thead><tbody>{body}</tbody></table>"
    )
