"""The measuring card: six marks on a sheet of paper that set the scale of a photo.

Lengths in mm from the sheet's lower left corner, x to the right, y up.  Marks are
numbered so that each tells which card it belongs to, on which paper, and where.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..base.paper_sizes import PAPERS

MARK_MM = 32.0
"""Side of a mark's black square: 8 cells of 4 mm (guess: 30 px of a photo 2 m wide)."""
CELLS = 8
INSET_MM = 14.0
"""From the paper's edge to a mark: a cell of white, and what a printer leaves blank."""
SQUARE_MM = 100.0
"""Side of the square that shows whether the card was printed to size."""
CARDS = 4
"""Of each paper: as many as one photo of a long panel holds."""
_PLACES = 6
_FAMILY = "tag36h11"
_CODES = (
    0xD7E00984B, 0xDDA664CA7, 0xDC4A1C821, 0xE17B470E9, 0xEF91D01B1, 0xF429CDD73,
    0x05DA29225, 0x1106CBA43, 0x223BED79D, 0x21F51213C, 0x33EB19CA6, 0x3F76EB0F8,
    0x469A97414, 0x45DCFE0B0, 0x4A6465F72, 0x51801DB96, 0x5EB946B4E, 0x68A7CC2EC,
    0x6F0BA2652, 0x78765559D, 0x87B83D129, 0x86CC4A5C5, 0x8B64DF90F, 0x9C577B611,
    0xA3810F2F5, 0xAF4D75B83, 0xB59A03FEF, 0xBB1096F85, 0xD1B92FC76, 0xD0DD509D2,
    0xE2CFDA160, 0x2FF497C63, 0x47240671B, 0x5047A2E55, 0x635CA87C7, 0x691254166,
    0x68F43D94A, 0x6EF24BDB6, 0x8CDD8F886, 0x9DE96B718, 0xAFF6E5A8A, 0xBAE46F029,
    0xD225B6D59, 0xDF8BA8C01, 0xE3744A22F, 0xFBB59375D, 0x18A916828, 0x22F29C1BA,
)  # fmt: skip
"""The first marks of the open family 36h11: 36 bits, eleven of which tell any two apart.

Source: J. Wang, E. Olson, AprilTag 2: Efficient and robust fiducial detection,
IROS 2016; the codes as its free library carries them.
"""
_QUARTER = ((1, 1), (2, 1), (3, 1), (4, 1), (5, 1), (2, 2), (3, 2), (4, 2), (3, 3))
"""Column and row of a quarter's bits; the other three are it, turned by 90 degrees."""


def cells(number: int) -> np.ndarray:
    """Return a mark as (8, 8) booleans, True where it is black, the first row on top."""
    black = np.ones((CELLS, CELLS), bool)
    column, row = np.array(_QUARTER).T
    for quarter in range(4):
        for bit, (x, y) in enumerate(zip(column, row, strict=True)):
            black[y, x] = not (_CODES[number] >> (35 - 9 * quarter - bit)) & 1
        column, row = CELLS - 1 - row, column
    return black


@dataclass(frozen=True)
class Card:
    """One measuring card: number 1 to `CARDS`, on "a4" or "letter"."""

    number: int
    paper: str

    @property
    def name(self) -> str:
        """As it is printed on the card."""
        return f"card {self.number}"

    def marks(self) -> dict[int, np.ndarray]:
        """Return each mark's number and its (4, 2) corners, mm, against the clock from lower left."""
        width, height = PAPERS[self.paper]
        far_x, far_y = width - INSET_MM - MARK_MM, height - INSET_MM - MARK_MM
        middle = (height - MARK_MM) / 2
        lower_left = [(x, y) for y in (INSET_MM, middle, far_y) for x in (INSET_MM, far_x)]
        first = (list(PAPERS).index(self.paper) * CARDS + self.number - 1) * _PLACES
        round_it = MARK_MM * np.array([(0, 0), (1, 0), (1, 1), (0, 1)])
        return {first + n: np.add(corner, round_it) for n, corner in enumerate(lower_left)}

    def square(self) -> tuple[float, float, float, float]:
        """Return left, bottom, right, top of the check square, mm."""
        width, height = PAPERS[self.paper]
        left, bottom = (width - SQUARE_MM) / 2, (height - SQUARE_MM) / 2
        return left, bottom, left + SQUARE_MM, bottom + SQUARE_MM


ALL = tuple(Card(n + 1, paper) for paper in PAPERS for n in range(CARDS))
"""In the order of their marks' numbers."""


def card_of(mark: int) -> Card | None:
    """Return the card a mark stands on; None for a mark that is on none of ours."""
    return ALL[mark // _PLACES] if 0 <= mark < len(_CODES) else None


@dataclass(frozen=True)
class Mark:
    """A mark seen in a picture: its number and its (4, 2) corners, px, as `Card.marks` orders them."""

    number: int
    corners: tuple[tuple[float, float], ...]


def seen(grey: np.ndarray) -> tuple[Mark, ...]:
    """Return the cards' marks in a (rows, columns) grey picture of 8 bits.

    The corners are continuous pixels: the middle of the first pixel is (0.5, 0.5).
    """
    from pyapriltags import Detector

    detector = Detector(families=_FAMILY, nthreads=1, quad_decimate=2.0, refine_edges=1)
    found = detector.detect(np.ascontiguousarray(grey, np.uint8))
    return tuple(
        Mark(one.tag_id, tuple(map(tuple, one.corners.tolist())))
        for one in sorted(found, key=lambda one: (one.tag_id, *one.center))
        if one.hamming <= 1 and card_of(one.tag_id)
    )
