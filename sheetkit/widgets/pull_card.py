"""What the seam pulls, beside the first design: reckoned off the page's own thread."""

from __future__ import annotations

import threading
from collections.abc import Callable
from html import escape

import ipywidgets as ipw

from ..base.errors import SheetkitError
from ..repair.estimate import Estimate
from ..repair.pull import Pull, pull
from ..views.pull_words import against, pull_lines, pull_listing, reasons, spoken
from . import cards
from .live import REST_S

NOTHING = "Nothing to reckon yet: draw a ring round the rust first."


class PullCard(ipw.VBox):
    """Index, reasons, picture and figures of the job's pull, and how it stands to the first design.

    It begins once nothing has changed for `REST_S`.
    The first design is the first one reckoned here, until the button makes the present one
    it.  Nothing is reckoned while the card is folded away.

    Parameters
    ----------
    source : callable
        Gives the result of the job as it is now; None while there is none.
    """

    def __init__(self, source: Callable[[], Estimate | None], *, display: str = "mm"):
        self._source, self._display = source, display
        self.first: Pull | None = None
        self.pull: Pull | None = None
        self._shown: Estimate | None = None
        self._open = False
        self._guard = threading.Condition()
        self._changes, self._at_work, self._ended = 0, False, threading.Event()
        self.word = ipw.HTML(layout=ipw.Layout(min_height="26px"))
        self.stop_button = ipw.Button(description="Stop", disabled=True)
        self.begin_button = ipw.Button(
            description="Compare with this one", layout=ipw.Layout(width="190px"), disabled=True
        )
        self.card = ipw.HTML()
        self.stop_button.on_click(lambda _: self._ended.set())
        self.begin_button.on_click(lambda _: self._take_as_first())
        row = ipw.Box(
            [self.begin_button, self.stop_button, self.word],
            layout=ipw.Layout(display="flex", flex_flow="row wrap", align_items="center"),
        )
        super().__init__([row, self.card])

    def __repr__(self) -> str:
        return f"PullCard({self.pull!r})"

    def look(self, opened: bool) -> None:
        """Say whether anybody looks at it."""
        self._open = opened
        self.follow()

    def follow(self) -> None:
        """Reckon the job as it is now, if anybody looks and it is another."""
        result = self._source()
        if not self._open or result is self._shown:
            return
        with self._guard:
            self._changes += 1
            self._ended.set()
            self._guard.notify_all()
            if self._at_work:
                return
            self._at_work = True
        threading.Thread(target=self._work, daemon=True).start()

    def show_in(self, display: str) -> None:
        """Show lengths in other units."""
        self._display = display
        self._show()

    def wait(self) -> None:
        """Return once nothing is at work; tests need it."""
        with self._guard:
            self._guard.wait_for(lambda: not self._at_work)

    def _take_as_first(self) -> None:
        self.first = self.pull
        self._show()

    def _work(self) -> None:
        while True:
            begun_with = self._rested()
            result = self._source()
            self.stop_button.disabled = False
            told = self._reckoned(result)
            self.stop_button.disabled = True
            with self._guard:
                if self._changes != begun_with:
                    continue
                self.word.value = told
                self._at_work = False
                self._guard.notify_all()
                return

    def _rested(self) -> int:
        """Wait until nothing has changed for a while; return how many changes there were."""
        with self._guard:
            while True:
                begun_with = self._changes
                self._guard.wait(REST_S)
                if self._changes == begun_with:
                    self._ended.clear()
                    return begun_with

    def _reckoned(self, result: Estimate | None) -> str:
        """Reckon a result and show it; return the word on it."""
        if result is None:
            self.pull, self._shown = None, None
            self.card.value = ""
            return NOTHING
        self.word.value = "Reckoning what the seam pulls …"
        try:
            found = pull(result, progress=self._progress, stop=self._ended.is_set)
            if found is None:
                return "Stopped; what is shown is of the job before."
            self.pull, self._shown = found, result
            self.first = self.first or found
            self._show()
        except SheetkitError as error:
            self.card.value = ""
            return cards.faults(error)
        except Exception as error:
            # a thread has nobody above it
            return cards.unexpected(error)
        return ""

    def _progress(self, what: str, done: int, total: int) -> None:
        if not self._ended.is_set():
            self.word.value = f"Reckoning what the seam pulls: {escape(what)}, {done} of {total}"

    def _show(self) -> None:
        found, first = self.pull, self.first
        if found is None or first is None:
            return
        self.begin_button.disabled = found is first
        why = "" if found is first else "; ".join(reasons(found, first, self._display))
        beside = "the first design" if found is first else against(found, first)
        heading = (
            '<p style="font-size:16px;margin:6px 0"><b>Pull: '
            f"{escape(beside)}</b>, index {escape(spoken(found.index))}"
            f"{'. What differs: ' + escape(why) if why else ''}</p>"
        )
        lines = "".join(f"<p>{escape(line)}</p>" for line in pull_lines(found, self._display)[1:])
        from ..views.axes import picture  # loads the plotting library
        from ..views.pull_chart import buckle

        chart = picture(buckle(found, display=self._display))
        table = pull_listing(found, self._display)._repr_html_()
        self.card.value = (
            f'{heading}<div style="display:flex;flex-wrap:wrap;gap:12px">'
            f'<div style="flex:1 1 420px">{chart}</div>'
            f'<div style="flex:1 1 320px;line-height:1.4">{lines}</div></div>{table}'
        )
