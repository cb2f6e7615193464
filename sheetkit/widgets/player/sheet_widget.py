"""What the player and the lesson share with the page."""

from __future__ import annotations

import base64
from typing import TypeGuard

import anywidget
import traitlets

from ...base import amounts

MOST_EVENTS = 2**53
"""A page counts exactly up to here."""


def is_number(value: object) -> TypeGuard[float]:
    """Say whether a value from the page is a finite number; an integer may be too large for one."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return False
    return abs(value) < 1e12


class SheetWidget(anywidget.AnyWidget):
    """What the player and the lesson share with the page.

    view : the scene of `heat_view.HeatView`; frames, colours : its bytes
    unit : "C" or "F", of temperatures shown
    too_hot : what must be read before the order is followed
    event : what the page reports, with a running number n; echo : the last n heard
    """

    view = traitlets.Dict().tag(sync=True)
    frames = traitlets.Bytes(b"").tag(sync=True)
    colours = traitlets.Bytes(b"").tag(sync=True)
    unit = traitlets.Enum(["C", "F"], "C").tag(sync=True)
    too_hot = traitlets.List(traitlets.Unicode()).tag(sync=True)
    event = traitlets.Dict().tag(sync=True)
    echo = traitlets.Int(0).tag(sync=True)

    @traitlets.observe("event")
    def _hear(self, change) -> None:
        number = change["new"].get("n")
        if isinstance(number, bool) or not isinstance(number, int) or not 0 <= number < MOST_EVENTS:
            return
        self.echo = number  # at once: the page waits for it
        self._answer(change["new"])

    def _answer(self, event: dict) -> None:
        raise NotImplementedError

    def _degrees(self, celsius: float) -> str:
        return amounts.show(celsius, "temperature", units="in" if self.unit == "F" else "mm")

    def _still(self) -> bytes:
        """Return a picture as PNG for notebooks that aren't trusted."""
        raise NotImplementedError

    def _repr_mimebundle_(self, **kwargs):
        bundle = super()._repr_mimebundle_(**kwargs)
        if not bundle:
            return bundle
        data, *rest = bundle if isinstance(bundle, tuple) else (bundle,)
        data["text/plain"] = repr(self)
        data["image/png"] = base64.b64encode(self._still()).decode()
        return (data, *rest) if rest else data
