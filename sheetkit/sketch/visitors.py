"""Visitors of one server: each has a folder of their own, by a name they choose.

``visitors/Anna/`` holds Anna's jobs.  While her page is open, ``.here`` in it says so: who
drew last, in which tab of a browser, served by which kernel.  A page renews that every few
seconds; one that fell silent for `SILENT_S` is gone.  The same tab comes back at once, such as
after a reload; anybody else is told that the name is taken.
"""

from __future__ import annotations

import json
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ..base import files, lock
from ..base.errors import Fault, SheetkitError, shown
from . import jobs

SILENT_S = 180.0
"""A page that wasn't heard for so long is gone; a tab in the background speaks once a minute."""
MOST_LETTERS = 40
_HERE = ".here"


class NameTaken(SheetkitError):
    """Somebody draws under this name at the moment; nothing was changed."""


@dataclass(frozen=True)
class Stay:
    """A visitor's time in their folder.

    folder : theirs; name : as it stands there
    tab : a word that the page's tab keeps for itself; kernel : a word of this stay alone
    """

    folder: Path
    name: str
    tab: str
    kernel: str
    clock: Callable[[], float] = time.time

    def renew(self) -> bool:
        """Say that the page is still open; False if the name has gone on to another page."""
        here = self.folder / _HERE
        with lock.held(here):
            if _read(here).get("kernel") != self.kernel:
                return False
            self._write(here)
        return True

    def leave(self) -> None:
        """Let the name go, unless another page has it already."""
        here = self.folder / _HERE
        with lock.held(here):
            if _read(here).get("kernel") == self.kernel:
                here.unlink(missing_ok=True)

    def _write(self, here: Path) -> None:
        told = {"tab": self.tab, "kernel": self.kernel, "at_s": self.clock()}
        files.write_text_atomically(here, json.dumps(told), backup=False)


def called(name: str) -> str:
    """Return a visitor's name as it can be a folder's.

    Raises
    ------
    JobRefused
        It can't; how to write it is told.
    """
    return jobs.bare_name(" ".join(name.split()), MOST_LETTERS)


def enter(
    root: Path, name: str, *, tab: str, kernel: str, clock: Callable[[], float] = time.time
) -> Stay:
    """Begin a visitor's stay, in a folder that is made for a new name.

    Raises
    ------
    NameTaken
        Somebody else draws under it at the moment.
    JobRefused
        It can't be a folder's name.
    NotWritten
        The system refused to write.
    """
    folder = place(root, name)
    stay = Stay(folder, folder.name, tab, kernel, clock)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise files.not_written(folder, error) from None
    here = folder / _HERE
    with lock.held(here):
        other = _read(here)
        at_s = other.get("at_s")
        heard = isinstance(at_s, int | float) and abs(clock() - at_s) < SILENT_S
        if heard and other.get("kernel") != kernel and (not tab or other.get("tab") != tab):
            raise NameTaken(
                Fault("name", shown(folder.name), "is drawing on another page now",
                      "take another name, such as with a number behind it, or look on")
            )  # fmt: skip
        stay._write(here)
    return stay


def place(root: Path, name: str) -> Path:
    """Return a visitor's folder: capitals don't count, as they don't on some systems, nor how
    accents are spelled."""
    name = called(name)
    if root.is_dir():
        for there in sorted(root.iterdir()):
            if there.is_dir() and files.alike(there.name) == files.alike(name):
                return there
    return root / name


def _read(here: Path) -> dict[str, Any]:
    """Return what the last page left; nothing if it can't be read."""
    try:
        told = json.loads(here.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return told if isinstance(told, dict) else {}
