"""A table or picture that is worked out when somebody asks for it: the page is there before."""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Any

import ipywidgets as ipw

from ...base.errors import SheetkitError
from ...sequence import warm
from .. import cards
from ..live import as_html


class Reveal(ipw.VBox):
    """A button that shows what a function gives.

    Parameters
    ----------
    words : on the button
    view : called once, in the background; gives anything a notebook cell can end with
    """

    def __init__(self, words: str, view: Callable[[], Any]):
        self._view = view
        self._thread: threading.Thread | None = None
        self.button = ipw.Button(
            description=words,
            layout=ipw.Layout(width="auto", max_width="100%", align_self="flex-start"),
        )
        self.shown = ipw.HTML()
        self.button.on_click(lambda _: self.show())
        super().__init__([self.button, self.shown])
        self.add_class("sk-touch")

    def __repr__(self) -> str:
        return f"Reveal({self.button.description!r})"

    def show(self) -> None:
        """Work it out and show it."""
        if self._thread is not None and self._thread.is_alive():
            return
        self.button.disabled, self.shown.value = True, '<div role="status">Working it out …</div>'
        self._thread = threading.Thread(target=self._work, daemon=True)
        self._thread.start()

    def wait(self) -> None:
        """Return once it is shown."""
        if self._thread is not None:
            self._thread.join()

    def _work(self) -> None:
        try:
            warm.wait()
            self.shown.value = as_html(self._view())
        except SheetkitError as error:
            self.shown.value = cards.faults(error)
        except Exception as error:  # a thread has nobody above it
            self.shown.value = cards.unexpected(error)
        finally:
            self.button.disabled = False
