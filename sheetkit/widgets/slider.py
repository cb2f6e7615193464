"""A slider that never changes by itself.

The notebook's own sliders write the nearest of their steps back as soon as they are shown,
and cut off what lies beyond their ends: a job would change by being looked at.
"""

from __future__ import annotations

import anywidget
import traitlets

from .bundle import bundle, styles


class Slider(anywidget.AnyWidget):
    """One number to slide or to type; `value` may lie between the steps.

    Traits
    ------
    value : the number; a typed one may lie beyond the ends
    min, max, step : of the slider
    digits : how many decimals the box shows
    description : what the number is, with its unit
    """

    _esm = bundle("slider.js")
    _css = styles("slider.css")

    value = traitlets.Float().tag(sync=True)
    min = traitlets.Float().tag(sync=True)
    max = traitlets.Float(1.0).tag(sync=True)
    step = traitlets.Float(1.0).tag(sync=True)
    digits = traitlets.Int(1).tag(sync=True)
    description = traitlets.Unicode().tag(sync=True)
    disabled = traitlets.Bool(False).tag(sync=True)

    def __repr__(self) -> str:
        return f"Slider({self.description!r}, {self.value:g})"
