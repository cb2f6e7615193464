"""The teacher's page: best orders, marks and the commonest mistake of a class, live."""

from __future__ import annotations

import base64
import os
import threading
import weakref
from collections.abc import Iterable, Mapping
from html import escape
from pathlib import Path

import ipywidgets as ipw

from ...base.showing import NOTHING, Listing, counted
from ...lesson.board import quick_plan
from ...lesson.records import FILE, Record, boards_of, class_of, commonest
from ...repair.estimate import Estimate
from ...sequence import warm
from ...sequence.plan import SequencePlan, retimed
from ...views.heat_frames import window
from ...views.words import minutes
from .pupil import FOLDER

EVERY_S = 2.0
MOST_MISTAKES = 6


class ClassPage(ipw.HTML):
    """What every pupil of a folder did, read again every two seconds; it writes nothing.

    Parameters
    ----------
    folder : the class's, as for `Pupil`
    boards : estimates of the boards, to draw the best orders of the class
    """

    def __init__(self, folder: str | os.PathLike = FOLDER, boards: Iterable[Estimate] = ()):
        self._folder = Path(folder)
        self._results = {result.job.title: result for result in boards}
        self._plans: dict[str, SequencePlan] = {}
        self._pictures: dict[tuple[str, tuple[int, ...]], str] = {}
        self._seen: object = None
        self._ended = threading.Event()
        super().__init__()
        self.renew()
        thread = threading.Thread(
            target=_follow, args=(weakref.ref(self), self._ended), daemon=True
        )
        thread.start()

    def __repr__(self) -> str:
        return "ClassPage()"

    def close(self) -> None:
        """Read no more."""
        self._ended.set()
        super().close()

    def renew(self) -> None:
        """Read the folder, and show it if it has changed."""
        stamps = [
            (str(path), path.stat().st_mtime_ns) for path in sorted(self._folder.glob(f"*/{FILE}"))
        ]
        if stamps != self._seen:
            self._seen = stamps
            self.value = self._page(class_of(self._folder))

    def _page(self, records: Mapping[str, Record]) -> str:
        if not records:
            return (
                "<p>Nobody has judged an order yet. Pupils appear here by the names they give.</p>"
            )
        boards = boards_of(list(records.values()))
        told = [
            f"<p><b>{counted(len(records), 'pupil')}</b></p>",
            pupils(records, boards)._repr_html_(),
        ]
        made = commonest(records.values())
        told.append("<h3>Commonest mistakes</h3>")
        if made:
            told.append(f"<p>Most often: <b>{escape(made[0][0])}</b>.</p>")
            told.append(Listing(["mistake", "pupils", "times"],
                                [(name, by, often) for name, often, by in made[:MOST_MISTAKES]])._repr_html_())  # fmt: skip
        else:
            told.append("<p>None yet.</p>")
        told += ["<h3>Best orders</h3>", *(self._best(board, records) for board in boards)]
        return "".join(told)

    def _best(self, board: str, records: Mapping[str, Record]) -> str:
        """Return a board's best order of the class, with a picture where its job is known."""
        tried = {name: best for name, record in records.items() if (best := record.best(board))}
        name = min(tried, key=lambda one: tried[one].total_s)
        best = tried[name]
        turns = ", ".join(str(stitch + 1) for stitch in best.order)
        words = (f"<h4>{escape(board)}</h4><p>{escape(name)}: <b>{minutes(best.total_s)}</b>. "
                 f"Stitches in turn: {turns}.</p>")  # fmt: skip
        return words + self._picture(board, best.order)

    def _picture(self, board: str, order: tuple[int, ...]) -> str:
        if board not in self._results:
            return ""
        if (board, order) not in self._pictures:
            from ...views.axes import new_axes, png
            from ...views.heat_charts import turns

            if board not in self._plans:
                warm.wait()
                self._plans[board] = quick_plan(self._results[board])
            plan = self._plans[board]
            if sorted(order) != list(range(len(plan.patch))):
                return ""
            left, bottom, right, top = window(plan)
            ax = turns(
                retimed(plan, order), new_axes(None, 5.0, 5.0 * (top - bottom) / (right - left))
            )
            ax.set_axis_off()
            data = base64.b64encode(png(ax.figure, dpi=70)).decode()
            words = escape(
                f"the best order of {board}: the turn of each stitch beside it", quote=True
            )
            self._pictures[board, order] = f'<img alt="{words}" src="data:image/png;base64,{data}">'
        return self._pictures[board, order]


def pupils(records: Mapping[str, Record], boards: Iterable[str]) -> Listing:
    """Return a row a pupil: tries, best time of each board, best and last mark."""
    rows = []
    for name, record in records.items():
        best = [record.best(board) for board in boards]
        mark, last = record.best_mark, record.marks[-1] if record.marks else None
        rows.append((
            name, str(sum(len(part) for part in record.tries.values())),
            *(minutes(one.total_s) if one else NOTHING for one in best),
            f"{mark.marks} of {mark.full}" if mark else NOTHING,
            f"{last.marks} of {last.full}" if last else NOTHING,
        ))  # fmt: skip
    heads = [
        "pupil",
        "orders tried",
        *(f"best, {board}" for board in boards),
        "best mark",
        "last mark",
    ]
    return Listing(heads, rows)


def _follow(page: weakref.ref[ClassPage], ended: threading.Event) -> None:
    while not ended.wait(EVERY_S):
        shown = page()
        if shown is None:
            return
        try:
            shown.renew()
        except OSError:  # a file that is being replaced is read the next time
            continue
        del shown
