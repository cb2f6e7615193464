"""The jobs of a folder: what is there, the newest first; begun, copied, renamed, never overwritten."""

from __future__ import annotations

import contextlib
import os
import shutil
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ..base import files, lock
from ..base.errors import Fault, JobRefused, SheetkitError, shown, unquoted
from ..job import file, mirror
from ..job.job import load, save
from .beside import DRAFT, SUFFIX, Beside, folder_name
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
    there, named = set(), set(folder.glob(file.ENDING))
    for path in named:
        if path.name.endswith(_EARLIER_DRAFT):
            there.add(path.with_name(path.name.removesuffix(".draft.json")))
        elif file.is_job(path):
            there.add(path)
    for beside in folder.glob(f"*{SUFFIX}"):
        path = beside.with_suffix(".json")
        # one that is there under another spelling is the same job
        if (beside / DRAFT).is_file() and (path in named or not path.exists()):
            there.add(path)
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

    bare = unicodedata.normalize("NFC", name).strip()
    if bare.lower().endswith(".json"):
        bare = bare[: -len(".json")].strip()
    if not bare:
        raise refuse("must have at least one letter", "write a name, such as left wing")
    if len(bare) > most_letters or len(bare.encode("utf-8", "replace")) > 2 * most_letters:
        raise refuse(f"must be at most {most_letters} letters", "write it shorter")
    odd = sorted({c for c in bare if c in _NOT_IN_A_NAME or not c.isprintable()})
    if odd or bare.startswith(".") or files.reserved_on_windows(bare):
        what = f"can't hold {' '.join(odd)}" if odd else "can't be a file's name"
        raise refuse(what, "use letters, digits, spaces and -")
    return bare


def place(folder: str | os.PathLike, name: str, *, instead_of: Path | None = None) -> Path:
    """Return the path of a job of that name, which isn't there yet.

    Names that some system takes for one are one here on every system, so that a
    folder can be carried from one to the other.

    Parameters
    ----------
    folder : path
    name : str
    instead_of : path, optional
        The job in the folder that is to have the name: its own may be spelled anew.

    Raises
    ------
    JobRefused
        No name a file can have, or a job of that name is there already.
    """
    path = files.followed(folder) / f"{bare_name(name)}.json"
    wanted = {files.alike(path.name), files.alike(folder_name(path.name))}
    own = {instead_of.name, folder_name(instead_of.name)} if instead_of else set()
    taken = own & {path.name} or {
        there for there in _names(path.parent) if files.alike(there) in wanted and there not in own
    }
    for there in sorted(taken):
        called = shown(name.strip())
        as_ = "" if there in (path.name, folder_name(path.name)) else f", as {unquoted(there)}"
        raise JobRefused(Fault("name", called, f"is there already{as_}", "take another name"))
    return path


def _names(folder: Path) -> list[str]:
    with contextlib.suppress(OSError):  # what stands against it is told by whoever writes there
        return os.listdir(folder)
    return []


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

    A crash in between leaves both, never none.  Where the disk takes both names
    for one, its files are only named anew.

    Raises
    ------
    NotWritten
        The system refused; the job is there under its old name.
    """
    source = Beside(path)
    with lock.held(source.job_path):  # nobody saves between the copy and the end of the old one
        try:
            if _is_one(source.job_path, to):
                _named_anew(source, to.name)
                return
            _copied(source, Beside(to))
            files.remove(source.job_path)
            for at in source.files().values():
                files.remove(at)
            source.tidy()
        except OSError as error:
            if isinstance(error, SheetkitError):
                raise
            raise files.not_written(source.job_path, error) from None


def _is_one(path: Path, to: Path) -> bool:
    """Say whether the disk takes two names in one folder for one."""
    if files.alike(path.name) != files.alike(to.name):
        return False
    for here, there in ((path, to), (Beside(path).folder, to.with_name(folder_name(to.name)))):
        with contextlib.suppress(OSError):
            return os.path.samefile(here, there)
    return False


def _named_anew(job: Beside, name: str) -> None:
    """Spell a job's name another way: while only one part has it, the disk still finds both."""
    with job.held_ready():  # what is kept the earlier way moves into the folder
        pass
    for old, new in ((job.folder, folder_name(name)), (job.job_path, name)):
        if old.exists():
            os.rename(old, old.with_name(new))


def free_name(folder: Path, name: str, more: str = " copy") -> str:
    """Return a name for a copy that nothing has yet: "wing copy", "wing copy 2"."""
    stem = f"{name[: MOST_LETTERS - 14].strip()}{more}"
    for number in range(1, 1000):
        wanted = stem if number == 1 else f"{stem} {number}"
        try:
            place(folder, wanted)
            return wanted
        except JobRefused:
            continue
    return stem


def other_side(path: Path) -> Path:
    """Keep the job mirrored to the other side of the vehicle beside it; return where.

    "sill left" becomes "sill right"; a name that tells no side gets "other side" added.
    What is only in the draft, and the photo, stay with this side.

    Raises
    ------
    JobRefused
        There is no sound job to mirror.
    NotWritten
        The system refused; nothing new is left.
    """
    if not path.exists():
        raise JobRefused(
            Fault("job", "a drawing without sound rust", "can't be mirrored yet", "draw it first")
        )
    name = path.name.removesuffix(".json")
    turned = mirror.other_side(name)
    found = free_name(path.parent, turned, " other side" if turned == name else "")
    to = place(path.parent, found)
    save(mirror.mirrored(load(path)), to)
    return to
