"""The program: opens the command line, and ends in one line when the keyboard stops it, at any time.

Until the command line is open this file loads nothing but a few small parts of Python.
"""

from __future__ import annotations

import contextlib
import os
import signal
import sys
import threading

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Sequence
    from types import FrameType

STOPPED = 130
"""What a shell calls a command that the keyboard stopped."""
_WORDS = "stopped by the keyboard"


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; return 0, 1 when something is refused, 130 when the keyboard stops it.

    argparse exits 2 on bad usage.
    """
    keyboard = _Keyboard()
    try:
        from .command_line import main as run  # numpy, shapely, pydantic: most of a second

        keyboard.opened = True
        return run(argv)
    except BaseException as error:
        # a module that is interrupted while it loads can make an error of its own of it
        if not keyboard.pressed and not isinstance(error, KeyboardInterrupt):
            raise
        from .base.terminal import complain

        complain(_WORDS)
        return STOPPED
    finally:
        keyboard.give_back()


class _Keyboard:
    """The keyboard's interrupt: it ends the process, or the work once the command line is open.

    Where it is ignored (nohup) it stays so, and beside the main thread it is left alone.
    """

    def __init__(self) -> None:
        self.opened = self.pressed = False
        main_thread = threading.current_thread() is threading.main_thread()
        self._before = signal.getsignal(signal.SIGINT) if main_thread else None
        if self._before not in (None, signal.SIG_IGN):
            signal.signal(signal.SIGINT, self._press)

    def give_back(self) -> None:
        """Let it do what it did before."""
        if self._before not in (None, signal.SIG_IGN):
            signal.signal(signal.SIGINT, self._before)

    def _press(self, number: int, frame: FrameType | None) -> None:
        self.pressed = True
        if self.opened:
            raise KeyboardInterrupt  # files that are being written take their scraps away
        with contextlib.suppress(OSError):
            os.write(2, f"{_WORDS}\n".encode())
        os._exit(STOPPED)  # while modules load there is nothing to put in order


if __name__ == "__main__":
    sys.exit(main())
