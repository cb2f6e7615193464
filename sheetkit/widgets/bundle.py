"""A widget's page code as one text (see `base.joined`): anywidget takes one module."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from ..base.joined import NotBundled, joined
from . import host

__all__ = ["FOLDER", "NotBundled", "bundle", "styles"]
FOLDER = Path(__file__).parent


def bundle(entry: str, told: Mapping[str, Any] | None = None) -> str:
    """Return a module of this folder with all it imports, each once, as one text.

    Parameters
    ----------
    entry : path below this folder, as "pad/pad.js"; its exports stay
    told : what the page has from Python, JSON-like; the modules read it as ``TOLD``

    ``AGAIN`` is what to do when Python no longer answers, such as "run the cell again".

    Raises
    ------
    NotBundled, OSError
        See `base.joined.joined`.
    """
    given: dict[str, Any] = {} if told is None else {"TOLD": told}
    given["AGAIN"] = host.again()
    return joined(FOLDER, entry, given, given_in="bundle.py")


def styles(*names: str) -> str:
    """Return style sheets of this folder, one after the other."""
    return "\n".join((FOLDER / name).read_text(encoding="utf-8") for name in names)
