"""What each pupil of a class tried and was marked: a file a pupil, all in one folder.

``my_class/Anna/lesson.json`` is Anna's.  The teacher's page reads them all and writes none.
"""

from __future__ import annotations

import json
import os
import threading
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TypeGuard

from ..base import files

FILE = "lesson.json"
FORMAT = "sheetkit-lesson/1"
MOST_TRIES = 300
"""Of one board; the oldest go first, the best stays."""
MOST_EXAMS = 100
MOST_BYTES = 2_000_000
"""A longer file was not written here."""


@dataclass(frozen=True)
class Try:
    """One order judged: stitches from 0, time of the fill in s, what it did wrong in words."""

    order: tuple[int, ...]
    total_s: float
    mistake: str = ""


@dataclass(frozen=True)
class Mark:
    """One test: the shape's seed, marks reached of how many, mistakes in words."""

    seed: int
    marks: int
    full: int
    mistakes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Record:
    """What one pupil did.

    tries : orders by the board's name, oldest first; marks : tests, oldest first
    """

    tries: Mapping[str, tuple[Try, ...]] = field(default_factory=dict)
    marks: tuple[Mark, ...] = ()

    def best(self, board: str) -> Try | None:
        """Return the quickest order of a board; None before there is one."""
        return min(self.tries.get(board, ()), key=lambda one: one.total_s, default=None)

    @property
    def best_mark(self) -> Mark | None:
        """The best test; None before there is one."""
        return max(self.marks, key=lambda one: one.marks / one.full, default=None)

    @property
    def mistakes(self) -> Counter[str]:
        """How often each mistake was made."""
        made = [one.mistake for part in self.tries.values() for one in part]
        made += [mistake for one in self.marks for mistake in one.mistakes]
        return Counter(filter(None, made))

    def to_data(self) -> dict[str, Any]:
        """Return it as plain data."""
        return {
            "format": FORMAT,
            "tries": {
                board: [
                    {"order": list(one.order), "total_s": round(one.total_s, 1), "mistake": one.mistake}
                    for one in part
                ]
                for board, part in self.tries.items()
            },
            "marks": [
                {"seed": one.seed, "marks": one.marks, "full": one.full, "mistakes": list(one.mistakes)}
                for one in self.marks
            ],
        }  # fmt: skip

    @classmethod
    def of_data(cls, data: Any) -> Record:
        """Return the record in plain data; what can't be one is left out."""
        if not isinstance(data, dict) or data.get("format") != FORMAT:
            return cls()
        boards = data.get("tries")
        tries = {
            str(board)[:200]: tuple(filter(None, map(_try, part)))
            for board, part in (boards.items() if isinstance(boards, dict) else ())
            if isinstance(part, list)
        }
        marks = data.get("marks")
        return cls(tries, tuple(filter(None, map(_mark, marks if isinstance(marks, list) else ()))))


def _whole(value: Any, low: int, high: int) -> TypeGuard[int]:
    return isinstance(value, int) and not isinstance(value, bool) and low <= value <= high


def _try(data: Any) -> Try | None:
    if not isinstance(data, dict):
        return None
    order, total = data.get("order"), data.get("total_s")
    if not isinstance(order, list) or not all(_whole(n, 0, 10_000) for n in order):
        return None
    if len(set(order)) != len(order) or isinstance(total, bool):
        return None
    if not isinstance(total, int | float) or not 0 < total < 1e7:
        return None
    return Try(tuple(order), float(total), str(data.get("mistake") or "")[:200])


def _mark(data: Any) -> Mark | None:
    if not isinstance(data, dict):
        return None
    seed, marks, full = (data.get(name) for name in ("seed", "marks", "full"))
    if not _whole(seed, 0, 2**53) or not _whole(full, 1, 1000) or not _whole(marks, 0, full):
        return None
    mistakes = data.get("mistakes")
    words = [str(one)[:200] for one in mistakes] if isinstance(mistakes, list) else []
    return Mark(seed, marks, full, tuple(words[:50]))


def read(path: str | os.PathLike) -> Record:
    """Return what a pupil's file holds; nothing where there is none or it can't be read."""
    path = Path(path)
    try:
        if path.stat().st_size > MOST_BYTES:
            return Record()
        return Record.of_data(json.loads(path.read_text(encoding="utf-8")))
    except (OSError, ValueError, RecursionError):
        return Record()


class Keeper:
    """Keeps one pupil's record in a file, written whole at every try; one of a time.

    path : None keeps it in memory alone
    """

    def __init__(self, path: str | os.PathLike | None = None):
        self._guard = threading.Lock()
        self.path: Path | None = None
        self.record = Record()
        self.keep_in(path)

    def keep_in(self, path: str | os.PathLike | None) -> None:
        """Go on in another file, with what it holds; what nobody's file holds yet goes along.

        Raises
        ------
        NotWritten : the system refused; it is kept in memory
        """
        with self._guard:
            new = self.record if self.path is None else Record()
            self.path = None if path is None else Path(path)
            self.record = Record() if self.path is None else read(self.path)
            if self.path is None or not (new.tries or new.marks):
                return
            boards = dict.fromkeys([*self.record.tries, *new.tries])
            tries = {n: (*self.record.tries.get(n, ()), *new.tries.get(n, ())) for n in boards}
            self._write(Record(tries, (*self.record.marks, *new.marks)))

    def tried(self, board: str, one: Try) -> None:
        """Add an order of a board; one that was tried before stands last.

        Raises
        ------
        NotWritten : the system refused; it is kept in memory
        """
        with self._guard:
            before = [
                other for other in self.record.tries.get(board, ()) if other.order != one.order
            ]
            kept = [*before, one]
            while len(kept) > MOST_TRIES:
                best = min(kept, key=lambda other: other.total_s)
                kept.remove(next(other for other in kept if other is not best))
            self._write(Record({**self.record.tries, board: tuple(kept)}, self.record.marks))

    def marked(self, mark: Mark) -> None:
        """Add a test.

        Raises
        ------
        NotWritten : the system refused; it is kept in memory
        """
        with self._guard:
            marks = (*self.record.marks, mark)[-MOST_EXAMS:]
            self._write(Record(self.record.tries, marks))

    def _write(self, record: Record) -> None:
        self.record = record
        if self.path is not None:
            text = json.dumps(record.to_data())
            files.write_text_atomically(self.path, text, backup=False)


def class_of(root: str | os.PathLike) -> dict[str, Record]:
    """Return the records of all pupils of a folder, by name."""
    root = Path(root)
    if not root.is_dir():
        return {}
    found = {path.parent.name: read(path) for path in sorted(root.glob(f"*/{FILE}"))}
    return {name: record for name, record in found.items() if record.tries or record.marks}


def commonest(records: Iterable[Record]) -> list[tuple[str, int, int]]:
    """Return (mistake, how often, by how many pupils) over a class, the commonest first."""
    often: Counter[str] = Counter()
    by: Counter[str] = Counter()
    for record in records:
        often.update(record.mistakes)
        by.update(set(record.mistakes))
    return sorted(
        ((name, often[name], by[name]) for name in often),
        key=lambda row: (-row[2], -row[1], row[0]),
    )


def boards_of(records: Sequence[Record]) -> list[str]:
    """Return the names of the boards anybody tried, in the order they first stand."""
    return list(dict.fromkeys(board for record in records for board in record.tries))
