"""The rows of a cross-section that a page sent, in the shape of those it was told."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

_MOST_TEXT = 40
_LISTS = ("flats", "bends", "strips")
_TEXTS = ("measured", "run", "start", "k")


def taken(sent: object, rows: Mapping[str, Any] | None) -> dict[str, Any] | None:
    """Return the rows with what the page sent in them; None if that is odd."""
    if not isinstance(sent, dict) or rows is None:
        return None
    made = copied(rows)
    for name in _LISTS:
        for row, new in zip(made[name], _listed(sent.get(name)), strict=False):
            _fill(row, new)
    if isinstance(crown := sent.get("crown"), dict):
        _fill(made["crown"], crown)
    for key in _TEXTS:
        made[key] = _like(made[key], sent.get(key))
    return made


def copied(rows: Mapping[str, Any]) -> dict[str, Any]:
    """Return rows that can be changed without changing those given."""
    made: dict[str, Any] = {}
    for key, value in rows.items():
        if isinstance(value, list):
            made[key] = [dict(row) for row in value]
        else:
            made[key] = dict(value) if isinstance(value, dict) else value
    return made


def _fill(row: dict[str, Any], new: Mapping[str, Any]) -> None:
    for key in row:
        row[key] = _like(row[key], new.get(key))


def _listed(sent: object) -> list[dict]:
    return [row for row in sent if isinstance(row, dict)] if isinstance(sent, list) else []


def _like(old: Any, new: object) -> Any:
    """Return what the page sent in place of a text or a tick; anything else leaves it."""
    if isinstance(old, bool):
        return new if isinstance(new, bool) else old
    return new[:_MOST_TEXT] if isinstance(new, str) else old
