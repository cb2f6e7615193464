"""What stands at the end of a notebook cell: a table or a picture that shows itself."""

from __future__ import annotations

import base64
from collections.abc import Iterable, Mapping, Sequence
from html import escape

from matplotlib.axes import Axes

from .axes import png


class Picture:
    """A chart to stand at the end of a notebook cell, with words for those who don't see it.

    Parameters
    ----------
    ax : Axes
    words : str
        What it shows; default its title and what its axes say.
    """

    def __init__(self, ax: Axes, words: str = ""):
        self._png = png(ax.figure, dpi=110)
        said = [ax.get_title(), ax.get_ylabel(), ax.get_xlabel()]
        self.words = " ".join(
            (words or ": ".join(part for part in said if part) or "chart").split()
        )

    def _repr_html_(self) -> str:
        data = base64.b64encode(self._png).decode()
        return f'<img alt="{escape(self.words)}" src="data:image/png;base64,{data}">'

    def __repr__(self) -> str:
        return "a picture"


class Table:
    """Rows to stand at the end of a notebook cell, as a table or as plain text.

    `rows` are mappings of one set of keys (the heads), or sequences with `columns`.
    """

    def __init__(self, rows: Iterable, columns: Sequence[str] = ()):
        rows = list(rows)
        self.columns = list(columns) or list(rows[0])
        self.rows = [
            [str(v) for v in (row.values() if isinstance(row, Mapping) else row)] for row in rows
        ]

    def _repr_html_(self) -> str:
        head = "".join(f'<th style="text-align:left">{escape(c)}</th>' for c in self.columns)
        body = "".join(
            "<tr>" + "".join(f'<td style="text-align:left">{escape(v)}</td>' for v in row) + "</tr>"
            for row in self.rows
        )
        return f"<table><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"

    def __repr__(self) -> str:
        return "\n".join(" | ".join(row) for row in [self.columns, *self.rows])
