"""Texts in a csv file that no spreadsheet takes for a formula: an apostrophe stands before them."""

from __future__ import annotations

import re

_FORMULA = re.compile(r"'*[=+\-@\t\r|%]")
_MARKED = re.compile(r"'+[=+\-@\t\r|%]")


def harmless(text: str) -> str:
    """Return a text as a cell that a spreadsheet shows and doesn't work out."""
    return f"'{text}" if _FORMULA.match(text) else text


def as_typed(cell: str) -> str:
    """Return the text that `harmless` made a cell of."""
    return cell[1:] if _MARKED.match(cell) else cell
