"""What every reader is held to, however hostile the input: words, memory, and hands off the disk."""

import os
import sys
import threading
import time
import tracemalloc
from contextlib import contextmanager

from sheetkit.base import units
from sheetkit.base.errors import SheetkitError

COUNT = int(os.environ.get("SHEETKIT_FUZZ", "400"))
"""Inputs for each reader; set SHEETKIT_FUZZ=100000 for a long run."""
LONG = COUNT > 5000
LONGEST_FAULT = 700
MOST_HELD_MB = 60
"""What a reader may still hold after the run, and beside it at any time."""
SLOWEST_S = 30.0
"""Processor time: far more than a slow machine needs, far less than a reader that hangs."""

_watched = threading.local()
WRITES = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND
CHANGES = ("os.remove", "os.rename", "os.rmdir", "os.mkdir", "os.link", "os.symlink", "os.truncate")


def _audit(event: str, arguments: tuple) -> None:
    folder = getattr(_watched, "folder", None)
    if folder is None:
        return
    if event == "open" and isinstance(arguments[0], int):
        return  # a handle that was opened by its name before
    if event == "open" and isinstance(arguments[2], int) and arguments[2] & WRITES:
        _watched.touched.append(str(arguments[0]))
    elif event in CHANGES or event.startswith(("subprocess.", "socket.connect", "os.system")):
        _watched.touched.append(f"{event} {arguments[0]}")


sys.addaudithook(_audit)


@contextmanager
def watched(folder):
    """Hold the code inside to bounded memory and to writing nothing outside `folder`."""
    _watched.touched, _watched.folder = [], str(folder)
    units.parse(
        "1 psi", "pressure", field=""
    )  # the registry of units is loaded before the clock runs
    if not LONG:
        tracemalloc.start()
    before = _held()
    begun = time.perf_counter()
    try:
        yield
        peak = _held() - before
    finally:
        tracemalloc.stop()
        _watched.folder = None
    outside = [name for name in _watched.touched if str(folder) not in name]
    print(f"{COUNT} inputs, {time.perf_counter() - begun:.1f} s, peak {peak / 1e6:.1f} MB")
    assert outside == []
    assert peak < MOST_HELD_MB * 1e6


def _held() -> float:
    """Return the most memory held so far, bytes; in a long run the whole process's, which is quick."""
    if LONG:
        import resource

        return 1024 * resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return tracemalloc.get_traced_memory()[1]


def check_faults(faults) -> None:
    """Every fault has short, printable words in all four places."""
    assert faults
    for fault in faults:
        for words in (fault.field, fault.value, fault.limit, fault.remedy):
            assert isinstance(words, str) and words.strip(), fault
        assert str(fault).isprintable(), fault
        assert len(str(fault)) <= LONGEST_FAULT, fault


def read(reader, *arguments, **options):
    """Return what `reader` gives, or None if it refuses in words; nothing else may come out."""
    begun = time.process_time()  # a busy machine is no slow reader
    try:
        return reader(*arguments, **options)
    except SheetkitError as error:
        check_faults(error.faults)
        return None
    finally:
        assert time.process_time() - begun < SLOWEST_S, shown_input(arguments)


def shown_input(arguments) -> str:
    return repr(arguments)[:500]
