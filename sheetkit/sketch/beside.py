"""What a drawing has besides its job file: one folder next to it.

``wing.json`` has ``wing.sketch/`` with ``draft.json`` (what isn't fit for the job
yet), ``photo.jpg`` and ``photo.json`` (the picture beneath, how it was made true),
``photo_2.jpg`` and ``photo_2.json`` (that of a bent panel's second flat alone) and so on,
and ``job.bak`` (the version before).  Earlier drawings had these beside the job
under its own name; they are read there, and moved at the next save, each in one
step, so that a crash in between leaves every one of them in one place or the other.

The lock stays beside the job itself: it must be one and the same for everything
that writes the job, and it is gone when the writer is.
"""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterator
from pathlib import Path

from ..base.files import followed, not_written, remove, remove_scraps

SUFFIX = ".sketch"
_BEFORE = {
    "draft.json": ".draft.json",
    "photo.jpg": ".photo.jpg",
    "photo.json": ".photo.json",
    "job.bak": ".bak",
}
"""Name in the folder -> what was put behind the job's name before there was one.

The picture comes before what is told of it: told of another picture, it is left out.
"""
DRAFT, PICTURE, STEPS, BACKUP = _BEFORE
MOST_FLATS = 12
"""So many flats of a bent panel can have a photo of their own."""


def photo_names(flat: int) -> tuple[str, str]:
    """Return the names of a flat's picture and steps, counted from 1; 0 is the whole sheet's."""
    return (f"photo_{flat}.jpg", f"photo_{flat}.json") if flat else (PICTURE, STEPS)


OF_FLATS = tuple(name for flat in range(1, MOST_FLATS + 1) for name in photo_names(flat))


def folder_name(job_name: str) -> str:
    """Return the name of the folder beside a job's file."""
    # the other ending keeps "wing" out of the folder of "wing.json"
    ends_usual = job_name.endswith(".json") and job_name != ".json"
    return job_name.removesuffix(".json") + SUFFIX if ends_usual else f"{job_name}{SUFFIX}es"


class Beside:
    """The folder beside a job file.

    Parameters
    ----------
    job_path : path
        Links are followed.
    """

    def __init__(self, job_path: str | os.PathLike):
        self.job_path = followed(job_path)
        self.folder = self.job_path.with_name(folder_name(self.job_path.name))

    def path(self, name: str) -> Path:
        """Return where one of these files is written."""
        return self.folder / name

    def earlier(self, name: str) -> Path:
        """Return where one of these files was written before there was a folder."""
        return self.job_path.with_name(self.job_path.name + _BEFORE[name])

    def found(self, name: str) -> Path:
        """Return where a file is: in the folder, else in its earlier place if it is there."""
        if name not in _BEFORE:  # a flat's photo, which never had another place
            return self.path(name)
        here, before = self.path(name), self.earlier(name)
        return before if before.exists() and not here.exists() else here

    def ready(self) -> None:
        """Make the folder, and move in what still lies in the earlier places.

        Raises
        ------
        NotWritten
            The system refused; every file is where it was or in the folder.
        """
        try:
            self.folder.mkdir(exist_ok=True)
            for name in _BEFORE:
                here, before = self.path(name), self.earlier(name)
                if not before.exists():
                    continue
                if here.exists() and not self._later(name, before, here):
                    before.unlink()
                else:
                    os.replace(before, here)
        except OSError as error:
            raise not_written(self.folder, error) from None

    @contextlib.contextmanager
    def held_ready(self) -> Iterator[None]:
        """Have the folder for as long as something is written, and no empty one afterwards."""
        try:
            self.ready()
            yield
        finally:
            self.tidy()

    @staticmethod
    def _later(name: str, before: Path, here: Path) -> bool:
        """Say whether the one outside counts: only the backup is still written there, by others."""
        return name == BACKUP and before.stat().st_mtime_ns > here.stat().st_mtime_ns

    def remove_scraps(self, *, locked: bool) -> None:
        """Take away what writers that were killed left of these files (see `files`)."""
        for name in (*_BEFORE, *OF_FLATS):
            remove_scraps(self.path(name), locked=locked)
        if locked:
            self.tidy()

    def remove(self, name: str) -> None:
        """Take a file away, in both places.

        Raises
        ------
        NotWritten
            The system refused, such as while another program reads it.
        """
        try:
            if name in _BEFORE:
                remove(self.earlier(name))  # first: left alone it would count again
            remove(self.path(name))
        except OSError as error:
            raise not_written(self.path(name), error) from None

    def tidy(self) -> None:
        """Take the folder away if nothing is in it."""
        with contextlib.suppress(OSError):
            self.folder.rmdir()

    def files(self) -> dict[str, Path]:
        """Return the files that are there: name in the folder -> where it is."""
        found = {name: self.found(name) for name in (*_BEFORE, *OF_FLATS)}
        return {name: path for name, path in found.items() if path.exists()}
