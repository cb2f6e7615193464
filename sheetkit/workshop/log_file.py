"""The log's csv file as sheetkit, or a spreadsheet that saved it, writes it.

Spreadsheets save lists with commas, semicolons or tabs, as UTF-8 with or
without a mark, or as UTF-16; with decimal commas; with columns added, heads
in capitals, blank lines on top.  All of it is read, and a new row is written
the way the file is.
"""

from __future__ import annotations

import csv
import io
import re
import warnings
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from ..base import lock
from ..base.cells import as_typed, harmless
from ..base.errors import Fault, SheetkitError, shown
from ..base.files import remove_scraps, write_atomically

SEPARATORS = (",", ";", "\t")
_NAMED = {",": "commas", ";": "semicolons", "\t": "tabs"}
_MARKS = {b"\xef\xbb\xbf": "utf-8", b"\xff\xfe": "utf-16-le", b"\xfe\xff": "utf-16-be"}
_HINT = re.compile(r"sep=(.)\s*", re.IGNORECASE)
_WITH_COMMA = re.compile(r"[+-]?\d*,\d+")


@dataclass(frozen=True)
class SetAside:
    """A row of a log that was not used: its line (0: named by its text), what it says, why."""

    line: int
    text: str
    faults: tuple[Fault, ...]

    @property
    def where(self) -> str:
        """Its line, or what it says."""
        return f"line {self.line}" if self.line else self.text

    def __str__(self) -> str:
        return f"{self.where}: " + "; ".join(map(str, self.faults))


@dataclass(frozen=True)
class Row:
    """A row of the file: where it ends, its text, its cells by column; faults if it is none."""

    line: int
    text: str
    cells: Mapping[str, str]
    faults: tuple[Fault, ...] = ()


@dataclass(frozen=True)
class LogFile:
    """A log's text, and how it is written."""

    text: str
    mark: bytes = b""
    encoding: str = "utf-8"
    separator: str = ","
    head: tuple[str, ...] = ()
    """The names of the columns, as sheetkit spells them; "" for one that has none."""
    head_line: int = 0

    @classmethod
    def opened(cls, path: Path, columns: Sequence[str], *, strict: bool) -> LogFile:
        """Return the log at `path`, empty if it isn't there; without `strict`, odd bytes are marked.

        Raises
        ------
        SheetkitError
            It can't be read, or with `strict`, isn't a text in the encoding it says.
        """
        try:
            content = path.read_bytes() if path.exists() else b""
            mark = next((m for m in _MARKS if content.startswith(m)), b"")
            encoding = _MARKS.get(mark) or ("utf-16-le" if content[1:4:2] == b"\0\0" else "utf-8")
            text = content[len(mark) :].decode(encoding, "strict" if strict else "replace")
        except UnicodeDecodeError as error:
            raise SheetkitError(
                Fault(
                    "log",
                    f"byte {error.start} is not {error.encoding.upper()}",
                    "must be a UTF-8 text",
                    "save the log as UTF-8",
                )
            ) from None
        except (OSError, ValueError) as error:
            reason = getattr(error, "strerror", None) or str(error)
            raise SheetkitError(
                Fault(
                    "log",
                    f"it can't be read ({reason})",
                    "must be a readable csv file",
                    "check its name and permissions",
                )
            ) from None
        return cls(text, mark, encoding)._with_head(columns)

    def _with_head(self, columns: Sequence[str]) -> LogFile:
        """Find the head: the first line that isn't blank, by the separator that knows most columns."""
        best: tuple[int, str, list[str], int] = (-1, ",", [], 0)
        for separator in SEPARATORS:
            for line, cells in _rows(self.text, separator):
                if isinstance(cells, Fault) or not any(cell.strip() for cell in cells):
                    continue
                if _HINT.fullmatch(separator.join(cells)):
                    continue
                head = [cell.strip().lower() for cell in cells]
                known = sum(name in columns for name in head)
                if known > best[0]:
                    best = known, separator, head, line
                break
        _, separator, head, line = best
        while head and not head[-1]:
            head.pop()
        return LogFile(self.text, self.mark, self.encoding, separator, tuple(head), line)

    def head_faults(self, columns: Sequence[str]) -> list[Fault]:
        """Return what is wrong with the head: columns that no log has, or that stand twice."""
        unknown = [name for name in self.head if name and name not in columns]
        twice = [name for name in dict.fromkeys(self.head) if name and self.head.count(name) > 1]
        return [
            Fault("log", f"unknown column {shown(name)}", "is not used", "rename or delete it")
            for name in unknown
        ] + [
            Fault("log", f"column {shown(name)} twice", "its last one is used", "delete one")
            for name in twice
        ]

    def rows(self) -> Iterator[Row]:
        """Give the rows under the head that hold anything."""
        for line, cells in _rows(self.text, self.separator):
            if line <= self.head_line:
                continue
            if isinstance(cells, Fault):
                yield Row(line, "", {}, (cells,))
                continue
            text = self.separator.join(cells)
            while len(cells) > len(self.head) and not cells[-1].strip():
                cells.pop()
            if not any(cell.strip() for cell in cells):
                continue
            if len(cells) > len(self.head):
                fault = Fault(
                    "row",
                    f"{len(cells)} cells",
                    f"the head has {len(self.head)} columns, parted by {_NAMED[self.separator]}",
                    "mend the row or head",
                )
                yield Row(line, text, {}, (fault,))
                continue
            named = zip(self.head, cells, strict=False)
            yield Row(line, text, {name: as_typed(cell) for name, cell in named if name})

    def with_columns(self, names: Sequence[str], columns: Sequence[str]) -> LogFile:
        """Return the log with `names` at the end of its head; its rows stay letter for letter.

        A row shorter than the head has nothing in the rest.
        """
        lines = io.StringIO(self.text, newline="").readlines()
        head = lines[self.head_line - 1]
        bare = head.rstrip("\r\n")
        longer = self.separator.join([bare, *names]) + head[len(bare) :]
        text = "".join([*lines[: self.head_line - 1], longer, *lines[self.head_line :]])
        return replace(self, text=text)._with_head(columns)

    def number(self, cell: str) -> str:
        """Return a cell's number with a decimal point, if it is clear that its comma is one.

        Where commas part the cells, or three digits follow in a list with tabs,
        the comma could part thousands.
        """
        text = cell.strip()
        if not _WITH_COMMA.fullmatch(text) or self.separator == ",":
            return text
        if self.separator == "\t" and len(text.partition(",")[2]) == 3:
            return text
        return text.replace(",", ".")

    @property
    def _decimal_comma(self) -> bool:
        """Whether its numbers are written with a comma."""
        if self.separator == ",":
            return False
        cells = [cell.strip() for row in self.rows() for cell in row.cells.values()]
        if any(_WITH_COMMA.fullmatch(cell) for cell in cells):
            return True
        points = any(re.fullmatch(r"[+-]?\d*\.\d+", cell) for cell in cells)
        return self.separator == ";" and not points

    def with_row(self, row: Mapping[str, object]) -> bytes:
        """Return the file's bytes with one row more, written as the others are.

        Raises
        ------
        SheetkitError
            A quote left open in the file would swallow it.
        """
        comma = self._decimal_comma
        cells = [
            harmless(value)
            if isinstance(value, str)
            else str(value).replace(".", ",")
            if comma and isinstance(value, int | float)
            else str(value)
            for value in (row.get(name, "") for name in self.head)
        ]
        end = next((e for e in ("\r\n", "\n", "\r") if e in self.text), "\n")
        out = io.StringIO(newline="")
        csv.writer(out, delimiter=self.separator, lineterminator=end).writerow(cells)
        text = self.text + ("" if self.text.endswith(("\n", "\r")) else end) + out.getvalue()
        if [cells for _, cells in _rows(text, self.separator)][-1] != cells:
            raise SheetkitError(
                Fault(
                    "log",
                    "a quote left open in it",
                    "would swallow the new entry",
                    "close the quote in the log's last lines and log the job again",
                )
            )
        return self.mark + text.encode(self.encoding)


def append(path: Path, columns: Sequence[str], row: Mapping[str, object]) -> None:
    """Add a row to a log, in one step: two writers lose no row, a crash leaves the old file.

    Raises
    ------
    SheetkitError
        A file whose head is not such a log's, or that can't be read or written.
    """
    with lock.held(path) as sure:
        if not sure:
            warnings.warn(f"{path.name}: {lock.NO_LOCKS}", stacklevel=3)
        remove_scraps(path, locked=sure)
        file = LogFile.opened(path, columns, strict=True)
        if not file.text.strip():
            head = tuple(columns)
            file = replace(file, text=",".join(head) + "\n", head=head, separator=",")
        file = _with_columns_for(file, columns, row)
        write_atomically(path, file.with_row(row))


def _with_columns_for(file: LogFile, columns: Sequence[str], row: Mapping[str, object]) -> LogFile:
    """Return the file with the columns that a row needs; refuse one whose head is no such log's.

    A log that was begun before there was a column gets it.
    """
    lacking = [name for name, value in row.items() if value != "" and name not in file.head]
    if not lacking:
        return file
    strange = [fault.value for fault in file.head_faults(columns)]
    # a cell beyond the head must not come to mean what it never meant
    strange += [f"line {one.line} of {one.faults[0].value}" for one in file.rows() if one.faults]
    if {"date", "job"} <= set(file.head) and not strange:
        return file.with_columns(lacking, columns)
    raise SheetkitError(
        Fault(
            "log",
            ", ".join([f"no column {shown(lacking[0])}", *strange[:1]]),
            "the head must have a log's columns",
            f"let the first line be {','.join(columns)}",
        )
    )


def _rows(text: str, separator: str) -> Iterator[tuple[int, list[str] | Fault]]:
    """Give each row with the line it ends at; a fault for one that csv itself refuses."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator)
    while True:
        try:
            cells: list[str] | Fault = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            cells = Fault("row", str(error), "must be one csv row", "mend the row's quotes")
        if cells:
            yield reader.line_num, cells
