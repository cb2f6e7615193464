"""One writer at a time: a lock beside a file, which the system lets go even if its holder dies."""

from __future__ import annotations

import errno
import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from .errors import Fault, NotWritten, unquoted
from .files import not_written

WAIT_S = 20.0
"""How long a writer waits for another one before it gives up."""
NO_LOCKS = (
    "This folder's file system knows no locks: let only one program write here at a time, "
    "or keep the file on a local disk."
)
_HELD = {errno.EAGAIN, errno.EACCES, errno.EWOULDBLOCK, errno.EDEADLK}
_RETRY_S = 0.01


@contextmanager
def held(path: Path) -> Iterator[bool]:
    """Hold the lock beside `path`, which is no link; give False where there are no locks.

    Raises
    ------
    NotWritten
        Another program held it for `WAIT_S`, or nothing can be written in the folder.
    """
    if not path.name:
        raise not_written(path, OSError(errno.EISDIR, "it is a whole disk"))
    beside = path.with_name(f".{path.name}.lock")
    handle, sure = _taken(beside, path)
    try:
        yield sure
    finally:
        if sys.platform != "win32":
            # whoever waits for it sees that it is gone, and makes a new one;
            # another user's, in a folder where only they may take it away, stays
            with suppress(OSError):
                beside.unlink(missing_ok=True)
        elif sure:  # what isn't locked can't be unlocked there
            _unlock(handle)
        os.close(handle)


def _taken(beside: Path, path: Path) -> tuple[int, bool]:
    """Return the open lock and whether it holds; wait for another program's to go."""
    end = time.monotonic() + WAIT_S
    while True:
        try:
            handle = _opened(beside)
        except OSError as error:
            raise not_written(path, error) from None
        try:
            _lock(handle)
            if sys.platform == "win32" or _is_at(handle, beside):
                return handle, True
        except OSError as error:
            if error.errno not in _HELD:
                return handle, False
        os.close(handle)
        if time.monotonic() > end:
            told = NotWritten(
                Fault(
                    unquoted(path.name, longest=80),
                    "locked by another program",
                    f"waited {WAIT_S:g} s",
                    "close the other program, then write it again",
                )
            )
            told.errno, told.strerror = errno.EAGAIN, "locked by another program"
            raise told
        time.sleep(_RETRY_S)


def _opened(beside: Path) -> int:
    flags = os.O_CREAT | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_CLOEXEC", 0)
    try:
        return os.open(beside, os.O_RDWR | flags, 0o666)
    except PermissionError:
        if not beside.exists():
            raise
        return os.open(beside, os.O_RDONLY)  # left behind by another user: enough to lock it


def _is_at(handle: int, beside: Path) -> bool:
    """Say whether the lock file is still the one beside the path: its last holder took it away."""
    try:
        return os.path.samestat(os.fstat(handle), os.stat(beside))
    except FileNotFoundError:
        return False


if sys.platform == "win32":
    import msvcrt

    def _lock(handle: int) -> None:
        os.lseek(handle, 0, os.SEEK_SET)
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)

    def _unlock(handle: int) -> None:
        os.lseek(handle, 0, os.SEEK_SET)
        msvcrt.locking(handle, msvcrt.LK_UNLCK, 1)
else:
    import fcntl

    def _lock(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
