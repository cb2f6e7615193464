"""Job text -> plain data, and back to the disk in one piece.

Reading says what is wrong with the text itself; writing is atomic and keeps
the version before as a backup.
"""

from __future__ import annotations

import json
import os
import re
from collections import Counter
from pathlib import Path

from ..base.errors import Fault, JobRefused, shown, unquoted

LARGEST_BYTES = 20_000_000
MOST_OF = {
    "[": (500_000, "lists"),
    "{": (20_000, "objects"),
    ":": (200_000, "keys"),
    ",": (1_500_000, "entries"),
}
"""Signs of a text that would take more memory than any job or draft does."""
MOST_FAULTS = 20
"""A text told to hold more than so many keys twice or numbers without end isn't a job at all."""
FORMAT = "sheetkit-job/1"
ENDING = "*.[jJ][sS][oO][nN]"
"""Files of this ending, on systems that tell capitals apart too."""
_SAID = re.compile(rb'"format"\s*:\s*"([^"]*)"')


def _refuse(field: str, value: str, limit: str, remedy: str) -> JobRefused:
    return JobRefused(Fault(field, value, limit, remedy))


def parse_text(text: str, *, name: str = "job") -> dict:
    """Return the JSON object in `text`; refuse anything that is not one.

    Raises
    ------
    JobRefused
        Empty, not JSON (with line and column), NaN or infinite numbers, a key
        twice in one object, nested too deep, or not an object.
    """
    faults: list[Fault] = []

    def note(fault: Fault) -> float:
        if len(faults) < MOST_FAULTS:
            faults.append(fault)
        return 0.0

    def constant(token: str) -> float:
        return note(
            Fault(name, token, "every number must be finite", "measure it again or leave it out")
        )

    def pairs(items: list[tuple[str, object]]) -> dict:
        made = dict(items)
        if len(made) == len(items):
            return made
        times = Counter(key for key, _ in items)
        for key in sorted(key for key in times if times[key] > 1):
            note(
                Fault(
                    f"{name}.{unquoted(key)}" if key.isidentifier() else name,
                    f"the key {shown(key)} twice",
                    "each key may stand once",
                    "delete one of them",
                )
            )
        return made

    for sign, (most, what) in MOST_OF.items():
        if text.count(sign) > most:
            raise _refuse(
                name,
                f"more than {most} {what}",
                "must be a job as sheetkit writes it",
                "leave out points closer together than 0.1 mm",
            )
    if not text.strip():
        raise _refuse(
            name,
            "an empty file",
            "must hold one job",
            "take the backup (.bak) beside the file, or save the drawing again",
        )
    try:
        data = json.loads(text, parse_constant=constant, object_pairs_hook=pairs)
    except json.JSONDecodeError as error:
        raise _refuse(
            f"{name} line {error.lineno} column {error.colno}",
            shown(text[error.pos : error.pos + 20] or "the end of the file"),
            f"must be JSON ({error.msg})",
            "mend that place, or take the backup (.bak) beside the file",
        ) from None
    except (RecursionError, ValueError):
        raise _refuse(
            name,
            "lists nested too deep or a number too long",
            "must be a job as sheetkit writes it",
            "take the backup beside the file",
        ) from None
    if not isinstance(data, dict):
        raise _refuse(
            name,
            f"a JSON {type(data).__name__}",
            "must be one JSON object {...}",
            f'start the file with {{"format": "{FORMAT}", ...',
        )
    if faults:
        raise JobRefused(faults)
    return data


def read(path: str | os.PathLike) -> dict:
    """Return the JSON object in the file at `path`.

    Raises
    ------
    JobRefused
        No such file, a folder, unreadable, too large, not UTF-8, or see `parse_text`.
    """
    path = Path(path)
    name = unquoted(path.name or str(path), longest=80)
    try:
        return parse_text(_content(path, name).decode("utf-8-sig"), name=name)
    except JobRefused:
        raise
    except FileNotFoundError:
        raise _refuse(
            name, "no such file", "must be a job file", "check the name and folder"
        ) from None
    except UnicodeDecodeError as error:
        raise _refuse(
            name,
            f"byte {error.start} is not UTF-8",
            "must be a UTF-8 text",
            "save the file as UTF-8, or take the backup (.bak) beside it",
        ) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise _refuse(
            name, f"it can't be read ({reason})", "must be a readable file", "check its permissions"
        ) from None


def is_job(path: Path) -> bool:
    """Say whether a .json file is a job's; a damaged one is, unless it says what else it is.

    A hidden one isn't: macOS puts ``._wing.json`` beside ``wing.json`` on disks of other systems.
    """
    if path.name.startswith("."):
        return False
    try:
        content = _content(path, path.name)
    except (OSError, ValueError):
        return path.is_file()
    said = _SAID.search(content)
    if said:
        return said[1].startswith(b"sheetkit-job/")
    try:
        json.loads(content)
    except (ValueError, RecursionError):
        return True
    return False


def _content(path: Path, name: str) -> bytes:
    """Return the bytes of a plain file that isn't too large."""
    if path.is_dir():
        raise _refuse(name, "a folder", "must be a job file", "name the .json file inside it")
    if path.exists() and not path.is_file():
        raise _refuse(name, "a device or pipe", "must be a job file", "name a .json file")
    with path.open("rb") as stream:  # what calls itself short may go on for ever
        content = stream.read(LARGEST_BYTES + 1)
    if len(content) > LARGEST_BYTES:
        raise _refuse(
            name,
            f"{max(path.stat().st_size, len(content))} bytes",
            f"must be at most {LARGEST_BYTES} bytes",
            "leave out points closer together than 0.1 mm",
        )
    return content
