"""Files that were written, each to be opened with a click, wherever the page comes from."""

from __future__ import annotations

import mimetypes
from collections.abc import Iterable
from fnmatch import fnmatchcase
from pathlib import Path
from typing import Any

import anywidget
import traitlets

from .bundle import bundle, styles

_KINDS = mimetypes.MimeTypes()
"""Python's own list: what another program told the system of a csv file doesn't count."""
FOR_WHOM = (
    ("For the customer", {"quote.pdf": "the offer, to print and sign", "quote.html": "the same, on screen"}),
    ("To cut by", {
        "template.pdf": "1:1 on paper; print at 100 %, measure the check square",
        "template_mirrored.pdf": "the same from the back of the sheet",
        "patch_*": "the blank, face up, for a cutting table",
        "panel_cut*": "the opening in the panel",
        "stock_sheet_*": "all blanks, laid out on their sheet",
        "read_me.txt": "for whoever cuts: which file is what, kerf, layers, bends",
    }),
    ("To weld by", {
        "worksheet.pdf": "settings, order and waits, with room to note what it took",
        "worksheet.html": "the same, on screen",
        "phone.html": "the order step by step on a phone, without a network",
    }),
    ("For the books", {
        "quote_reckoning.pdf": "how each sum of the offer came about: the shop's copy",
        "quote_reckoning.html": "the same, on screen",
        "tables.xlsx": "all tables, one file", "settings.csv": "settings",
        "order.csv": "order and waits", "tacks.csv": "tacks by rounds", "shopping.csv": "what to buy", "quote.csv": "sums",
        "terms.csv": "terms of the offer",
    }),
    ("For the next photo", {
        "measuring_cards.pdf": "print one, lay it by the rust: the photo is then true to scale",
    }),
)  # fmt: skip
"""Whom each file is for, and what it is; * stands for what differs from job to job."""


class FileLinks(anywidget.AnyWidget):
    """A list of files by whom they are for; one that is clicked opens in a tab of its own.

    groups : whom for, and of each file its name and what it is
    """

    _esm = bundle("files.js")
    _css = styles("files.css")

    groups: traitlets.List[dict] = traitlets.List().tag(sync=True)

    def __init__(self, files: Iterable[Path] = ()):
        self._files: dict[str, Path] = {}
        super().__init__()
        self.on_msg(self._receive)
        self.show(files)

    def __repr__(self) -> str:
        return f"FileLinks({len(self._files)} files)"

    def show(self, files: Iterable[Path]) -> None:
        """List these files."""
        self._files = {path.name: path for path in files}
        groups = []
        known: set[str] = set()
        for whom, words in FOR_WHOM:
            there = [
                {"name": name, "words": told}
                for like, told in words.items()
                for name in self._files
                if fnmatchcase(name, like)
            ]
            known |= {one["name"] for one in there}
            if there:
                groups.append({"whom": whom, "files": there})
        others = [{"name": n, "words": ""} for n in self._files if n not in known]
        self.groups = groups + ([{"whom": "Besides", "files": others}] if others else [])

    def _receive(self, _widget: Any, content: Any, _buffers: list) -> None:
        """Send the file asked for, if it is one of the list."""
        name = content.get("open") if isinstance(content, dict) else None
        if not isinstance(name, str) or name not in self._files:
            return
        kind = _KINDS.guess_type(name)[0] or "application/octet-stream"
        try:
            content = self._files[name].read_bytes()
        except OSError as error:
            self.send({"name": name, "fault": f"{name} is gone ({error.strerror or error})."})
            return
        self.send({"name": name, "kind": kind}, buffers=[content])
