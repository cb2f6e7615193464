"""One thing to heed."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Caution:
    """One thing to heed, in the user's words; `str()` gives it as a line."""

    topic: str
    text: str

    def __str__(self) -> str:
        return f"{self.topic}: {self.text}"
