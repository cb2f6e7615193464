"""Messages in the order the page sent them.

A kernel may hand its first messages to one thread and the next to another, so that on a
busy machine the second comes before the first.  The page numbers what it sends from 1.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

MOST_HELD = 50
"""A page that far ahead has lost count: its message is taken as it comes."""
MOST_TOLD = 8
"""So many pages are told what was heard of them; no more look at one drawing."""


class InOrder:
    """Gives each message out when all that its page sent before it are out.

    acks : page -> the number of its last message given out, of the last few pages
    """

    def __init__(self) -> None:
        self.acks: dict[str, int] = {}
        self._last: dict[str, int] = {}
        self._held: dict[str, dict[int, Any]] = {}

    def taken(self, client: str, number: object, message: Any) -> Iterator[Any]:
        """Yield the messages whose turn it is now that this one came, each acknowledged."""
        last = self._last.get(client, 0)
        if not isinstance(number, int) or isinstance(number, bool) or number <= last:
            self._acknowledge(client, number if isinstance(number, int) else 0)
            yield message
            return
        held = self._held.setdefault(client, {})
        held[number] = message
        while held and (last + 1 in held or max(held) > last + MOST_HELD):
            self._last[client] = last = min(held)
            self._acknowledge(client, last)
            yield held.pop(last)

    def _acknowledge(self, client: str, number: int) -> None:
        self.acks.pop(client, None)
        self.acks[client] = number
        while len(self.acks) > MOST_TOLD:
            self.acks.pop(next(iter(self.acks)))
