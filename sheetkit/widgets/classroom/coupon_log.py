"""The coupon exercise: a page to print, and a form for what was read, held against the model."""

from __future__ import annotations

import base64
from dataclasses import dataclass
from pathlib import Path

import ipywidgets as ipw

from ...base.errors import Fault, OutOfRange, SheetkitError, shown
from ...repair.estimate import Estimate
from ...sequence import warm
from ...sequence.cooling_curve import READ_AFTER_S
from ...workshop.heat_coupon import HeatCoupon, heat_coupon, protocol
from ...workshop.heat_log import HEAT_LOG_NAME, heat_log_path
from .. import cards
from ..live import as_html
from .pupil import Pupil
from .reveal import Reveal

READ_MIN = tuple(at / 60 for at in READ_AFTER_S)


@dataclass(frozen=True)
class Link:
    """A file to be kept by a click."""

    name: str
    kind: str
    content: bytes

    def _repr_html_(self) -> str:
        data = base64.b64encode(self.content).decode()
        return f'<a download="{self.name}" href="data:{self.kind};base64,{data}">{self.name}: keep or print it</a>'


def _printed(paper: str) -> Link:
    from ...paper.coupon_page import coupon_page  # it loads what draws: the page is there before

    return Link("coupon_log.pdf", "application/pdf", coupon_page(paper))


class CouponLog(ipw.VBox):
    """What to do with a coupon, its log page to print, and a form for the readings.

    Parameters
    ----------
    result : Estimate whose sheet and settings the coupon is welded with
    pupil : in whose folder readings are kept; None: beside the notebook
    paper : of the log page, "a4" or "letter"
    """

    def __init__(self, result: Estimate, *, pupil: Pupil | None = None, paper: str = "a4"):
        self._result, self._pupil = result, pupil
        self.coupon: HeatCoupon | None = None
        self.fields = {
            "bead_mm": _field("Bead's length, mm"), "arc_s": _field("Arc burned, s"),
            "air_c": _field("Air before, °C"),
            **{f"after_{minute:g}_min": _field(f"After {minute:g} min, °C") for minute in READ_MIN},
            "strip_mm": _field("Burnt strip, mm"),
        }  # fmt: skip
        self.work_button = ipw.Button(description="Hold it against the model", layout=_WIDE)
        self.keep_button = ipw.Button(
            description=f"Keep in {HEAT_LOG_NAME}", disabled=True, layout=_WIDE
        )
        self.work_button.on_click(lambda _: self.work())
        self.keep_button.on_click(lambda _: self.keep())
        self.message, self.shown = ipw.HTML(), ipw.HTML()
        printed = Reveal("Log page to print", lambda: _printed(paper))
        flow = ipw.Layout(display="flex", flex_flow="row wrap")
        super().__init__([
            ipw.HTML(protocol()._repr_html_()), printed, ipw.Box(list(self.fields.values()), layout=flow),
            ipw.Box([self.work_button, self.keep_button], layout=flow), self.message, self.shown,
        ])  # fmt: skip
        self.add_class("sk-touch")

    def __repr__(self) -> str:
        return "CouponLog()" if self.coupon is None else f"CouponLog({self.coupon!r})"

    def work(self) -> None:
        """Hold what was read against the model; all that can't be used is told at once."""
        self.coupon, self.keep_button.disabled, self.shown.value = None, True, ""
        try:
            numbers = self._numbers()
            warm.wait()
            made = heat_coupon(self._result, bead_mm=numbers["bead_mm"], arc_s=numbers["arc_s"],
                               air_c=numbers["air_c"])  # fmt: skip
            read = [
                (60 * minute, numbers[name])
                for minute in READ_MIN
                if (name := f"after_{minute:g}_min") in numbers
            ]
            self.coupon = made.read(*read, strip_mm=numbers.get("strip_mm"))
        except SheetkitError as error:
            self.message.value = cards.faults(error)
            return
        self.message.value = ""
        self.shown.value = as_html(self.coupon) + self.coupon.ratios()._repr_html_()
        self.keep_button.disabled = False

    def _numbers(self) -> dict[str, float]:
        """Return the figures typed in; a comma is a point, what is left empty is not there."""
        found, faults = {}, []
        for name, box in self.fields.items():
            text = box.value.strip().replace(",", ".")
            if not text:
                if name in ("bead_mm", "arc_s", "air_c"):
                    faults.append(
                        Fault(box.description, "empty", "must be given", "type what you measured")
                    )
                continue
            try:
                found[name] = float(text)
            except ValueError:
                faults.append(
                    Fault(box.description, shown(text), "must be a number", "such as 12.5")
                )
        if not faults and not any(name.startswith("after_") for name in found):
            faults.append(
                Fault(
                    "readings", "none", "at least one is needed", "type what the thermometer read"
                )
            )
        if faults:
            raise OutOfRange(faults)
        return found

    def keep(self) -> None:
        """Keep what was learned in the heat log."""
        if self.coupon is None:
            return
        log = Path(HEAT_LOG_NAME) if self._pupil is None else self._pupil.beside(HEAT_LOG_NAME)
        if log is None:
            self.message.value = "Give your name at the top of the page first: it is kept under it."
            return
        try:
            self.coupon.keep(log)
        except SheetkitError as error:
            self.message.value = cards.faults(error)
            return
        self.keep_button.disabled = True
        self.message.value = f"Kept in {heat_log_path(log).name}."


_WIDE = ipw.Layout(width="auto")


def _field(words: str) -> ipw.Text:
    return ipw.Text(
        description=words, style={"description_width": "150px"}, layout=ipw.Layout(width="250px")
    )
