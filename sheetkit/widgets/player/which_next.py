"""The test at the end: which stitch next, and why?  Five moments on a new shape, marked by the heat."""

from __future__ import annotations

import secrets
import threading
from html import escape
from typing import Any

import traitlets

from ...base.errors import SheetkitError
from ...lesson.exam import (
    COOL_MARKS,
    FULL,
    PLACE_MARKS,
    REASON_MARKS,
    REASONS,
    Asked,
    Exam,
    Marked,
    exam,
    marked,
)
from ...lesson.next_place import Heat
from ...lesson.records import Mark
from ...sequence import warm
from ...sequence.orders import loop_order
from ...sequence.plan import retimed
from ...views.heat_frames import colour_table, one_frame, scene_of
from ..bundle import bundle, styles
from ..classroom.pupil import Pupil
from .lesson import Lesson
from .sheet_widget import SheetWidget

CARDS = {"png": "image/png", "pdf": "application/pdf"}
HEAT_WORDS = {
    Heat.HOT_NOW: "it is {now} now, and still {ahead} when you get there",
    Heat.ON_ITS_WAY: "it is {now} now and gets {ahead}, as heat from nearby arrives",
    Heat.COOL: "it stays below the limit, {ahead} at most",
}


class WhichNext(SheetWidget):
    """Five questions on a new shape each time: click the stitch that comes next, and say why.

    Parameters
    ----------
    pupil : whose marks these are, and whose best orders go on the card
    display : "mm" or "in"; inches go with deg F
    seed : of the first shape; None: another each time

    Traits
    ------
    stitches : the shape's scene; asked : the moment asked about; answered : what the answer was worth
    final : marks and words at the end; bar : words and share while a shape is made ready
    """

    _esm = bundle("player/which_next.js", {"reasons": REASONS, "full": FULL})
    _css = styles("player/sheet.css", "player/lesson.css", "touch.css")

    stitches = traitlets.Dict().tag(sync=True)
    asked = traitlets.Dict().tag(sync=True)
    answered = traitlets.Dict().tag(sync=True)
    final = traitlets.Dict().tag(sync=True)
    bar = traitlets.Dict().tag(sync=True)

    def __init__(self, *, pupil: Pupil | None = None, display: str = "mm", seed: int | None = None):
        self.pupil = Pupil(None) if pupil is None else pupil
        self._seed = seed
        self.exam: Exam | None = None
        self._given: list[Marked] = []
        self._thread: threading.Thread | None = None
        self._guard = threading.RLock()
        super().__init__(colours=colour_table(), unit="F" if display == "in" else "C")
        self.pupil.take(self)

    def __repr__(self) -> str:
        return "WhichNext()"

    def _repr_mimebundle_(self, **kwargs: Any) -> Any:
        """A test that nobody began has no picture."""
        return super(SheetWidget, self)._repr_mimebundle_(**kwargs)

    def wait(self) -> None:
        """Return once no shape is being made ready."""
        if self._thread is not None:
            self._thread.join()

    def restore(self) -> None:
        """Another pupil came: a test that was begun is theirs no more."""
        with self._guard:
            self.exam, self._given = None, []
            self.stitches, self.asked, self.answered, self.final = {}, {}, {}, {}

    def _answer(self, event: dict) -> None:
        kind = event.get("kind")
        with self._guard:
            if kind == "begin":
                self.begin()
            elif kind == "next" and self.exam is not None and self.answered:
                self._ask()
            elif (
                kind == "answer" and self.exam is not None and not self.answered and not self.final
            ):
                self._mark(event.get("stitch"), event.get("reason"))
            elif kind == "card" and self.final and event.get("form") in CARDS:
                self._send_card(event["form"])

    def begin(self) -> None:
        """Make a new shape ready and ask the first question."""
        if self._thread is not None and self._thread.is_alive():
            return
        seed, self._seed = self._seed, None
        seed = secrets.randbelow(10**6) if seed is None else seed

        def make() -> None:
            try:
                warm.wait(lambda what, done, total: self._tell(what, done / max(total, 1)))
                self._tell("drawing a new shape", 0.5)
                made = exam(seed)
            except SheetkitError as error:
                self.bar = {"words": " ".join(map(str, error.faults)), "share": 0, "over": True}
                return
            except Exception as error:  # a thread has nobody above it
                self.bar = {"words": f"{type(error).__name__}: {escape(str(error))}", "share": 0,
                            "over": True}  # fmt: skip
                return
            with self._guard:
                self.exam, self._given, self.final = made, [], {}
                self.stitches = scene_of(retimed(made.plan, loop_order(len(made.plan.patch))))
                self.bar = {}
                self._ask()

        self._tell("making the test ready", 0.0)
        self._thread = threading.Thread(target=make, daemon=True)
        self._thread.start()

    def _tell(self, what: str, share: float) -> None:
        self.bar = {"words": what, "share": round(share, 2)}

    def _now(self) -> Asked:
        assert self.exam is not None
        return self.exam.asked[len(self._given)]

    def _ask(self) -> None:
        assert self.exam is not None
        if len(self._given) == len(self.exam.asked):
            self._end()
            return
        asked = self._now()
        moment = asked.moment
        with self.hold_sync():
            self.answered = {}
            self.asked = {
                "n": len(self._given) + 1, "of": len(self.exam.asked), "seed": self.exam.seed,
                "done": [
                    {"stitch": one, "ago_s": round(ago)}
                    for one, ago in zip(moment.done, moment.ago_s, strict=True)
                ],
                "decoy": asked.decoy, "limit_c": moment.plan.interpass_limit_c,
            }  # fmt: skip

    def _mark(self, stitch: Any, reason: Any) -> None:
        asked = self._now()
        left = {place.stitch for place in asked.moment.places}
        if (
            type(stitch) is not int
            or stitch not in left
            or not isinstance(reason, str)
            or reason not in REASONS
        ):
            return
        got = marked(asked, stitch, reason)
        self._given.append(got)
        moment = asked.moment
        with self.hold_sync():
            self.view = dict(self.stitches)
            self.frames = one_frame(moment.plan, moment.peak_field_k(), dict(self.stitches))
            self.answered = {
                "marks": got.marks, "full": PLACE_MARKS + REASON_MARKS, "stitch": stitch,
                "sum": sum(one.marks for one in self._given), "coolest": list(moment.coolest),
                "temps": {str(one.stitch): self._degrees(one.ahead_c) for one in moment.places},
                "words": self._words(asked, stitch, reason, got),
                "last": len(self._given) == len(self.exam.asked) if self.exam else True,
            }  # fmt: skip

    def _words(self, asked: Asked, stitch: int, reason: str, got: Marked) -> list[str]:
        moment = asked.moment
        mine, best = moment.place(stitch), moment.places[0]
        if got.place == PLACE_MARKS:
            place = (
                f"The coolest place: {self._degrees(mine.ahead_c)} at most in the next 20 seconds."
            )
        elif got.place == COOL_MARKS:
            place = (f"Cool enough to weld, {self._degrees(mine.ahead_c)} at most; the coolest place, ringed, "
                     f"stays at {self._degrees(best.ahead_c)}.")  # fmt: skip
        else:
            place = (f"Not there: it gets {self._degrees(mine.ahead_c)}. The coolest place, ringed, "
                     f"stays at {self._degrees(best.ahead_c)}.")  # fmt: skip
        decoy = moment.place(asked.decoy)
        told = HEAT_WORDS[moment.heat(asked.decoy)].format(
            now=self._degrees(decoy.now_c), ahead=self._degrees(decoy.ahead_c)
        )
        why = f"{'Right' if got.reason else 'Not so'}: at the place marked ? {told}."
        if not got.reason and reason == "shrinks":
            why += " A weld shrinks alike wherever it comes in the order."
        return [place, why]

    def _end(self) -> None:
        assert self.exam is not None
        total = sum(one.marks for one in self._given)
        mistakes = tuple(one.mistake for one in self._given if one.mistake)
        try:
            self.pupil.keeper.marked(Mark(self.exam.seed, total, FULL, mistakes))
            said = ""
        except SheetkitError as error:
            said = " ".join(map(str, error.faults))
        best = self.pupil.keeper.record.best_mark
        words = [f"{total} of {FULL} marks."]
        if best is not None and best.marks > total:
            words.append(f"Your best test: {best.marks} of {best.full}.")
        words.append(
            "You see where the heat is, and where it goes." if total >= 0.8 * FULL
            else "Most of it is there. Look at the map after each answer: where has the heat got to?"
            if total >= 0.5 * FULL
            else "Ask of each place: what was welded beside it, and how long ago? Then take another shape."
        )  # fmt: skip
        with self.hold_sync():
            self.asked, self.answered = {}, {}
            self.final = {
                "marks": total,
                "full": FULL,
                "words": [*words, *([said] if said else [])],
            }

    def card(self, form: str = "png") -> bytes:
        """Return the card to keep: the best orders and the best mark, as "png" or "pdf"."""
        from ...lesson.card import Best, card  # it loads what draws: the page is there before

        boards = [one for one in self.pupil.boards if isinstance(one, Lesson)]
        best = [Best.of(one.ready(), one.best()) for one in boards if one.board is not None]
        mark = self.pupil.keeper.record.best_mark
        return card(self.pupil.name, [one for one in best if one is not None], mark, form)

    def _send_card(self, form: str) -> None:
        name = f"heat_lesson_{self.pupil.name or 'card'}.{form}".replace(" ", "_")
        self.send({"card": name, "kind": CARDS[form]}, buffers=[self.card(form)])
