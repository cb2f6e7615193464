"""A picture or table that follows a bench: nothing has to be run again."""

from __future__ import annotations

import inspect
import threading
from collections.abc import Callable
from html import escape
from typing import Any, Protocol

import ipywidgets as ipw

from ..base.errors import SheetkitError
from ..repair.estimate import Estimate
from . import cards


class Followed(Protocol):
    """What a view can follow: a bench, or a job book."""

    result: Any
    display: Any

    def observe(self, handler: Callable[..., Any], names: Any) -> Any:
        """Call `handler` when one of these traits changes."""


WAITING = "Nothing drawn yet that can be worked out."


class Live(ipw.HTML):
    """What a function says of a bench's result, always of the last one.

    Parameters
    ----------
    bench : Bench or JobBook
    view : callable
        From the result to what is shown: anything a notebook cell can end with (a listing,
        a chart, a range, a text), such as ``lambda result: result.plot(close=True)``.  One
        that takes ``display`` too is given the units chosen on the bench.

    It is worked out beside the drawing, one at a time, and always ends with the newest:
    a long view never holds the pad up.
    """

    def __init__(self, bench: Followed, view: Callable[..., Any]):
        self._bench, self._view = bench, view
        self._in_units = "display" in inspect.signature(view).parameters
        self._guard, self._wanted, self._at_work = threading.Lock(), 0, False
        self._thread: threading.Thread | None = None
        super().__init__(value=self._shown(bench.result))
        bench.observe(lambda _: self._changed(), ["result", "display"])

    def __repr__(self) -> str:
        return "Live view of the bench"

    def _repr_mimebundle_(self, **kwargs: Any) -> Any:
        """Add the page as it stands, for notebooks that aren't trusted."""
        bundle = super()._repr_mimebundle_(**kwargs)
        if isinstance(bundle, dict):
            bundle["text/html"] = self.value
        return bundle

    def wait(self) -> None:
        """Return once the newest result is shown; tests need it."""
        while self._thread is not None and self._at_work:
            self._thread.join()

    def _changed(self) -> None:
        with self._guard:
            self._wanted += 1
            if self._at_work:
                return
            self._at_work = True
            self._thread = threading.Thread(target=self._follow, daemon=True)
            self._thread.start()

    def _follow(self) -> None:
        while True:
            number = self._wanted
            text = self._shown(self._bench.result)
            with self._guard:
                if number == self._wanted:
                    self.value, self._at_work = text, False
                    return

    def _shown(self, result: Estimate | None) -> str:
        if result is None:
            return WAITING
        try:
            units = {"display": self._bench.display} if self._in_units else {}
            return as_html(self._view(result, **units))
        except SheetkitError as error:
            return cards.faults(error)
        except Exception as error:
            # it may run on a thread, which has nobody above it
            return f"<b>{escape(type(error).__name__)}</b>: {escape(str(error))}"


def as_html(shown: Any) -> str:
    """Return what a notebook would show of an object, as HTML."""
    if hasattr(shown, "_repr_html_"):
        return shown._repr_html_()
    return f"<pre>{escape(str(shown))}</pre>"
