"""Files written whole or not at all, and the words for what stands in the way."""

from __future__ import annotations

import contextlib
import errno
import os
import re
import stat
import time
import unicodedata
from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path
from uuid import uuid4

from .errors import Fault, NotWritten, unquoted

REMEDIES = {
    **dict.fromkeys((errno.ENOSPC, errno.EDQUOT), "make room on the disk, then save again"),
    **dict.fromkeys((errno.EBUSY, errno.EAGAIN), "close the other program, then save again"),
    errno.ENAMETOOLONG: "give it a shorter name, then save again",
}
STALE_S = 600.0
"""Where there are no locks, a half-written file older than this was left by a writer that died."""
_BUSY_TRIES, _BUSY_S = 40, 0.05
"""Windows lets no file go that a virus scanner or a viewer is looking at: try again."""
WINDOWS = os.name == "nt"
_DEVICES = r"(con|prn|aux|nul|conin\$|conout\$|com[0-9¹²³]|lpt[0-9¹²³]) *(\.|$)"
_RESERVED = re.compile(rf'(?i){_DEVICES}|.*[. ]$|.*[<>:"|?*\x00-\x1f]', re.DOTALL)


def followed(path: str | os.PathLike) -> Path:
    """Return where a path leads, links followed: what is written there stays one file for all."""
    return Path(os.path.realpath(path))


def not_written(path: Path, error: OSError) -> NotWritten:
    """Say in words that `path` could not be written."""
    told = NotWritten(
        Fault(
            unquoted(path.name, longest=80) or "file",
            f"it can't be written ({unquoted(error.strerror or str(error))})",
            "the version before is whole",
            REMEDIES.get(error.errno or 0, "save into a folder that you may write to"),
        )
    )
    told.errno, told.strerror = error.errno, error.strerror
    return told


def reserved_on_windows(name: str) -> bool:
    """Say whether Windows takes a file's name for a device or a part of a file, or drops its end."""
    return _RESERVED.match(name) is not None


def alike(name: str) -> str:
    """Return what all spellings of a name share that some system takes for one file.

    On Windows and macOS capitals don't count; macOS writes letters and their accents apart.
    """
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", name).casefold())


def write_text_atomically(
    path: str | os.PathLike, text: str, *, backup: bool | Path = True
) -> None:
    """Write `text` to `path` in one step (see `write_atomically`)."""
    write_atomically(path, text.encode(), backup=backup)


def write_atomically(
    path: str | os.PathLike, content: bytes, *, backup: bool | Path = True
) -> None:
    """Write `path` so that a crash leaves the old file or the new, never a part.

    A link is followed.  The file keeps its permissions.  With `backup`, the
    version before stays beside it as ``<name>.bak``, or at the path given, as
    private as the file; a write that is refused leaves the backup as it was too.

    Raises
    ------
    NotWritten
        The system refused (disk full, no permission, in use); the old file is untouched.
    """
    path = followed(path)
    try:
        if WINDOWS and reserved_on_windows(path.name):
            raise OSError(errno.EINVAL, "a name that Windows keeps for itself")
        files, private_as = {path: content}, {}
        if backup and path.exists():
            beside = path.with_name(path.name + ".bak")
            kept = backup if isinstance(backup, Path) else beside
            files, private_as = {kept: path.read_bytes()} | files, {kept: path}
        write_together(files, private_as=private_as)
    except OSError as error:
        raise not_written(path, error) from None


def write_together(
    files: Mapping[Path, bytes], *, private_as: Mapping[Path, Path] | None = None
) -> None:
    """Write files so that a crash leaves each old or new, and a full disk leaves all old.

    Each is written whole under another name first; only then are all put in
    their places.  A file keeps its permissions, or takes those of the file
    named for it in `private_as`; a new one gets what the system gives new files.

    Raises
    ------
    OSError
        As the system gives it.
    """
    parts: list[tuple[Path, Path]] = []
    try:
        for path, content in files.items():
            part = path.with_name(f".{path.name}.{uuid4().hex[:8]}.part")
            mode = _mode((private_as or {}).get(path, path))
            if WINDOWS and not (_mode(path) or 0o200) & 0o200:
                # it would refuse this only after all tries, and the copy as marked could not go
                raise PermissionError(errno.EACCES, "it is marked read-only")
            handle = os.open(part, NEW, 0o600 if mode is not None else 0o666)
            parts.append((part, path))
            with os.fdopen(handle, "wb") as file:
                file.write(content)
                file.flush()
                os.fsync(file.fileno())
            if mode is not None:
                os.chmod(part, mode)
        for part, path in parts:
            _when_free(partial(os.replace, part, path))
    except BaseException:
        for part, _ in parts:
            with contextlib.suppress(OSError):  # the first trouble is the one to tell
                part.unlink(missing_ok=True)
        raise
    for folder in dict.fromkeys(path.parent for path in files):
        _settle(folder)


NEW = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)


def _mode(path: Path) -> int | None:
    """Return a file's permissions; None if it isn't there."""
    try:
        return stat.S_IMODE(path.stat().st_mode) & 0o777
    except FileNotFoundError:
        return None


def remove(path: Path) -> None:
    """Take a file away, if it is there; raises OSError as the system gives it."""
    _when_free(partial(path.unlink, missing_ok=True))


def _when_free(act: Callable[[], object]) -> None:
    for attempt in range(_BUSY_TRIES):
        try:
            act()
            return
        except PermissionError:
            if not WINDOWS or attempt == _BUSY_TRIES - 1:
                raise
            time.sleep(_BUSY_S)


def _settle(folder: Path) -> None:
    """Have the names in a folder put on the disk, where the system knows how."""
    if WINDOWS:
        return  # a folder can't be opened there; the system itself sees to it
    with contextlib.suppress(OSError):  # the files are in their places: no reason to refuse
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def remove_scraps(path: Path, *, locked: bool) -> None:
    """Take away what writers of `path`, and of files named after it, left when they were killed.

    All of them write under the lock of `path`.  Whoever holds it (`locked`) is alone,
    so that whatever lies there is a dead one's; without, only what is older than `STALE_S`.
    """
    before = float("inf") if locked else time.time() - STALE_S
    with contextlib.suppress(OSError), os.scandir(path.parent) as entries:
        for entry in entries:
            if entry.name.startswith(f".{path.name}.") and entry.name.endswith(".part"):
                with contextlib.suppress(OSError):
                    if entry.stat(follow_symlinks=False).st_mtime < before:
                        os.unlink(entry.path)
