"""Five questions of the workshop that a seam's pull answers, each with its range."""

from __future__ import annotations

from typing import Any

from ..base.showing import Listing
from ..job.job import Job
from ..repair.estimate import estimate
from ..repair.pull import Pull, pull, times
from .pull_words import spoken

_PANEL = {"outline": [[0, 0], [700, 0], [700, 560], [0, 560]], "edges": "held"}
_ONE = [{"ring": [[270, 220], [430, 220], [430, 320], [270, 320]]}]
_TWO = [
    {"ring": [[200, 220], [270, 220], [270, 290], [200, 290]]},
    {"ring": [[390, 220], [460, 220], [460, 290], [390, 290]]},
]
_ALONE = {"margin": "25 mm", "web": "10 mm", "shape": "box"}
_MERGED = {"margin": "25 mm", "web": "150 mm", "shape": "box"}
_BESIDE = [{"line": [[0, 361], [700, 361]]}]
"""A fold 16 mm beyond the cut."""

QUESTIONS: tuple[tuple[str, dict[str, Any], dict[str, Any]], ...] = (
    ("One big patch over two rust-outs, or two small ones?",
     {"rust": _TWO, "patch": _MERGED}, {"rust": _TWO, "patch": _ALONE}),
    ("Butt or lap, on a floor?", {}, {"patch": {"joint": "lap"}}),
    ("Is a seam beside a fold better than one in the middle of the flat?",
     {}, {"panel": _PANEL | {"stiff": _BESIDE}}),
    ("The same settings, led a quarter quicker?",
     {"weld": {"current": 50, "voltage": 15.5, "travel": "400 mm/min"}},
     {"weld": {"current": 50, "voltage": 15.5, "travel": "500 mm/min"}}),
    ("Stitches or dots?", {}, {"weld": {"fill": "dots"}}),
)  # fmt: skip
"""Question, the first way, the other way."""


def _pulled(change: dict[str, Any]) -> Pull:
    data = {"format": "sheetkit-job/1", "sheet": {"thickness": "1.0 mm"}, "panel": _PANEL,
            "rust": _ONE} | change  # fmt: skip
    found = pull(estimate(Job.from_data(data)))
    assert found is not None  # nobody stops it
    return found


def pull_questions() -> Listing:
    """Return five questions: both indices, the other way over the first, and what follows.

    A flat panel of 1 mm, 700 × 560 mm, welded to the body all round, with a rust-out of
    160 × 100 mm in its middle, or two of 70 × 70 mm 120 mm apart.
    """
    rows = []
    for question, one, other in QUESTIONS:
        first, second = _pulled(one), _pulled(other)
        by = times(second, first)
        if by.high < 0.98:
            answer = "the second pulls less"
        elif by.low > 1.02:
            answer = "the first pulls less"
        else:
            answer = "open"
        rows.append((question, spoken(first.index), spoken(second.index), spoken(by), answer))
    return Listing(
        ["question", "index, first", "index, second", "second over first", "answer"], rows
    )
