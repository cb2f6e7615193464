"""pydantic's errors in sheetkit's words: field, value, limit, remedy."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterable, Mapping
from typing import Any, get_args

from pydantic import BaseModel

from ..base.errors import Fault, shown, unquoted
from .file import FORMAT

EXAMPLES = {
    "format": f'"format": "{FORMAT}"',
    "thickness": '"thickness": "1 mm"',
    "sheet": '"sheet": {"thickness": "1 mm"}',
    "rust": '"rust": [{"ring": [[x, y], ...]}]',
}
"""What to add where one of these keys is missing."""

Item = Mapping[str, Any]
"""One of pydantic's errors: type, loc, input, ctx, msg."""


def _field(loc: tuple) -> str:
    text = ""
    for part in loc:
        text += f"[{part}]" if isinstance(part, int) else f".{part}" if text else str(part)
    return unquoted(text.strip() or "job", longest=120)


def models_in(annotation: Any) -> list[type[BaseModel]]:
    """Return the models a field's annotation speaks of, at whatever depth."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return [model for arg in get_args(annotation) for model in models_in(arg)]


def _keys_at(model: type[BaseModel], loc: tuple) -> list[str]:
    """Return the keys allowed where the last one of `loc` stands."""
    for part in loc[:-1]:
        if isinstance(part, str) and part in model.model_fields:
            model = models_in(model.model_fields[part].annotation)[0]
    return list(model.model_fields)


def did_you_mean(name: object, known: Iterable[str]) -> str:
    """Return the remedy for an unknown name: the known one it is near to, or to delete it."""
    near = difflib.get_close_matches(str(name), list(known), 1)
    return f'did you mean "{near[0]}"?' if near else "delete it"


def _of_sheetkit(field: str, item: Item, root: type[BaseModel]) -> list[Fault]:
    return [
        Fault(f"{field}{fault.field}", fault.value, fault.limit, fault.remedy)
        for fault in item["ctx"]["faults"]
    ]


def _unknown(field: str, item: Item, root: type[BaseModel]) -> list[Fault]:
    loc = item["loc"]
    remedy = did_you_mean(loc[-1], _keys_at(root, loc))
    return [Fault(field, "an unknown key", "must be a key of the job file", remedy)]


def _missing(field: str, item: Item, root: type[BaseModel]) -> list[Fault]:
    remedy = f"add {EXAMPLES.get(str(item['loc'][-1]), 'it')}"
    return [Fault(field, "nothing", "must be given", remedy)]


def _not_among(field: str, item: Item, root: type[BaseModel]) -> list[Fault]:
    limit = f"must be {item['ctx']['expected']}"
    return [Fault(field, shown(item["input"]), limit, "choose one of these")]


def _too_large(field: str, item: Item, root: type[BaseModel]) -> list[Fault]:
    bound = item["ctx"].get("ge", item["ctx"].get("le"))
    word = "at least" if "ge" in item["ctx"] else "at most"
    return [Fault(field, shown(item["input"]), f"must be {word} {bound:g}", "give another number")]


def _too_many(field: str, item: Item, root: type[BaseModel]) -> list[Fault]:
    rust = item["loc"] == ("rust",)
    if rust and item["type"] == "too_short" and item["input"]:
        return []  # its rings have faults of their own
    bound = item["ctx"].get("min_length", item["ctx"].get("max_length"))
    word = "at least" if "min_length" in item["ctx"] else "at most"
    few = rust and item["type"] == "too_short"
    return [
        Fault(
            field,
            f"{item['ctx'].get('actual_length', 'other')} entries",
            f"must have {word} {bound}",
            "draw the rust-out first" if few else "add or leave out some",
        )
    ]


def _other(field: str, item: Item, root: type[BaseModel]) -> list[Fault]:
    message = (item["msg"][0].lower() + item["msg"][1:]).replace("input should", "must")
    return [Fault(field, shown(item.get("input")), message, "see Job file in README.md")]


def _wrong_kind(field: str, item: Item, root: type[BaseModel]) -> list[Fault]:
    limit, remedy = _KINDS[item["type"]]
    return [Fault(field, shown(item.get("input")), limit, remedy)]


_KINDS = {
    "tuple_type": ("must be a list", "write it as [...], or leave it out"),
    "bool_type": ("must be true or false", "write true or false"),
    "bool_parsing": ("must be true or false", "write true or false"),
    "model_type": ("must be an object", "write it as {...}, see Job file in README.md"),
    "dict_type": ("must be an object", "write it as {...}, see Job file in README.md"),
}
"""Kinds of value pydantic names in Python's words -> what must stand there, and what to do."""
_WORDS: Mapping[str, Callable[[str, Item, type[BaseModel]], list[Fault]]] = {
    "fault": _of_sheetkit,
    "extra_forbidden": _unknown,
    "missing": _missing,
    "literal_error": _not_among,
    "greater_than_equal": _too_large,
    "less_than_equal": _too_large,
    "too_short": _too_many,
    "too_long": _too_many,
    **dict.fromkeys(_KINDS, _wrong_kind),
}


def faults_of(item: Item, root: type[BaseModel]) -> list[Fault]:
    """Return pydantic's error as faults in sheetkit's words."""
    return _WORDS.get(item["type"], _other)(_field(item["loc"]), item, root)
