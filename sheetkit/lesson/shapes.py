"""A practice patch of a new shape each time: invented, drawn by a seed."""

from __future__ import annotations

import math
from random import Random

from ..job.job import Job

Ring = list[list[float]]
KINDS = ("box", "corner piece", "tee", "round", "wedge", "step")
"""Shapes as a shop would call them."""
FEWEST, MOST = 9, 13
"""Stitches round it: enough to choose from, few enough to think each over."""


def practice_job(seed: int) -> Job:
    """Return an invented job with one patch, the same for the same seed."""
    draw = Random(f"practice {seed}")
    kind = draw.choice(KINDS)
    wide, high = draw.uniform(75, 115), draw.uniform(45, 70)
    ring = _ring(kind, wide, high, draw)
    if draw.random() < 0.5:
        ring = [[wide - x, y] for x, y in reversed(ring)]
    around = sum(math.dist(a, b) for a, b in zip(ring, ring[1:] + ring[:1], strict=True)) + 60.0
    return Job.from_data({
        "format": "sheetkit-job/1",
        "title": f"Practice {kind}, number {seed}",
        "notes": "Invented, for the lesson.",
        "sheet": {"thickness": draw.choice([0.8, 0.9, 1.0])},
        "rust": [{"ring": [[round(x, 1), round(y, 1)] for x, y in ring]}],
        "patch": {"margin": 12, "corner_radius": 12},
        "weld": {"stitch": round(around / draw.uniform(FEWEST + 1, MOST - 1), 1)},
    })  # fmt: skip


def _ring(kind: str, wide: float, high: float, draw: Random) -> Ring:
    left, up = draw.uniform(0.35, 0.6) * wide, draw.uniform(0.4, 0.6) * high
    if kind == "corner piece":
        return [[0, 0], [wide, 0], [wide, up], [left, up], [left, high], [0, high]]
    if kind == "tee":
        a, b = 0.3 * wide, 0.7 * wide
        return [[a, 0], [b, 0], [b, up], [wide, up], [wide, high], [0, high], [0, up], [a, up]]
    if kind == "round":
        turns = [2 * math.pi * n / 24 for n in range(24)]
        return [
            [wide / 2 * (1 + math.cos(t)), 0.8 * high * (1 + math.sin(t)) / 1.6 + 0.1 * high]
            for t in turns
        ]
    if kind == "wedge":
        return [[0, 0], [wide, 0], [wide, 0.35 * high], [0, 1.25 * high]]
    if kind == "step":
        a, b = 0.35 * wide, 0.7 * wide
        return [[0, 0], [wide, 0], [wide, 0.3 * high], [b, 0.3 * high], [b, 0.65 * high],
                [a, 0.65 * high], [a, high], [0, high]]  # fmt: skip
    return [[0, 0], [wide, 0], [wide, high], [0, high]]
