"""The jobs of a folder on screen: open, begin, copy, rename; and the name of the one that is open."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import anywidget
import traitlets

from ...base.errors import SheetkitError, unquoted
from ...job.job import load
from ...sketch import jobs
from ..bundle import bundle, styles
from .thumbnail import HEIGHT, WIDTH, thumbnail


class Shelf(anywidget.AnyWidget):
    """The list of a folder's jobs, or only its bar while one is open.

    Parameters
    ----------
    folder : path
    opened : callable
        Called with the path of the job to show; what it refuses is told on the shelf.

    Traits
    ------
    jobs : of each its name, title, when it changed, how much is drawn, its picture
    at : the name of the job that is open, empty if none; kept : whether it is kept in its file
    listing : whether the list is shown; offered : a name somebody asked for that isn't there yet
    told : the last word, with a running number
    """

    _esm = bundle("jobs/shelf.js", {"width": WIDTH, "height": HEIGHT})
    _css = styles("jobs/shelf.css")

    jobs: traitlets.List[dict] = traitlets.List().tag(sync=True)
    folder = traitlets.Unicode().tag(sync=True)
    at = traitlets.Unicode().tag(sync=True)
    kept = traitlets.Bool(True).tag(sync=True)
    listing = traitlets.Bool(True).tag(sync=True)
    offered = traitlets.Unicode().tag(sync=True)
    told = traitlets.Dict({"n": 0, "text": ""}).tag(sync=True)

    def __init__(self, folder: Path, opened: Callable[[Path], Any]):
        self._folder, self._opened = folder, opened
        self.path: Path | None = None
        self._paths: dict[str, Path] = {}
        self._said = 0
        super().__init__(folder=_told(folder))
        self.on_msg(self._receive)

    def __repr__(self) -> str:
        return f"Shelf({self.folder!r})"

    def refresh(self) -> None:
        """Look into the folder anew."""
        try:
            found = jobs.listed(self._folder)
        except SheetkitError as refused:
            self.say(str(refused))
            found = []
        self._paths = {one.name: one.path for one in found}
        self.jobs = [
            {
                "name": one.name,
                "title": unquoted(one.title, longest=120),
                "changed_s": one.changed_s,
                "shapes": len(one.drawing.shapes),
                "why": one.why,
                "marks": thumbnail(one.drawing),
            }
            for one in found
        ]

    def show_list(self) -> None:
        """Show the list, as it is now."""
        self.refresh()
        self.listing = True

    def say(self, text: str) -> None:
        """Tell something on the shelf."""
        self._said += 1
        self.told = {"n": self._said, "text": text}

    def is_open(self, path: Path | None, name: str, *, kept: bool) -> None:
        """Show which job is open, and put the list away: that of its folder."""
        if path is not None:
            self._folder, self.folder = path.parent, _told(path.parent)
        self.path, self.at, self.kept = path, unquoted(name, longest=120), kept
        self.offered, self.listing = "", False

    def open_job(self, name: str) -> None:
        """Open a job of the folder by its name."""
        self._opened(self._path(name))

    def begin(self, name: str) -> None:
        """Begin a job under a name that is free, and open it."""
        path = jobs.place(self._folder, name)
        jobs.begin(path, title=name.strip().removesuffix(".json"))
        self._opened(path)

    def save_as(self, name: str) -> None:
        """Go on in a copy of the open job under another name."""
        to = jobs.place(self._folder, name)
        jobs.copy(self._here(), to)
        self._opened(to)

    def rename(self, name: str) -> None:
        """Give the open job another name, and go on in it."""
        to = jobs.place(self._folder, name, instead_of=self._here())
        jobs.rename(self._here(), to)
        self._opened(to)

    def duplicate(self, name: str) -> None:
        """Put a copy of a job into the list."""
        path = self._path(name)
        copied = jobs.free_name(self._folder, name)
        jobs.copy(path, jobs.place(self._folder, copied))
        self.say(f"{name} is there a second time, as {copied}.")
        self.refresh()

    def other_side(self, _name: str) -> None:
        """Go on in the open job mirrored to the other side of the vehicle, under a name of its own."""
        here = self._here()
        self._opened(to := jobs.other_side(here))
        before, after = (path.name.removesuffix(".json") for path in (here, to))
        hand = load(to).hand
        side = f"the {hand} side" if hand else "no side: choose it under “Side of the vehicle”"
        self.say(f"{after} is {before} mirrored, bends and all; its pages say {side}.")

    def _path(self, name: str) -> Path:
        """Return the path of a job that is in the list: nothing else can be named by a page."""
        return self._paths.get(name) or jobs.place(self._folder, name)

    def _here(self) -> Path:
        if self.path is None:
            raise jobs.JobRefused(
                jobs.Fault("job", "none open", "must be a job kept in a file", "open one first")
            )
        return self.path

    def _receive(self, _widget: Any, content: Any, _buffers: list) -> None:
        """Do what the page asks; whatever is refused is told in words."""
        if not isinstance(content, dict):
            return
        what, name = content.get("do"), content.get("name")
        acts = {"open": self.open_job, "new": self.begin, "save_as": self.save_as,
                "rename": self.rename, "duplicate": self.duplicate,
                "other_side": self.other_side}  # fmt: skip
        try:
            if what == "list":
                self.show_list()
            elif what == "back":
                self.listing = not self.at
            elif what in acts and isinstance(name, str):
                self.say("")
                acts[what](name[:400])
        except SheetkitError as refused:
            self.say("; ".join(f"{f.value} {f.limit}: {f.remedy}" for f in refused.faults))


def _told(folder: Path) -> str:
    return unquoted(folder.resolve().name or str(folder), longest=80)
