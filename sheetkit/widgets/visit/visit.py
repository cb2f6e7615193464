"""One bench for whoever opens the page: on a page without code, each visitor's own."""

from __future__ import annotations

import os
import threading
from pathlib import Path
from typing import Any
from uuid import uuid4

import ipywidgets as ipw

from ...base.errors import Fault, JobRefused, SheetkitError, shown
from ...job.job import load
from ...sketch import visitors
from ..bench import Bench
from ..host import without_code
from ..print_pages import FOLDER as PAGES
from .name_box import ASKED, NameBox, Named

FOLDER = "visitors"
_WENT_ON = "This drawing goes on in another page, which came after this one: here you look on."


class Visit(Named, ipw.VBox):
    """A bench on a job; on a page without code, on a copy for each visitor.

    Parameters
    ----------
    job : path
    draw : bool
        Whether the job itself is drawn on where the page has cells (see `Bench`).  Else it is
        only looked at there, and what is begun on screen lies in the notebook's folder.
    folder : path
        Where each visitor's folder is made.
    pad_options
        Of the pad (see `Pad`), such as the job that `job` starts `like`.

    `bench` shows the job, for live views to follow.  On a page that Voila serves it has, until
    somebody gives a name, what every copy starts from, and keeps nothing.  Then it draws on
    ``visitors/NAME/job.json``; pages to print are written beside that.  Of two visitors who
    give one name at once, the second is told: they take another, or look on.

    Raises
    ------
    SheetkitError
        The job can't be read.
    """

    def __init__(
        self,
        job: str | os.PathLike,
        *,
        draw: bool = False,
        folder: str | os.PathLike = FOLDER,
        **pad_options: Any,
    ):
        self.box: NameBox | None = None
        if not without_code():
            self.bench = Bench(job if draw else load(job), draw=draw, **pad_options)
            super().__init__([self.bench])
            return
        self._root, self._file = Path(folder), Path(job).name
        self._start = Path(pad_options.pop("like", None) or job)
        self._options = pad_options
        self._guard = threading.RLock()
        self.bench = Bench(load(self._start) if self._start.exists() else None)
        acts = {"enter": self.enter, "look": lambda name, _: self.look(name), "here": self._here,
                "refresh": lambda *_: self.refresh(), "leave": lambda *_: self.leave()}  # fmt: skip
        self.box = NameBox(acts)
        super().__init__([self.box])
        self._free_when_closed()

    def __repr__(self) -> str:
        return f"Visit({self.bench!r})"

    def _repr_mimebundle_(self, **kwargs: Any) -> Any:
        """Add the bench's still picture for notebooks that aren't trusted."""
        bundle = super()._repr_mimebundle_(**kwargs)
        return {**(self.bench._repr_mimebundle_(**kwargs) or {}), **bundle} if bundle else bundle

    def enter(self, name: str, tab: str) -> None:
        """Let a visitor draw under a name.

        Raises
        ------
        SheetkitError
            Somebody draws under it now, it can't be a folder's, or its file is damaged.
        """
        with self._guard:
            stay = visitors.enter(self._root, name, tab=tab, kernel=uuid4().hex)
            try:
                path = stay.folder / self._file
                self.bench.open_job(path, like=self._start, **self._options)
            except SheetkitError:
                stay.leave()
                raise
            self._leave_name()
            self._stay = stay
            self.bench.details.pages.keep_in(stay.folder / PAGES)
            self._show("in", stay.name, ASKED)

    def look(self, name: str, why: str = "Nothing you try here is kept.") -> None:
        """Let a visitor look at what is kept under a name, and try on it."""
        with self._guard:
            path = visitors.place(self._root, name) / self._file
            if not path.exists():
                raise JobRefused(
                    Fault("name", shown(name), "has no finished ring yet", "try again in a while")
                )
            self._leave_name()
            self.bench.look(load(path))
            self.bench.details.pages.keep_in(None)
            self._show("looking", path.parent.name, why)

    def refresh(self) -> None:
        """Show what is looked at as it is kept now."""
        if self.box and self.box.phase == "looking":
            self.look(self.box.name)

    def leave(self) -> None:
        """Let the name go and ask for another."""
        with self._guard:
            self._leave_name()
            if self._start.exists():
                self.bench.look(load(self._start))
            self._show("ask", "", ASKED)

    def _here(self, _name: str, _tab: str) -> None:
        """Hear that the page is still open; a name that went on elsewhere is only looked at."""
        with self._guard:
            stay = self._stay
            if stay is None or stay.renew():
                return
            self._stay = None
            try:
                self.look(stay.name, _WENT_ON)
            except SheetkitError:
                self.leave()
                assert self.box is not None
                self.box.say(_WENT_ON)

    def _show(self, phase: str, name: str, words: str) -> None:
        assert self.box is not None
        # who looks on has no list: in it stand another's jobs
        self.bench.shelf.layout.display = None if phase == "in" else "none"
        self.children = [self.box] if phase == "ask" else [self.box, self.bench]
        self.box.taken = False
        self.box.name, self.box.phase = name, phase
        self.box.say(words)
