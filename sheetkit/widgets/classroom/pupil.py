"""Who learns: on a page without code a name is asked for; what a pupil tries is kept under it."""

from __future__ import annotations

import os
import threading
from pathlib import Path
from typing import Any, Protocol
from uuid import uuid4
from weakref import WeakSet

import ipywidgets as ipw

from ...base.errors import Fault, SheetkitError
from ...lesson.records import FILE, Keeper
from ...sketch import visitors
from ...sketch.visitors import NameTaken
from ..host import without_code
from ..visit.name_box import NameBox, Named

FOLDER = "my_class"
OWN_FILE = "my_lesson.json"
"""Where the page has cells, and one learner."""
ASKED = "Your orders and marks are kept under this name; your teacher sees them."
_WENT_ON = "This name goes on in another page, which came after this one."


class Restored(Protocol):
    """What shows a pupil's record: a board, or the test."""

    def restore(self) -> None:
        """Show what the record holds now."""


class Pupil(Named, ipw.VBox):
    """Whose tries and marks the boards of this page keep.

    Parameters
    ----------
    folder : of the class, where every pupil has a folder; on a page without code.
        None keeps nothing and asks nothing

    On such a page a name is asked for; of two who give one name at once the second is told.
    Without a name everything works, and nothing is kept.  Where the page has cells nothing is
    asked: tries are kept in ``my_lesson.json`` beside the notebook.

    `keeper` keeps the record; `folder` is the class's, None where there is none.
    """

    def __init__(self, folder: str | os.PathLike | None = FOLDER):
        self._shown: WeakSet[Any] = WeakSet()
        self._guard = threading.RLock()
        self.box: NameBox | None = None
        self.folder: Path | None = None
        if folder is None:
            self.keeper = Keeper()
            super().__init__([])
            return
        if not without_code():
            self.keeper = Keeper(OWN_FILE)
            super().__init__(
                [ipw.HTML(f"Your tries and marks are kept in <code>{OWN_FILE}</code>.")]
            )
            return
        self.keeper, self.folder = Keeper(), Path(folder)
        acts = {"enter": self.enter, "here": self._here, "leave": lambda *_: self.leave()}
        self.box = NameBox(acts, asked=ASKED, doing="You learn as")
        super().__init__([self.box])
        self._free_when_closed()

    def __repr__(self) -> str:
        return f"Pupil({self.name!r})" if self.name else "Pupil()"

    @property
    def name(self) -> str:
        """The name given; empty where none was."""
        return self._stay.name if self._stay else ""

    def beside(self, name: str) -> Path | None:
        """Return where another file of the pupil's lies; None while nobody gave a name."""
        if self.folder is None:
            return Path(name)
        return self._stay.folder / name if self._stay else None

    def take(self, shown: Restored) -> None:
        """Show another record on this one too, whenever another pupil comes."""
        self._shown.add(shown)

    @property
    def boards(self) -> list[Any]:
        """What shows the record, in no order."""
        return list(self._shown)

    def enter(self, name: str, tab: str) -> None:
        """Let a pupil go on under a name.

        Raises
        ------
        SheetkitError
            Somebody uses it now, or it can't be a folder's.
        """
        assert self.folder is not None and self.box is not None
        with self._guard:
            try:
                stay = visitors.enter(self.folder, name, tab=tab, kernel=uuid4().hex)
            except NameTaken as taken:
                told = Fault("name", taken.faults[0].value, "is learning on another page now",
                             "take another name, such as with a number behind it")  # fmt: skip
                raise NameTaken(told) from None
            try:
                self.keeper.keep_in(stay.folder / FILE)
            except SheetkitError:
                stay.leave()
                raise
            self._leave_name()
            self._stay = stay
            self.box.taken = False
            self.box.name, self.box.phase = stay.name, "in"
            self.box.say(ASKED)
        self._restore()

    def leave(self) -> None:
        """Let the name go and ask for another."""
        assert self.box is not None
        with self._guard:
            self._leave_name()
            self.keeper.keep_in(None)
            self.box.name, self.box.phase, self.box.taken = "", "ask", False
            self.box.say(ASKED)
        self._restore()

    def _restore(self) -> None:
        for shown in list(self._shown):
            shown.restore()

    def _here(self, _name: str, _tab: str) -> None:
        """Hear that the page is still open."""
        with self._guard:
            if self._stay is not None and not self._stay.renew():
                self._stay = None
                self.leave()
                assert self.box is not None
                self.box.say(_WENT_ON)
