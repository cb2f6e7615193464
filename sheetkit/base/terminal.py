"""Words to a terminal: streams that are closed, full or can't show a letter; how far a work is."""

from __future__ import annotations

import errno
import os
import sys
import time
from typing import IO

from .errors import Fault, SheetkitError, plain

TELL_EVERY_S = 0.1
BAR = 12
"""Letters of the bar that says how far a work is."""


def prepare() -> None:
    """Let a terminal that can't show a letter show its code instead.

    Raises
    ------
    SheetkitError
        Standard output is closed.
    """
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure:
            reconfigure(errors="backslashreplace")
    if sys.stdout is None:
        raise _not_printed("it is closed")


def put(text: str = "") -> None:
    """Print `text` and a line's end, if any, and hand it all over; a reader that has gone is no fault.

    Raises
    ------
    SheetkitError
        The system refused it, such as on a full disk.
    """
    try:
        if text:
            print(text)
        sys.stdout.flush()
    except OSError as error:
        _into_nothing(sys.stdout)
        gone = isinstance(error, BrokenPipeError) or (
            os.name == "nt" and error.errno == errno.EINVAL  # what Windows says of a closed pipe
        )
        if not gone:
            raise _not_printed(error.strerror or str(error)) from None


def complain(line: object) -> None:
    """Print a line on the error stream, if there is one and it takes it."""
    if sys.stderr is None:  # print() would take standard output for it
        return
    try:
        print(line, file=sys.stderr, flush=True)
    except OSError:
        _into_nothing(sys.stderr)


class Progress:
    """One line on the error stream that says how far a work is; silent unless that is a terminal.

    Called with (what, done, of how many), from any thread.
    """

    def __init__(self) -> None:
        self.shown = sys.stderr is not None and sys.stderr.isatty()
        self._length, self._what, self._next = 0, "", 0.0

    def __call__(self, what: str, done: int, total: int) -> None:
        now = time.monotonic()
        if self.shown and (now >= self._next or what != self._what):
            self._what, self._next = what, now + TELL_EVERY_S
            bar = "#" * round(BAR * min(done / max(total, 1), 1.0))
            self._write(f"[{bar:.<{BAR}}] {plain(what)}: {done} of {total}"[:78])

    def say(self, words: str) -> None:
        """Leave a line of its own, and go on below it."""
        if self.shown:
            self._write(plain(words))
            self._write_on("\n")
            self._length = 0

    def clear(self) -> None:
        """Take the line away again."""
        if self._length:
            self._write("")

    def _write(self, line: str) -> None:
        blanks = " " * (self._length - len(line))
        self._length = len(line)
        self._write_on(f"\r{line}{blanks}" + ("" if line else "\r"))

    def _write_on(self, text: str) -> None:
        try:
            sys.stderr.write(text)
            sys.stderr.flush()
        except OSError:
            self.shown = False


def _into_nothing(stream: IO[str]) -> None:
    """Let what a broken stream still holds go nowhere, so that the end of the process is quiet."""
    nothing = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nothing, stream.fileno())
    os.close(nothing)


def _not_printed(reason: str) -> SheetkitError:
    return SheetkitError(
        Fault("standard output", reason, "the result is printed there", "send it into a file")
    )
