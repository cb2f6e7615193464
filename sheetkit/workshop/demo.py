"""The demo: invented jobs, a photo, a job book and the notebooks, laid out in a folder to work in."""

from __future__ import annotations

import os
from pathlib import Path

from ..base.errors import Fault, SheetkitError, shown
from ..base.folder import write_into

PARTS = ("data", "notebooks")
SUFFIXES = {".csv", ".ipynb", ".jpg", ".json", ".png"}
PACKAGE = Path(__file__).parents[1]
HOMES = (PACKAGE / "demo", PACKAGE.parent)
"""Where the parts stand: in the installed package, or at the top of the source tree."""


def demo_files() -> dict[str, bytes]:
    """Return the demo's files by their names, such as ``data/trunk_floor.json``.

    Files that the notebooks write (``my_...``) and hidden ones are no part of it.

    Raises
    ------
    SheetkitError
        They are not there: the package was taken apart.
    """
    for home in HOMES:
        if all((home / part).is_dir() for part in PARTS):
            return {
                path.relative_to(home).as_posix(): path.read_bytes()
                for part in PARTS
                for path in sorted((home / part).rglob("*"))
                if path.suffix in SUFFIXES
                and not any(name.startswith((".", "my_")) for name in path.relative_to(home).parts)
            }
    raise SheetkitError(
        Fault(
            "demo",
            shown(str(HOMES[0])),
            "the demo's files are not there",
            "install sheetkit again",
        )
    )


def lay_out(folder: str | os.PathLike[str], *, overwrite: bool = False) -> list[Path]:
    """Write the demo's files into `folder`, in ``data`` and ``notebooks``; return their paths.

    Parameters
    ----------
    folder : path
        Made if it isn't there.
    overwrite : bool
        Replace files of the same names; without it any one of them is refused.

    Raises
    ------
    SheetkitError
        A file is there already, or the folder can't be written; nothing is left half-written.
    """
    return write_into(folder, demo_files(), overwrite=overwrite)
