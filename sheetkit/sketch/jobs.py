"""The jobs of a folder: what is there, the newest first; begun, copied, renamed, never overwritten."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ..base import files, lock
from ..base.errors import Fault, JobRefused, SheetkitError, shown, unquoted
from ..job import file
from .beside import DRAFT, SUFFIX, Beside
from .drawing import Drawing
from .store import NEW_JOB, Store

MOST_LISTED = 200
"""So many jobs are looked into, the newest; a list longer than that nobody reads."""
MOST_LETTERS = 80
_NOT_IN_A_NAME = frozenset('/\\:*?"<>|')
"""What one system or another can't have in a file's name."""
_EARLIER_DRAFT = ".json.draft.json"


@dataclass(frozen=True)
class Listed:
    """One job of a folder.

    path : its job file, which need not be there while nothing fits into it yet
    title : what its user calls it; changed_s : when it was written last, as the system counts
    drawing : what is drawn, the draft's too; why : why it can't be read, if it can't
    """

    path: Path
    title: str
    changed_s: float
    drawing: Drawing
    why: str = ""

    @property
    def name(self) -> str:
        """The file's name without its ending."""
        return self.path.name.removesuffix(".json")


def listed(folder: str | os.PathLike) -> list[Listed]:
    """Return the jobs of a folder, the one written last first.

    A job is known by what stands in it, not by its name; what was begun and isn't
    fit for a job file yet is one too, and so is a damaged one, with the reason.

    Raises
    ------
    JobRefused
        The folder can't be read.
    """
    folder = Path(folder)
    try:
        found = sorted(((_changed_s(path), path) for path in _paths(folder)), reverse=True)
    except OSError as error:
        reason = error.strerror or str(error)
        raise JobRefused(
            Fault("folder", shown(str(folder)), f"can't be read ({reason})", "name another one")
        ) from None
    return [_looked_into(path, changed_s) for changed_s, path in found[:MOST_LISTED]]


def _paths(folder: Path) -> Iterator[Path]:
    there = set()
    for path in folder.glob("*.json"):
        if path.name.endswith(_EARLIER_DRAFT):
            there.add(path.with_name(path.name.removesuffix(".draft.json")))
        elif file.is_job(path):
            there.add(path)
    for beside in folder.glob(f"*{SUFFIX}"):
        if (beside / DRAFT).is_file():
            there.add(beside.with_suffix(".json"))
    yield from there


def _changed_s(path: Path) -> float:
    """Return when a job or its draft was written last."""
    of = (path, Beside(path).found(DRAFT))
    return max((p.stat().st_mtime for p in of if p.exists()), default=0.0)


def _looked_into(path: Path, changed_s: float) -> Listed:
    try:
        store = Store(path)
        drawing = store.seen()
        return Listed(path, str(store.data.get("title", "")), changed_s, drawing)
    except SheetkitError as refused:
        return Listed(path, "", changed_s, Drawing(), unquoted(str(refused.faults[0]), longest=200))


def bare_name(name: str, most_letters: int = MOST_LETTERS) -> str:
    """Return a name as a file or folder can have it on every system, without ``.json``.

    Raises
    ------
    JobRefused
        No file or folder can have it.
    """

    def refuse(limit: str, remedy: str) -> JobRefused:
        return JobRefused(Fault("name", shown(name), limit, remedy))

    bare = name.strip().removesuffix(".json").strip()
    if not bare:
        raise refuse("must have at least one letter", "write a name, such as left wing")
    if len(bare) > most_letters or len(bare.encode("utf-8", "replace")) > 2 * most_letters:
        raise refuse(f"must be at most {most_letters} letters", "write it shorter")
    odd = sorted({c for c in bare if c in _NOT_IN_A_NAME or not c.isprintable()})
    if odd or bare.startswith(".") or files.reserved_on_windows(bare):
        what = f"can't hold {' '.join(odd)}" if odd else "can't be a file's name"
        raise refuse(what, "use letters, digits, spaces and -")
    return bare


def place(folder: str | os.PathLike, name: str) -> Path:
    """Return the path of a job of that name, which isn't there yet.

    Raises
    ------
    JobRefused
        No name a file can have, or a job of that name is there already.
    """
    path = files.followed(Path(folder) / f"{bare_name(name)}.json")
    if os.path.lexists(path) or os.path.lexists(Beside(path).folder):
        raise JobRefused(
            Fault("name", shown(name.strip()), "is there already", "take another name")
        )
    return path


def begin(path: Path, **data: Any) -> None:
    """Keep an empty drawing at `path`, so that the job is in the list from now on.

    `data` is what its user said of it already, such as ``title``.
    """
    Store(path, new={**NEW_JOB, **data}).save(Drawing())


def copy(path: Path, to: Path) -> None:
    """Copy a job with its draft, photo and backup; `to` is a path that `place` gave.

    The job itself comes last: half a copy is none.

    Raises
    ------
    NotWritten
        The system refused; nothing new is left, or a folder without its job.
    """
    source = Beside(path)
    with lock.held(source.job_path):
        _copied(source, Beside(to))


def _copied(source: Beside, target: Beside) -> None:
    try:
        kept = source.files()
        if kept:
            target.folder.mkdir()
        for name, at in kept.items():
            files.write_atomically(target.path(name), at.read_bytes(), backup=False)
        if source.job_path.exists():
            content = source.job_path.read_bytes()
            files.write_atomically(target.job_path, content, backup=False)
    except OSError as error:
        shutil.rmtree(target.folder, ignore_errors=True)
        if isinstance(error, SheetkitError):
            raise
        raise files.not_written(target.job_path, error) from None


def rename(path: Path, to: Path) -> None:
    """Give a job another name: it is copied whole, then the old one goes.

    A crash in between leaves both, never none.

    Raises
    ------
    NotWritten
        The system refused; the job is there under its old name.
    """
    source = Beside(path)
    with lock.held(source.job_path):  # nobody saves between the copy and the end of the old one
        _copied(source, Beside(to))
        try:
            source.job_path.unlink(missing_ok=True)
            for at in source.files().values():
                at.unlink(missing_ok=True)
            source.tidy()
        except OSError as error:
            raise files.not_written(source.job_path, error) from None


def free_name(folder: Path, name: str) -> str:
    """Return a name for a copy that nothing has yet: "wing copy", "wing copy 2"."""
    stem = name[: MOST_LETTERS - 10].strip()
    for number in range(1, 1000):
        wanted = f"{stem} copy" if number == 1 else f"{stem} copy {number}"
        try:
            place(folder, wanted)
            return wanted
        except JobRefused:
            continue
    return f"{stem} copy"
