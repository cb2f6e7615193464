"""The box for a visitor's name: it hears the page, and says what came of it."""

from __future__ import annotations

import atexit
from collections.abc import Callable
from contextlib import suppress
from typing import Any

import anywidget
import traitlets

from ...base.errors import SheetkitError, plain
from ...sketch.visitors import MOST_LETTERS, NameTaken, Stay
from ..bundle import bundle, styles

ASKED = "Your drawing is kept under this name, and is there again when you come back."


class NameBox(anywidget.AnyWidget):
    """Asks who draws, and says so afterwards.

    Parameters
    ----------
    acts : mapping
        What the page asks -> called with the name typed and the tab's own word; what it
        refuses is told in the box.  Without "look" nobody looks on.
    asked : what is told while it asks; doing : what stands before the name afterwards

    Traits
    ------
    phase : "ask" for a name, "in" while its visitor draws, "looking" at another's drawing
    name : whose drawing it is; taken : whether the name typed is somebody else's now
    told : the last word, with a running number
    """

    _esm = bundle("visit/visit.js", {"most_letters": MOST_LETTERS})
    _css = styles("visit/visit.css")

    phase = traitlets.Enum(["ask", "in", "looking"], "ask").tag(sync=True)
    name = traitlets.Unicode().tag(sync=True)
    taken = traitlets.Bool(False).tag(sync=True)
    told = traitlets.Dict({"n": 0, "text": ASKED}).tag(sync=True)

    doing = traitlets.Unicode("You draw as").tag(sync=True)
    looks = traitlets.Bool(True).tag(sync=True)

    def __init__(
        self,
        acts: dict[str, Callable[[str, str], Any]],
        *,
        asked: str = ASKED,
        doing: str = "You draw as",
    ):
        self._acts, self._said = acts, 0
        super().__init__(doing=doing, looks="look" in acts, told={"n": 0, "text": asked})
        self.on_msg(self._receive)

    def __repr__(self) -> str:
        return f"NameBox({self.phase!r}, {self.name!r})"

    def say(self, text: str) -> None:
        """Tell something in the box."""
        self._said += 1
        self.told = {"n": self._said, "text": text}

    def _receive(self, _widget: Any, content: Any, _buffers: list) -> None:
        """Do what the page asks; whatever is refused is told in words."""
        if not isinstance(content, dict):
            return
        what, name, tab = (content.get(key) for key in ("do", "name", "tab"))
        if not (isinstance(what, str) and isinstance(name, str) and isinstance(tab, str)):
            return
        if what not in self._acts:
            return
        try:
            self._acts[what](name[:400], plain(tab[:80]))
        except SheetkitError as refused:
            self.taken = isinstance(refused, NameTaken)
            self.say("; ".join(f"{f.value} {f.limit}: {f.remedy}." for f in refused.faults))


class Named:
    """Whoever goes on under a name, which is free at once when the page is closed."""

    _stay: Stay | None = None

    def _free_when_closed(self) -> None:
        atexit.register(self._gone)

    def _leave_name(self) -> None:
        stay, self._stay = self._stay, None
        if stay is not None:
            stay.leave()

    def _gone(self) -> None:
        with suppress(SheetkitError):
            self._leave_name()
