"""A folder that files are written into: judged before the work begins, written all or none."""

from __future__ import annotations

import os
from collections.abc import Collection, Mapping
from pathlib import Path
from uuid import uuid4

from .errors import Fault, SheetkitError, shown
from .files import NEW, remove, write_together


def check_folder(
    folder: str | os.PathLike[str], names: Collection[str], *, overwrite: bool = False
) -> Path:
    """Refuse a folder that files of these names can't be written into; it stays as it is.

    Parameters
    ----------
    folder : path
        Need not be there yet.
    names : collection of str
        The files' names in it, with "/" between folders.
    overwrite : bool
        Files that are there already are no reason to refuse.

    Raises
    ------
    SheetkitError
        No name, not a folder, one of `names` is there already, or nothing can be written there.
    """
    called = os.fspath(folder)
    try:
        if not called:
            raise unwritable(called, "it has no name; . is the present folder")
        if b"\0" in os.fsencode(called):
            raise unwritable(called, "a name can't hold a zero byte")
        folder = Path(called)
        if os.path.lexists(folder) and not folder.is_dir():
            raise unwritable(called, "it is not a folder")
        there = [name for name in names if os.path.lexists(folder / name)]
        for name in there:
            if (folder / name).is_dir():
                raise unwritable(called, f"{name} in it is a folder")
        if there and not overwrite:
            raise SheetkitError(
                Fault(
                    "out",
                    f"{shown(called)} with {', '.join(there[:3])}"
                    + (f" and {len(there) - 3} more" if len(there) > 3 else ""),
                    "existing files are never overwritten unasked",
                    "name another folder, or say --overwrite",
                )
            )
        _try(folder)
    except OSError as error:
        raise unwritable(called, error.strerror or str(error)) from None
    except UnicodeEncodeError:
        raise unwritable(called, "a letter of its name can't be part of a file's name") from None
    return folder


def write_into(
    folder: str | os.PathLike[str], files: Mapping[str, bytes], *, overwrite: bool = False
) -> list[Path]:
    """Write files into `folder`, making it if it isn't there; return their paths.

    Parameters
    ----------
    folder : path
    files : mapping
        From each file's name, with "/" between folders, to what it holds.
    overwrite : bool
        Replace files that are there already.

    Raises
    ------
    SheetkitError
        See `check_folder`; a full disk leaves no part of a file and no new folder.
    """
    folder = check_folder(folder, files, overwrite=overwrite)
    made: list[Path] = []
    paths = {folder / name: content for name, content in files.items()}
    try:
        for parent in dict.fromkeys(path.parent for path in paths):
            made += _make(parent)
        write_together(paths)
    except BaseException as error:
        for new in reversed(made):
            if not any(new.iterdir()):
                new.rmdir()
        if isinstance(error, OSError):
            raise unwritable(str(folder), error.strerror or str(error)) from None
        raise
    return list(paths)


def _make(folder: Path) -> list[Path]:
    """Make a folder and those above it; return the new ones, the outermost first."""
    new = []
    while not folder.exists():
        new.append(folder)
        folder = folder.parent
    for each in reversed(new):
        each.mkdir(exist_ok=True)
    return new[::-1]


def _try(folder: Path) -> None:
    """Make a file where the folder is or will be: the system alone knows what forbids it."""
    try:
        os.lstat(folder)
    except FileNotFoundError:
        if folder.parent == folder:  # a drive that isn't there
            raise
        return _try(folder.parent)
    # not by tempfile: on Windows that tries one name after the other in a folder it may not write to
    tried = folder / f".{uuid4().hex[:8]}.part"
    os.close(os.open(tried, NEW, 0o600))
    remove(tried)


def unwritable(folder: str, reason: str) -> SheetkitError:
    """Return the refusal of a folder that can't be written for `reason`."""
    return SheetkitError(
        Fault(
            "out",
            shown(folder),
            f"can't be written ({reason})",
            "make room on the disk, or name another folder",
        )
    )
