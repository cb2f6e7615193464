"""A picture or table that follows a bench: nothing has to be run again."""

from __future__ import annotations

import inspect
import threading
import time
from collections.abc import Callable
from html import escape
from typing import Any, Protocol
from weakref import WeakKeyDictionary

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
REST_S = 0.3
"""Views wait until the hand has rested so long: while it draws, all there is goes to the drawing."""


class Turns:
    """Renews the views of one bench on one thread, one after the other, once the hand rests.

    A view that is at work is finished; those after it wait for the hand again when something
    changes meanwhile, and all end with the newest result.
    """

    def __init__(self, bench: Followed):
        self._views: WeakKeyDictionary[Live, None] = WeakKeyDictionary()  # in their order
        self._guard = threading.Condition()
        self._changes, self._at_work, self._last_s = 0, False, 0.0
        bench.observe(lambda _: self._changed(), ["result", "display"])

    def take(self, view: Live) -> None:
        """Renew a view too from now on."""
        self._views[view] = None

    def wait(self) -> None:
        """Return once every view shows the newest result."""
        with self._guard:
            self._guard.wait_for(lambda: not self._at_work)

    def _changed(self) -> None:
        with self._guard:
            self._changes += 1
            self._last_s = time.monotonic()
            if self._at_work:
                return
            self._at_work = True
        threading.Thread(target=self._work, daemon=True).start()

    def _work(self) -> None:
        while True:
            while (left_s := self._last_s + REST_S - time.monotonic()) > 0:
                time.sleep(left_s)
            begun_with = self._changes
            for view in list(self._views):
                view.renew()
                if self._changes != begun_with:
                    break
            with self._guard:
                if self._changes == begun_with:
                    self._at_work = False
                    self._guard.notify_all()
                    return


_TURNS: WeakKeyDictionary[Followed, Turns] = WeakKeyDictionary()
"""Bench -> what renews its views."""


class Live(ipw.HTML):
    """What a function says of a bench's result, always of the last one.

    Parameters
    ----------
    bench : Bench or JobBook
    view : callable
        From the result to what is shown: anything a notebook cell can end with (a listing,
        a chart, a range, a text), such as ``lambda result: result.plot(close=True)``.  One
        that takes ``display`` too is given the units chosen on the bench.

    It is worked out beside the drawing once the hand rests (see `Turns`): a long view never
    holds the pad up.
    """

    def __init__(self, bench: Followed, view: Callable[..., Any]):
        self._bench, self._view = bench, view
        self._in_units = "display" in inspect.signature(view).parameters
        super().__init__(value=self._shown(bench.result))
        if bench not in _TURNS:
            _TURNS[bench] = Turns(bench)
        self._turns = _TURNS[bench]
        self._turns.take(self)

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
        self._turns.wait()

    def renew(self) -> None:
        """Show the bench's result as it is now."""
        self.value = self._shown(self._bench.result)

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
            return cards.unexpected(error)


def as_html(shown: Any) -> str:
    """Return what a notebook would show of an object, as HTML."""
    if hasattr(shown, "_repr_html_"):
        return shown._repr_html_()
    return f"<pre>{escape(str(shown))}</pre>"
