"""A panel's cross-section as a small picture for the page: flats with lengths, bends with words."""

from __future__ import annotations

from html import escape

import numpy as np

from ..base import amounts
from ..geometry.section import Section
from .folded_scene import TURNED

SIZE_PX = (560, 260)
_ROOM_PX = (156, 48)
_FACE_PX = 5
"""How far the dashes that mark the face stand off the sheet."""
_STEP_DEG = 3.0


def section_svg(section: Section, lengths: list[str], *, display: str = "mm") -> str:
    """Return the section as SVG text, its first flat level, its face marked by dashes.

    Parameters
    ----------
    lengths : words of each flat's length as it was measured
    """
    levels = np.unique(
        np.concatenate([[section.start_mm], section.levels(_STEP_DEG), [section.end_mm]])
    )
    xy = section.in_section(levels, "middle")
    low, high = xy.min(axis=0), xy.max(axis=0)
    scale = float(min((np.array(SIZE_PX) - 2 * np.array(_ROOM_PX)) / np.maximum(high - low, 1e-6)))
    scale = min(scale, SIZE_PX[0] / 60)
    middle = (low + high) / 2

    def put(points: np.ndarray) -> np.ndarray:
        return (points - middle) * [scale, -scale] + np.array(SIZE_PX) / 2

    def faced(level: float) -> np.ndarray:
        side = section.in_section([level], "face")[0] - section.in_section([level], "middle")[0]
        return side / np.linalg.norm(side)

    def at(level: float, off_px: float = 0.0) -> np.ndarray:
        return put(section.in_section([level], "middle")[0] + faced(level) * off_px / scale)

    def text(level: float, off_px: float, words: str, name: str = "") -> str:
        return _text(at(level, off_px), faced(level) * np.sign(off_px), words, name)

    def path(points: np.ndarray) -> str:
        return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points)

    face = np.array([at(level, _FACE_PX) for level in levels])
    made = [
        f'<path d="{path(put(xy))}" class="skq-sheet"/>',
        f'<path d="{path(face)}" class="skq-face-side"/>',
    ]
    first = section.flats[0]
    made.append(text(first[0] + 0.3 * (first[1] - first[0]), 14, "FACE", "skq-face-word"))
    for n, (start, end) in enumerate(section.flats):
        share = 1.0 if n == len(section.bends) else 0.5  # a short last one has room beyond its bend
        at_mm = start + share * (end - start)
        made.append(text(at_mm, -10, f"flat {n + 1}: {lengths[n]}"))
    for bend in section.bends:
        words = f"bend {bend.number}, {bend.angle_deg:.0f}°, {TURNED[bend.toward].split(',')[0]}"
        # outside the bend there is room
        made.append(text(bend.middle_mm, -14 * bend.sense, words, "skq-bend-word"))
    begin = at(section.start_mm)
    made.append(f'<circle cx="{begin[0]:.1f}" cy="{begin[1]:.1f}" r="4" class="skq-start"/>')
    whole = amounts.show(
        section.unrolled_length_mm, "length", units=display, digits=2 if display == "in" else 1
    )
    title = f"Cross-section: {len(section.bends)} bends, {whole} unrolled"
    return (
        f'<svg role="img" aria-label="{escape(title)}" viewBox="0 0 {SIZE_PX[0]} {SIZE_PX[1]}" '
        f'class="skq-cross">{"".join(made)}</svg>'
    )


def _text(at: np.ndarray, way: np.ndarray, words: str, name: str) -> str:
    """Return words beside a point, away from it along a way of the section."""
    anchor = "start" if way[0] > 0.4 else "end" if way[0] < -0.4 else "middle"
    x, y = float(at[0]), float(at[1]) + 4 - 5 * float(way[1])
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" class="skq-word {name}">'
        f"{escape(words)}</text>"
    )
