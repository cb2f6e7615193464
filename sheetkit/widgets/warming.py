"""A word on screen while the planner is made ready in the background."""

from __future__ import annotations

import ipywidgets as ipw

from ..sequence import warm
from .host import without_code


class Warming(ipw.HTML):
    """Begins to make the planner ready; says so while something has to be compiled, else empty."""

    def __init__(self):
        super().__init__()
        # of the many pages of one server few plan at once: each loads it when it does
        warm.begin(self._tell, load=not without_code())

    def _tell(self, words: str) -> None:
        self.value = f"<small>{words} …</small>" if words else ""

    def __repr__(self) -> str:
        return f"Warming({self.value!r})"
