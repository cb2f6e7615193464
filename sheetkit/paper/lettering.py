"""Text on paper: what can be printed of a user's words, how wide it is, how it breaks into lines.

Sizes in points, widths in mm.  Nothing a user typed is read as markup.
"""

from __future__ import annotations

import unicodedata
from functools import cache, lru_cache

from matplotlib import font_manager
from matplotlib.font_manager import FontProperties
from matplotlib.ft2font import FT2Font
from matplotlib.textpath import text_to_path

from ..base.units import MM_PER_INCH

POINT_MM = MM_PER_INCH / 72
LINE = 1.25
"""From one line to the next, in sizes: more than the font's own ascent and descent together."""
ASCENT, DESCENT = 0.93, 0.24
LONGEST = 30_000
"""More characters than this are cut off: a job's texts have at most 20,000."""
_FIRST_JOINED = 0x0300
"""Characters below this neither join nor change their order."""
_SIMPLE = frozenset("–—…·×°≤≥²³⁴⊕☐☒▯►◄▲▼")
_FAMILIES = (
    "DejaVu Sans",
    "Noto Sans CJK SC",
    "Noto Sans CJK JP",
    "WenQuanYi Micro Hei",
    "WenQuanYi Zen Hei",
    "Noto Sans",
    "Noto Sans Arabic",
    "Noto Sans Hebrew",
    "Arial Unicode MS",
    "Microsoft YaHei",
    "PingFang SC",
)


@cache
def _families() -> list[str]:
    """Return the fonts to try for a character, first the one that comes with matplotlib."""
    known = {font.name for font in font_manager.fontManager.ttflist}
    others = sorted(name for name in known - set(_FAMILIES) if name.startswith("Noto Sans "))
    return [*(name for name in _FAMILIES if name in known), *others]


@cache
def font(bold: bool = False) -> FontProperties:
    """Return the font of all pages."""
    return FontProperties(family=_families(), weight="bold" if bold else "normal")


@cache
def _glyphs() -> frozenset[int]:
    paths = [font_manager.findfont(FontProperties(family=[name])) for name in _families()]
    return frozenset(code for path in paths for code in FT2Font(path).get_charmap())


def clean(text: str) -> str:
    """Return `text` with what no file format or printer can take replaced.

    Control and direction-changing characters become a space, lone halves of a
    character pair the replacement character; line ends stay.
    """
    kept = []
    for character in text[:LONGEST]:
        kind = unicodedata.category(character)
        if character == "\n" or kind not in ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"):
            kept.append(character)
        elif kind in ("Cc", "Zl", "Zp"):
            kept.append(" ")
        elif kind != "Cf":
            kept.append("\ufffd")
    return unicodedata.normalize("NFC", "".join(kept))


@lru_cache(maxsize=4096)
def printable(text: str) -> str:
    """Return clean text in which a character that no font at hand has is an empty box."""
    glyphs = _glyphs()
    return "".join(c if ord(c) in glyphs or c == "\n" else "▯" for c in clean(text))


_REFERENCE_PT = 100.0


@lru_cache(maxsize=20_000)
def _shaped(text: str, bold: bool) -> float:
    """Return how wide text is with its letters joined and turned as its script wants, mm."""
    made = font(bold).copy()
    made.set_size(_REFERENCE_PT)
    return text_to_path.get_text_width_height_descent(text, made, False)[0] * POINT_MM


def width(text: str, size: float, bold: bool = False) -> float:
    """Return how wide one line of text is, mm.

    Letters of scripts that don't join are added up, which is quick; kerning
    only brings them nearer to one another.
    """
    if all(ord(c) < _FIRST_JOINED or c in _SIMPLE for c in text):
        reference = sum(_shaped(c, bold) for c in text)
    else:
        reference = _shaped(text, bold)
    return reference * size / _REFERENCE_PT


def shortened(text: str, size: float, room: float, bold: bool = False) -> str:
    """Return one line that fits `room` mm, its end given up for an ellipsis if need be."""
    text = " ".join(printable(text).split())
    if len(text) < 400 and width(text, size, bold) <= room:
        return text
    low, high = 0, min(len(text), 400)
    while low < high:
        middle = (low + high + 1) // 2
        if width(text[:middle].rstrip() + "…", size, bold) <= room:
            low = middle
        else:
            high = middle - 1
    return text[:low].rstrip() + "…" if low else ""


def _pieces(word: str, size: float, room: float, bold: bool) -> list[str]:
    """Return a word in pieces that each fit."""
    pieces = []
    while word and width(word[:400], size, bold) > room:
        low, high = 1, min(len(word), 400)
        while low < high:
            middle = (low + high + 1) // 2
            if width(word[:middle], size, bold) <= room:
                low = middle
            else:
                high = middle - 1
        pieces.append(word[:low])
        word = word[low:]
    return [*pieces, word] if word else pieces


def wrapped(
    text: str, size: float, room: float, bold: bool = False, *, most: int | None = None
) -> list[str]:
    """Return text as lines that each fit `room` mm; beyond `most` lines an ellipsis stands."""
    lines: list[str] = []
    for paragraph in printable(text).split("\n"):
        line = ""
        for word in paragraph.split():
            trial = f"{line} {word}" if line else word
            if width(trial, size, bold) <= room:
                line = trial
                continue
            if line:
                lines.append(line)
            *full, line = _pieces(word, size, room, bold)
            lines += full
            if most is not None and len(lines) > most:
                break
        lines.append(line)
        if most is not None and len(lines) > most:
            break
    while lines and not lines[-1]:
        lines.pop()
    if most is not None and len(lines) > most:
        lines = lines[:most]
        lines[-1] = shortened(lines[-1] + "…" * 9, size, room, bold).rstrip("…") + "…"
        if width(lines[-1], size, bold) > room:
            lines[-1] = shortened(lines[-1][:-2], size, room - width("…", size, bold), bold) + "…"
    return lines or [""]
