"""The lesson's board: choose an order by clicking stitches, have it judged, see its heat, try again.

Nothing on it gives an answer away: the planner's order is offered after the first tries, and a
hint asks before it tells.
"""

from __future__ import annotations

import threading
from html import escape
from typing import Any

import traitlets

from ...base.errors import SheetkitError
from ...lesson.board import Board
from ...lesson.records import Try
from ...lesson.tries import Judged
from ...repair.estimate import Estimate
from ...sequence import warm
from ...sequence.orders import loop_order
from ...sequence.plan import SequencePlan, retimed
from ...views.heat_frames import colour_table, heat_view, scene_of
from ...views.place_words import hot_lines
from ...views.words import minutes
from ..bundle import bundle, styles
from ..classroom.pupil import Pupil
from .lesson_words import ASKED, beside_the_planner, on_guess, on_order, told
from .sheet_widget import SheetWidget

TRIES_FIRST = 2
"""So many orders of one's own come before the planner's is offered."""
MOST_SHOWN = 12
"""Tries on screen; the best is always among them."""
READYING = "making the board ready"


class Lesson(SheetWidget):
    """Stitches to click in an order of your own, judged by the planner's rules as often as you like.

    Parameters
    ----------
    source : Estimate, whose board is made ready in the background; or a SequencePlan
    display : "mm" or "in"; inches go with deg F
    pupil : whose tries these are, and where they are kept; None: nobody's, not kept

    Traits
    ------
    order : stitch indices in the order chosen so far
    tries, others : rows of the orders judged; once round and the planner's, once asked for
    verdict : words on the last order; hint : what the last hint asked or told
    bar : words and share while something is made ready; offers : the planner's order may be seen
    """

    _esm = bundle("player/lesson.js")
    _css = styles("player/sheet.css", "player/lesson.css", "touch.css")

    stitches = traitlets.Dict().tag(sync=True)
    order = traitlets.List(traitlets.Int()).tag(sync=True)
    tries: traitlets.List[dict] = traitlets.List().tag(sync=True)
    others: traitlets.List[dict] = traitlets.List().tag(sync=True)
    verdict = traitlets.Dict().tag(sync=True)
    hint = traitlets.Dict().tag(sync=True)
    bar = traitlets.Dict().tag(sync=True)
    offers = traitlets.Bool(False).tag(sync=True)

    def __init__(
        self, source: Estimate | SequencePlan, *, display: str = "mm", pupil: Pupil | None = None
    ):
        self.display, self.pupil = display, Pupil(None) if pupil is None else pupil
        self.board: Board | None = None
        self._told = (
            f"{len(source.patch)} stitches"
            if isinstance(source, SequencePlan)
            else repr(source.job.title)
        )
        self._done: list[Judged] = []
        self._hints = 0
        self._guard = threading.RLock()
        self._thread: threading.Thread | None = None
        super().__init__(colours=colour_table(), unit="F" if display == "in" else "C")
        self._source: Estimate | None = None
        if isinstance(source, SequencePlan):
            self._begin(Board(source))
        else:
            self._source = source
            self._progress(READYING, 0, 1)

    def __repr__(self) -> str:
        return f"Lesson({self._told})"

    def _repr_mimebundle_(self, **kwargs: Any) -> Any:
        """Add a still picture for notebooks that aren't trusted, where the board is there at once."""
        if self.board is not None:
            return super()._repr_mimebundle_(**kwargs)
        return super(SheetWidget, self)._repr_mimebundle_(**kwargs)

    def _still(self) -> bytes:
        from ...views.axes import png
        from ...views.heat_charts import turns

        return png(turns(self.ready().plan, display=self.display, numbers=False).figure)

    def begin(self) -> None:
        """Make the board ready in the background; the page asks for it once it is there itself."""
        with self._guard:
            source, self._source = self._source, None
        if source is not None:
            self._work(lambda: self._prepare(source))

    def wait(self) -> None:
        """Return once nothing is made ready or searched for."""
        self.begin()
        while (thread := self._thread) is not None and thread.is_alive():
            thread.join()

    def ready(self) -> Board:
        """Return the board once it is there."""
        if self.board is None:
            self.wait()
        assert self.board is not None, "it could not be made ready: the bar says why"
        return self.board

    def _work(self, act: Any) -> None:
        def run() -> None:
            try:
                act()
            except SheetkitError as error:
                self.bar = {"words": " ".join(map(str, error.faults)), "share": 0, "over": True}
            except Exception as error:  # a thread has nobody above it
                told = f"{type(error).__name__}: {escape(str(error))}"
                self.bar = {"words": told, "share": 0, "over": True}

        self._thread = threading.Thread(target=run, daemon=True)
        self._thread.start()

    def _progress(self, what: str, done: int, total: int) -> None:
        share = round(done / max(total, 1), 2)
        if self.bar.get("words") != what or abs(self.bar.get("share", 0) - share) > 0.02:
            self.bar = {"words": what, "share": share}

    def _prepare(self, source: Estimate) -> None:
        warm.wait(self._progress)
        self._begin(Board(source))
        self.bar = {}

    def _begin(self, board: Board) -> None:
        with self._guard:
            self.board = board
            loop = retimed(board.plan, loop_order(board.count))
            self.stitches = scene_of(loop)
            self.too_hot = hot_lines(loop, display=self.display)
        self.pupil.take(self)
        self.restore()

    def restore(self) -> None:
        """Show the tries the pupil's record holds: another pupil came, or the page was loaded again."""
        with self._guard:
            if self.board is None:
                return
            kept = self.pupil.keeper.record.tries.get(self.board.name, ())
            whole = list(range(self.board.count))
            orders = [one.order for one in kept if sorted(one.order) == whole]
            self._done = [self.board.judged(order) for order in orders[-MOST_SHOWN * 2 :]]
            self.others, self.verdict, self.hint = [], {}, {}
            self._show()

    def best(self) -> Judged | None:
        """Return the quickest order tried; None before there is one."""
        return min(self._done, key=lambda one: one.plan.total_s, default=None)

    def _answer(self, event: dict) -> None:
        kind = event.get("kind")
        if kind == "here":
            self.begin()
        if self.board is None or not isinstance(kind, str):
            return
        with self._guard:
            if kind == "planner" and self.offers and not self.bar:
                self._work(self._reveal)
            elif kind in ("judge", "play"):
                order = self._stitches_of(event, whole=True)
                if order is not None:
                    self.judge(order) if kind == "judge" else self._play(
                        retimed(self.board.plan, order)
                    )
            elif kind in ("ask", "tell", "guess"):
                order = self._stitches_of(event, whole=False)
                if order is not None:
                    self._hint(kind, order, event.get("stitch"))

    def _stitches_of(self, event: dict, *, whole: bool) -> list[int] | None:
        """Return the order in an event; None where it can't be one."""
        order, count = event.get("order"), self.ready().count
        if not isinstance(order, list) or any(type(n) is not int for n in order):
            return None
        if len(set(order)) != len(order) or not set(order) <= set(range(count)):
            return None
        return order if (len(order) == count if whole else len(order) < count) else None

    def judge(self, order: list[int] | None = None) -> Judged:
        """Judge an order (default: the one chosen), keep it, show the verdict and its heat."""
        board = self.ready()
        order = list(self.order if order is None else order)
        mine = board.judged(order)
        before = self.best()
        self._done = [one for one in self._done if list(one.plan.order) != order] + [mine]
        self.order = order
        try:
            kept = Try(tuple(order), mine.plan.total_s, mine.longest.mistake)
            self.pupil.keeper.tried(board.name, kept)
            said = ""
        except SheetkitError as error:
            said = " ".join(map(str, error.faults))
        self.too_hot = hot_lines(mine.plan, display=self.display)
        self._show()
        compared = [beside_the_planner(board, mine)] if self.others else []
        self.verdict = {"words": [*on_order(mine, before), *compared, *filter(None, [said])]}
        self._play(mine.plan)
        return mine

    def _show(self) -> None:
        best = self.best()
        rows = list(enumerate(self._done, 1))
        shown = rows[-MOST_SHOWN:]
        if best is not None and all(one is not best for _, one in shown):
            shown = [next(row for row in rows if row[1] is best), *shown[1:]]
        self.tries = [self._row(f"try {n}", one, best=one is best) for n, one in shown]
        self.offers = len(self._done) >= TRIES_FIRST
        if self.others:
            self.others = self._other_rows()

    def _row(self, name: str, one: Judged, *, best: bool = False) -> dict:
        return {
            "name": name, "order": list(one.plan.order), "best": best,
            "total_s": one.plan.total_s, "total": minutes(one.plan.total_s),
            "waiting": minutes(one.waiting_s), "hottest": self._degrees(one.never_wait_c),
        }  # fmt: skip

    def _play(self, plan: SequencePlan) -> None:
        shown = heat_view(plan)
        first = next((n for n, time in enumerate(shown.scene["times_s"]) if time >= 0), 0)
        with self.hold_sync():
            self.view, self.frames = shown.scene | {"first": first}, shown.packed

    def _reveal(self) -> None:
        """Find the planner's order and show it beside the tries."""
        board = self.ready()
        if not board.planner:
            self._progress("the planner searches", 0, 1)
            board.search(self.pupil.folder, progress=self._progress)
        with self._guard:
            # by the limit the planner was held to, all are timed alike
            self._done = [board.judged(one.plan.order) for one in self._done]
            self.others = self._other_rows()
            self._show()
            best = self.best()
            if best is not None:
                self.verdict = {"words": [f"Your best: {beside_the_planner(board, best)}",
                                          "Play the planner's order. Where does it go after each stitch?"]}  # fmt: skip
            self.bar = {}

    def _other_rows(self) -> list[dict]:
        board = self.ready()
        planner = board.judged(board.planner)
        return [self._row("once round", board.once_round()), self._row("the planner's", planner)]

    def _hint(self, kind: str, order: list[int], stitch: Any) -> None:
        """Ask which place is coolest, say what a guess is worth, or tell."""
        moment = self.ready().after(order)
        if kind == "ask":
            self._say("ask", ASKED)
        elif kind == "tell":
            self._say("told", told(moment, self._degrees), moment.places[0].stitch)
        elif isinstance(stitch, int) and any(place.stitch == stitch for place in moment.places):
            self._say(*on_guess(moment, stitch, self._degrees), stitch)

    def _say(self, kind: str, text: str, stitch: int = -1) -> None:
        self._hints += 1
        self.hint = {"n": self._hints, "kind": kind, "text": text, "stitch": stitch}
