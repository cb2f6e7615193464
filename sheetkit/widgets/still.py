"""Still pictures for notebooks whose live views are switched off."""

from __future__ import annotations

import base64
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from matplotlib.axes import Axes


def encoded(ax: Axes) -> str:
    """Return a chart as a PNG in the letters a notebook keeps it in."""
    from ..views.axes import png

    drawn = ax.get_figure(root=True)
    assert drawn is not None  # a chart of ours is never taken off its figure
    return base64.b64encode(png(drawn)).decode()
