"""Planning with a progress bar and a stop button that keeps the best so far."""

from __future__ import annotations

import threading
import time
from html import escape

import ipywidgets as ipw
import traitlets

from ..base.errors import SheetkitError
from ..repair.estimate import Estimate
from ..repair.plan import plan
from ..sequence import warm
from ..sequence.first_look import FirstLook
from ..sequence.plan import SequencePlan
from ..sequence.shop_heat import ShopHeat
from ..views.lines import first_look_words
from ..views.order_listing import order_listing
from ..views.place_words import hot_lines
from ..views.shop_words import UNVALIDATED
from ..views.words import minutes, named
from . import cards

EVERY_S = 0.1


class Planning(ipw.VBox):
    """A button that plans the order in the background.

    Parameters
    ----------
    result : Estimate
    start : begin at once
    own : the shop's own heat and losses, from `workshop.heat_log`; None: the book's

    `plan` is a trait: None until there is one.  `wait()` returns it.
    """

    plan = traitlets.Instance(SequencePlan, allow_none=True)
    """The finished plan."""
    at_work = traitlets.Bool(False)
    """Whether it is planning; turns False after `plan` has been set or a fault told."""

    def __init__(self, result: Estimate, *, start: bool = False, own: ShopHeat | None = None):
        self.result, self._own = result, own
        self._thread: threading.Thread | None = None
        self._fault: Exception | None = None
        self._stop, self._last = threading.Event(), 0.0
        self.button = ipw.Button(description="Plan the order", button_style="primary")
        self.stop_button = ipw.Button(
            description="Stop, keep the best", disabled=True, layout=ipw.Layout(width="170px")
        )
        self.bar = ipw.FloatProgress(min=0, max=1, layout=ipw.Layout(width="240px"))
        self.label, self.message = ipw.Label(), ipw.HTML()
        self.button.on_click(lambda _: self.start())
        self.stop_button.on_click(lambda _: self.stop())
        row = ipw.Box(
            [self.button, self.stop_button, self.bar, self.label],
            layout=ipw.Layout(display="flex", flex_flow="row wrap", align_items="center"),
        )
        super().__init__([row, self.message])
        warm.begin()
        if start:
            self.start()

    def __repr__(self) -> str:
        return f"Planning({self.result.job.title!r})"

    def start(self) -> None:
        """Begin, unless it is at work."""
        if self._thread is not None and self._thread.is_alive():
            return
        self._stop.clear()
        self._fault, self.message.value = None, ""
        self.button.disabled, self.stop_button.disabled = True, False
        self.at_work = True
        self._thread = threading.Thread(target=self._work, daemon=True)
        self._thread.start()

    def join(self) -> None:
        """Return once nothing is at work."""
        if self._thread is not None:
            self._thread.join()

    def stop(self) -> None:
        """End the search; the best order so far is kept."""
        self._stop.set()
        self.stop_button.disabled = True
        self.label.value = "stopping …"

    def wait(self) -> SequencePlan:
        """Return the plan once it is there; begins if nothing has begun.

        Raises
        ------
        SheetkitError : the job can't be planned
        """
        if self.plan is None and self._thread is None:
            self.start()
        self.join()
        if self._fault is not None:
            raise self._fault
        assert self.plan is not None  # a thread that found none left its fault
        return self.plan

    def _progress(self, what: str, done: int, total: int) -> None:
        now = time.monotonic()
        if now - self._last < EVERY_S and done < total:
            return
        self._last = now
        self.bar.value = done / max(total, 1)
        if not self._stop.is_set():
            self.label.value = what

    def _look(self, look: FirstLook) -> None:
        """Show a rough order until the plan is there."""
        self.message.value = (
            f"<b>{escape(first_look_words(look))}</b>. The plan itself follows as soon as the "
            "planner is ready." + order_listing(look, self.result.job.drawn_in)._repr_html_()
        )

    def _work(self) -> None:
        try:
            found = plan(
                self.result, own=self._own, progress=self._progress, stop=self._stop.is_set,
                first_look=self._look,
            )  # fmt: skip
        except SheetkitError as error:
            self._fault = error
            self.message.value = cards.faults(error)
            self.label.value = ""
        except Exception as error:
            # a thread has nobody above it: wait() raises this again
            self._fault = error
            self.message.value = cards.unexpected(error)
        else:
            self.bar.value = 1
            self.label.value = "stopped: the best so far" if found.stopped else "done"
            self.message.value = (
                f"The fill, {escape(named(found.method))}: <b>{minutes(found.total_s)}</b>; "
                f"once round takes {minutes(found.loop_total_s)}."
            ) + "".join(
                f"<br><b>{escape(words)}</b>"
                for words in hot_lines(found, display=self.result.job.drawn_in)
            )
            self.message.value += f"<br><small>{escape(UNVALIDATED)}</small>"
            self.plan = found
        finally:
            self.button.disabled, self.stop_button.disabled = False, True
            self.at_work = False
