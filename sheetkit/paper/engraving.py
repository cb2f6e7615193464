"""Words as single strokes, which a cutting table can mark on the sheet: capitals and figures."""

from __future__ import annotations

import numpy as np

WIDTH, PITCH = 0.6, 0.85
"""Of a letter, and from one to the next, in heights."""
LINE = 1.5
"""From one line to the next, in heights."""
_STROKES = {
    "A": "002440 1232", "C": "44040040", "D": "00042443412000", "E": "44040040 0232",
    "F": "000444 0232", "G": "440400404222", "H": "0004 4044 0242", "I": "2024", "L": "040040", "N": "00044044",
    "O": "0040440400", "P": "0004444202", "R": "0004444202 2240", "S": "440402424000",
    "T": "0444 2420", "U": "04004044", "W": "0410233044", "0": "0040440400", "1": "132420",
    "2": "044442020040", "3": "04444000 0242", "4": "040242 4440", "5": "440402424000",
    "6": "440400404202", "7": "044420", "8": "0040440400 0242", "9": "004044040242",
}  # fmt: skip
"""Letter -> its strokes: pairs of figures, across and up on a grid of 4."""


def width(words: str) -> float:
    """Return how wide words are, in heights of a letter."""
    return max(len(words) - 1, 0) * PITCH + WIDTH


def engraved(words: str, middle: np.ndarray, height: float, along: np.ndarray) -> list[np.ndarray]:
    """Return the strokes of words about a middle, mm, written along a direction of length 1.

    Letters other than capitals, figures and spaces are left out: they have no strokes here.
    """
    up = np.array([-along[1], along[0]])
    start = middle - along * width(words) * height / 2 - up * height / 2
    return [
        start + np.outer((grid[:, 0] / 4 * WIDTH + n * PITCH) * height, along)
        + np.outer(grid[:, 1] / 4 * height, up)
        for n, letter in enumerate(words)
        for stroke in _STROKES.get(letter, "").split()
        for grid in [np.array([int(figure) for figure in stroke], float).reshape(-1, 2)]
    ]  # fmt: skip
