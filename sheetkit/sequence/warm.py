"""Have the kernels compiled before a plan is asked for: beside the work, once on a computer.

Compiling takes some ten seconds of a processor and mostly holds the
interpreter's lock.  So it is done by processes of their own, a part each,
which leave their work in numba's cache; this process then loads it.
"""

from __future__ import annotations

import contextlib
import subprocess
import sys
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

from ..heat.sheet_model import Progress, kernels

WORDS = "preparing the planner (compiled once on this computer)"
LOOK_EVERY_S = 0.1
_ROOMS = Path(__file__).parents[1]
_HEAT = "from sheetkit.heat.sheet_model import kernels; kernels()"
_SEARCH = "from sheetkit.sequence.search import tiny; tiny()"
_AFTER_OTHERS = "import os; hasattr(os, 'nice') and os.nice(19); "
"""What somebody waits for in this process, a first look, comes before what is compiled beside it."""


class _Warming:
    """One process's preparation: its thread, and how far it is.

    decided : set once it is known whether anything must be compiled
    parts : how many parts are ready of how many
    """

    def __init__(self) -> None:
        self.lock = threading.Lock()
        self.thread: threading.Thread | None = None
        self.decided, self.done = threading.Event(), threading.Event()
        self.compiling = False
        self.parts, self.words = (0, 1), ""
        self.listeners: list[Callable[[str], object]] = []

    def work(self, load: bool) -> None:
        try:
            missing = missing_parts()
            self.compiling = bool(missing)
            self.decided.set()
            if missing:
                self.tell(WORDS)
                self.parts = (0, len(missing) + 1)
                for child in [_beside(code) for code in missing]:
                    if child is not None:
                        child.wait()
                    self.parts = (self.parts[0] + 1, self.parts[1])
            if load:
                _load()
        except Exception:  # whoever plans meets it again, where it can be told
            pass
        finally:
            self.decided.set()
            self.done.set()
            self.tell("")
            self.listeners.clear()

    def tell(self, words: str) -> None:
        with self.lock:
            self.words, listeners = words, list(self.listeners)
        for listener in listeners:
            with contextlib.suppress(Exception):  # a widget that is gone holds nobody up
                listener(words)


_warming = _Warming()


def begin(tell: Callable[[str], object] | None = None, *, load: bool = True) -> None:
    """Begin to prepare the kernels in the background, unless that was begun.

    tell : called from the background with words to show while something is
        compiled, and with "" once all is ready
    load : False leaves it to the first plan to load them into this process (some 70 MB)
    """
    with _warming.lock:
        words = ""
        if tell is not None and not _warming.done.is_set():
            words = _warming.words
            _warming.listeners.append(tell)
        if _warming.thread is None:
            _warming.thread = threading.Thread(target=_warming.work, args=(load,), daemon=True)
            _warming.thread.start()
    if tell is not None and words:
        tell(words)


def compiling() -> bool:
    """Say whether the kernels are being compiled now; begins if nothing was begun."""
    begin()
    _warming.decided.wait()
    return _warming.compiling and not _warming.done.is_set()


def wait(progress: Progress | None = None) -> None:
    """Return once the kernels are ready; begins if nothing was begun."""
    begin()
    while not _warming.done.wait(LOOK_EVERY_S):
        if progress and _warming.compiling:
            progress(WORDS, *_warming.parts)
    _load()


def missing_parts() -> list[str]:
    """Return the code that compiles each part numba's cache doesn't hold."""
    from ..heat import wait_rule
    from . import kernel

    last = {_HEAT: wait_rule.time_welds, _SEARCH: kernel.least_rest}
    return [code for code, function in last.items() if not _cached(function)]


def _cached(function: Any) -> bool:
    """Say whether numba's cache holds a function as it now stands."""
    path = getattr(getattr(function, "stats", None), "cache_path", None)
    if path is None:
        return True  # not compiled at all, or where nothing another process compiles could be kept
    try:
        return bool(
            function._cache._cache_file._load_index()
        )  # empty where it is of an older source
    except AttributeError:  # numba's own affair: another release may keep it elsewhere
        source = function.py_func
        kept = f"{source.__module__.rsplit('.', 1)[-1]}.{source.__name__}-*.nbi"
        return any(Path(path).glob(kept))


def _beside(code: str) -> subprocess.Popen | None:
    """Start a Python of its own on `code`; None where that can't be had: then this one compiles."""
    try:
        return subprocess.Popen(
            [sys.executable, "-c", _AFTER_OTHERS + code], cwd=_ROOMS.parent, stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
            creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0)
            | getattr(subprocess, "BELOW_NORMAL_PRIORITY_CLASS", 0),
        )  # fmt: skip
    except OSError:
        return None


def _load() -> None:
    """Load the kernels, or compile what isn't there."""
    from .search import tiny

    kernels()
    tiny()
