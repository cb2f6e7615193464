"""Charts of ranges: what drives a total, how it is distributed, bars of a column.  Axes in, Axes out."""

from __future__ import annotations

from matplotlib.axes import Axes
from matplotlib.patches import Patch

from ..base.showing import Listing, Range
from ..repair.rust_extent import Extent
from .axes import bare, bars, new_axes
from .palette import BLACK, BLUE, ORANGE, PURPLE, SKY, VERMILION
from .words import words


def tornado(
    extent: Extent, ax: Axes | None = None, *, name: str = "hours_h", top: int = 10
) -> Axes:
    """Draw what each uncertain input alone does to a total, the strongest on top."""
    rows = extent.drivers(name)[:top]
    what, unit = words(name).split(",")[0], extent.drawn.range(name).unit
    ax = new_axes(
        ax, 7.4, 0.36 * max(len(rows), 3) + 1.3, f"bars of how far each input moves the {what}"
    )
    middle = float(extent.usual_values[name])
    for y, row in zip(range(len(rows) - 1, -1, -1), rows, strict=True):
        for value, end, colour, hatch in (
            (row.at_low, row.row.low, SKY, ""),
            (row.at_high, row.row.high, ORANGE, "///"),
        ):
            ax.barh(y, value - middle, left=middle, height=0.6, color=colour, ec=BLACK, lw=0.6,
                    hatch=hatch)  # fmt: skip
            right = value >= middle
            ax.annotate(
                f"{end:.3g}", (value, y), xytext=(4 if right else -4, 0), fontsize=8,
                textcoords="offset points", va="center", ha="left" if right else "right",
            )  # fmt: skip
    ax.axvline(middle, color=BLACK, lw=1)
    ax.set_yticks(range(len(rows) - 1, -1, -1), [words(row.name) for row in rows])
    ax.margins(x=0.12)
    ax.set_xlabel(f"{what}, {unit}, each input moved alone, the others as usual")
    keys = [
        Patch(fc=SKY, ec=BLACK, lw=0.6, label="input at its low"),
        Patch(fc=ORANGE, ec=BLACK, lw=0.6, hatch="///", label="input at its high"),
    ]
    ax.legend(handles=keys, frameon=False, fontsize=8.5, loc="lower right")
    bare(ax)
    return ax


def distribution(extent: Extent, ax: Axes | None = None, *, name: str = "hours_h") -> Axes:
    """Draw a total's draws with the one-in-ten marks, the likely sum and the worst case."""
    what, unit = words(name).split(",")[0], extent.drawn.range(name).unit
    ax = new_axes(ax, 7.2, 3.2, f"how likely each number of {what} is")
    found, drawn = extent.spread(name), extent.drawn.range(name).likely
    ax.hist(extent.simulated[name], bins=60, color=SKY, ec="white", lw=0.3, density=True)
    for value, style, colour, text in (
        (drawn, "-", BLACK, "rust as drawn"),
        (found.p10, "--", BLUE, "1 in 10 below"),
        (found.p50, "-.", BLUE, "middle"),
        (found.p90, "--", VERMILION, "1 in 10 above"),
    ):
        ax.axvline(value, color=colour, ls=style, lw=1.6, label=f"{text}: {value:.3g} {unit}")
    ax.axvspan(found.low, found.high, ymax=0.03, color=PURPLE, label=f"worst case: {found.low:.3g} to {found.high:.3g} {unit}")  # fmt: skip
    ax.set_xlabel(f"{what}, {unit}")
    ax.set_yticks([])
    ax.spines["left"].set_visible(False)
    ax.legend(frameon=False, fontsize=8.5, loc="upper right")
    bare(ax)
    return ax


def column_bars(listing: Listing, name: str, ax: Axes | None = None) -> Axes:
    """Draw one column of a listing as bars, with ranges where it has them; rows without are left out.

    The first column names the bars, or the column itself where there is no other.
    """
    number = [column.name for column in listing.columns].index(name)
    column = listing.columns[number]
    rows = [
        (str(row[0]) if number else "", row[number], texts[number])
        for row, texts in zip(listing.rows, listing.texts(), strict=True)
        if row[number] is not None
    ]
    spans = [cell if isinstance(cell, Range) else Range(cell, cell, cell) for _, cell, _ in rows]
    likely, low, high = ([getattr(s, end) for s in spans] for end in ("likely", "low", "high"))
    ax = new_axes(ax, 7.2, 0.42 * max(len(rows), 1) + 0.9, f"bars of the {name} of each")
    bars(
        ax, [called for called, _, _ in rows], likely, low, high, SKY, [label for *_, label in rows]
    )
    ax.set_xlim(0, 1.3 * ax.get_xlim()[1])  # a label holds its range too
    ax.set_xlabel(f"{column.head} (line: range)")
    return ax
