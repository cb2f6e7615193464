"""Files written whole or not at all, and the words for what stands in the way."""

from __future__ import annotations

import errno
import os
import tempfile
from collections.abc import Mapping
from pathlib import Path

from .errors import Fault, NotWritten, unquoted

REMEDIES = {
    **dict.fromkeys((errno.ENOSPC, errno.EDQUOT), "make room on the disk, then save again"),
    **dict.fromkeys((errno.EBUSY, errno.EAGAIN), "close the other program, then save again"),
}


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


def write_text_atomically(path: str | os.PathLike, text: str, *, backup: bool = True) -> None:
    """Write `text` to `path` in one step (see `write_atomically`)."""
    write_atomically(path, text.encode(), backup=backup)


def write_atomically(path: str | os.PathLike, content: bytes, *, backup: bool = True) -> None:
    """Write `path` so that a crash leaves the old file or the new, never a part.

    With `backup`, the version before stays beside it as ``<name>.bak``; a write
    that is refused leaves the backup as it was too.

    Raises
    ------
    NotWritten
        The system refused (disk full, no permission, in use); the old file is untouched.
    """
    path = Path(path)
    files = {path: content}
    try:
        if backup and path.exists():
            files = {path.with_name(path.name + ".bak"): path.read_bytes()} | files
        write_together(files)
    except OSError as error:
        raise not_written(path, error) from None


def write_together(files: Mapping[Path, bytes]) -> None:
    """Write files so that a crash leaves each old or new, and a full disk leaves all old.

    Each is written whole under another name first; only then are all put in their places.

    Raises
    ------
    OSError
        As the system gives it.
    """
    parts: list[tuple[str, Path]] = []
    try:
        for path, content in files.items():
            handle, part = tempfile.mkstemp(
                dir=path.parent, prefix=f".{path.name}.", suffix=".part"
            )
            parts.append((part, path))
            with os.fdopen(handle, "wb") as file:
                file.write(content)
                file.flush()
                os.fsync(file.fileno())
            os.chmod(part, path.stat().st_mode & 0o777 if path.exists() else 0o644)
        for part, path in parts:
            os.replace(part, path)
    except BaseException:
        for part, _ in parts:
            Path(part).unlink(missing_ok=True)
        raise
