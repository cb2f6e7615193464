"""A page's code as one text: a page takes one script, the code is written in several.

The modules say ``import { a, b } from "./other.js";`` and ``export function a``; that is
what node's tests and eslint read. Joined, they share one scope, so a name stands once.
"""

from __future__ import annotations

import json
import os
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

_IMPORT = re.compile(r'^import\s*\{([^}]*)\}\s*from\s*"([^"]+)";\n', re.MULTILINE)
_NAMED = re.compile(
    r"^(export\s+)?(?:async\s+)?(?:function\*?|class|const|let|var)\s+([\w$]+)", re.MULTILINE
)
_OTHER = re.compile(
    r"^(?:import\b|export\s+(?!default\b)|(?:const|let|var)\s*[\[{]).*", re.MULTILINE
)
"""What is left at the head of a line when all that can be joined is taken out."""


class NotBundled(ValueError):
    """The modules can't be joined; the text says which file and why."""


def joined(folder: Path, entry: str, given: Mapping[str, Any], *, given_in: str) -> str:
    """Return a module with all it imports, each once, as one text.

    Parameters
    ----------
    folder : what files are named from when something is wrong
    entry : path below it; its exports stay
    given : constants the page has from Python, JSON-like; given_in : where they stand

    Raises
    ------
    NotBundled
        A name declared twice at the top level, a name imported that isn't exported
        there, modules that import each other in a circle, or a form of import or
        export that isn't ``{ name }``.
    OSError
        No such module.
    """
    texts: dict[Path, str] = {}
    owners = dict.fromkeys(given, folder / given_in)
    exported: dict[Path, set[str]] = {}

    def told(path: Path) -> str:
        return Path(os.path.relpath(path.resolve(), folder.resolve())).as_posix()

    def take(path: Path, above: tuple[Path, ...]) -> None:
        if path in above:
            raise NotBundled(f"{told(path)}: imports itself by way of {told(above[-1])}")
        if path in texts:
            return
        text = path.read_text(encoding="utf-8")
        for names, where in _IMPORT.findall(text):
            other = (path.parent / where).resolve()
            take(other, (*above, path))
            for name in filter(None, (part.strip() for part in names.split(","))):
                if name not in exported[other]:
                    raise NotBundled(f"{told(path)}: {told(other)} exports no {name!r}")
        text = _IMPORT.sub("", text)
        declared = _NAMED.findall(text)
        for _, name in declared:
            if name in owners:
                raise NotBundled(
                    f"{told(path)}: {name!r} stands in {told(owners[name])} too; rename one"
                )
            owners[name] = path
        exported[path] = {name for export, name in declared if export}
        plain = _NAMED.sub(lambda found: found[0].removeprefix(found[1] or ""), text)
        odd = _OTHER.search(plain)
        if odd or (above and "export default" in plain):
            form = odd[0] if odd else "export default"
            raise NotBundled(f"{told(path)}: {form!r} can't be joined; name what it gives")
        texts[path] = text if not above else plain

    take((folder / entry).resolve(), ())
    head = [f"const {name} = {json.dumps(value)};\n" for name, value in given.items()]
    return "\n".join([*head, *texts.values()])
