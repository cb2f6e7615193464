"""A sheet of paper: lengths in mm from its lower left corner, true to size.

Every text stands in a box that is remembered, so that the next one can keep
clear of it.  Nothing is drawn outside the printable margin.
"""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch, Rectangle
from matplotlib.path import Path
from matplotlib.transforms import Bbox
from shapely.geometry.base import BaseGeometry

from ..base.paper_sizes import PAPERS
from ..base.units import MM_PER_INCH
from . import lettering
from .lettering import POINT_MM

MARGIN = 10.0
"""Common printers leave up to 6.4 mm blank; common practice, no source."""
SMALLEST_PT = 7.0


@dataclass(frozen=True)
class Pen:
    """A line: width in mm, dashes in mm, shade from 0 (black) to 1 (white)."""

    width: float = 0.25
    dashes: tuple[float, ...] = ()
    shade: float = 0.0


Box = tuple[float, float, float, float]
"""(left, bottom, right, top) on a page, mm."""
THIN, FRAME = Pen(0.15), Pen(0.3)


@dataclass(frozen=True)
class Letters:
    """How a label is written: in points, bold or not, and how small it may become to fit."""

    size: float
    least: float | None = None
    bold: bool = False

    def sizes(self) -> Iterator[float]:
        """Yield the sizes to try, the largest first."""
        size = self.size
        yield size
        while self.least is not None and size > self.least:
            size = max(self.least, size * 0.85)
            yield size


def lines_of(shape: BaseGeometry) -> list[np.ndarray]:
    """Return every line or ring of a geometry as (n, 2) points."""
    found = []
    for part in shapely.get_parts(shape):
        if part.is_empty or part.geom_type in ("Point", "MultiPoint"):
            continue
        if part.geom_type == "Polygon":
            found += [np.asarray(ring.coords) for ring in (part.exterior, *part.interiors)]
        elif part.geom_type in ("LineString", "LinearRing"):
            found.append(np.asarray(part.coords))
        else:
            found += lines_of(part)
    return found


def hatching(shape: BaseGeometry, spacing: float) -> BaseGeometry:
    """Return lines at 45 degrees that fill a shape, `spacing` mm apart."""
    left, bottom, right, top = shape.bounds
    span = (right - left) + (top - bottom)
    step = spacing * np.sqrt(2)
    starts = np.arange(np.floor((left - top) / step) * step, right - bottom, step)
    rays = [[(c + bottom, bottom), (c + bottom + span, bottom + span)] for c in starts]
    return shapely.intersection(shapely.multilinestrings(rays), shape)


@dataclass
class Page:
    """One page; `boxes` are the texts on it so far, `obstacles` the lines labels keep off.

    leaders : lines that lead from a text to what it names; no text stands on one
    """

    paper: str = "a4"
    landscape: bool = False
    boxes: list[BaseGeometry] = field(default_factory=list)
    obstacles: list[BaseGeometry] = field(default_factory=list)
    leaders: list[BaseGeometry] = field(default_factory=list)
    _waiting: dict[Pen, list[np.ndarray]] = field(default_factory=dict)

    def __post_init__(self):
        short, long = PAPERS[self.paper]
        self.width, self.height = (long, short) if self.landscape else (short, long)
        self.figure = Figure(
            figsize=(self.width / MM_PER_INCH, self.height / MM_PER_INCH), facecolor="white"
        )
        FigureCanvasAgg(self.figure)
        self.figure.suppressComposite = True  # else pictures lose the boxes they are cut to
        self.axes = self.figure.add_axes((0, 0, 1, 1))
        self.axes.set(xlim=(0, self.width), ylim=(0, self.height), autoscale_on=False)
        self.axes.set_axis_off()

    @property
    def inner(self) -> tuple[float, float, float, float]:
        """(left, bottom, right, top) inside the margins, mm."""
        return MARGIN, MARGIN, self.width - MARGIN, self.height - MARGIN

    def draw(self, shape: BaseGeometry, pen: Pen = FRAME, *, fill: float | None = None) -> None:
        """Draw lines and outlines; `fill` is a shade for closed ones."""
        rings = lines_of(shape)
        if rings and fill is not None:
            self._add(rings, Pen(0), fill)
        if rings and pen.width:
            self._waiting.setdefault(pen, []).extend(rings)

    def _add(self, rings: list[np.ndarray], pen: Pen, fill: float | None) -> None:
        codes = [np.full(len(ring), Path.LINETO) for ring in rings]
        for ring, code in zip(rings, codes, strict=True):
            code[0] = Path.MOVETO
            if len(ring) > 2 and np.array_equal(ring[0], ring[-1]):
                code[-1] = Path.CLOSEPOLY
        path = Path(np.concatenate(rings), np.concatenate(codes))
        path.should_simplify = False
        self.axes.add_patch(
            PathPatch(
                path,
                facecolor="none" if fill is None else str(fill),
                edgecolor=str(pen.shade) if pen.width else "none",
                linewidth=pen.width / POINT_MM,
                linestyle=(0, tuple(d / pen.width for d in pen.dashes)) if pen.dashes else "-",
                capstyle="butt",
                joinstyle="miter",
                snap=False,
                zorder=1 if fill is None else 0.5,
            )
        )

    def finished(self) -> Figure:
        """Return the page as a figure; the lines of one pen are drawn as one path, for speed."""
        # the darkest last: a grey line never hides a black one, which is cut by
        for pen, rings in sorted(self._waiting.items(), key=lambda one: -one[0].shade):
            self._add(rings, pen, None)
        self._waiting.clear()
        return self.figure

    def line(self, *points: Sequence[float], pen: Pen = FRAME) -> None:
        """Draw a line through points, mm on the page."""
        self.draw(shapely.LineString(points), pen)

    def box(
        self, left: float, bottom: float, right: float, top: float, pen: Pen = FRAME, fill=None
    ) -> None:
        """Draw a rectangle, mm on the page."""
        self.draw(shapely.box(left, bottom, right, top), pen, fill=fill)

    def image(self, pixels: np.ndarray, at: Box, within: Box) -> None:
        """Lay a picture at a place under everything else, cut to a box."""
        left, bottom, right, top = at
        shown = self.axes.imshow(
            pixels, extent=(left, right, bottom, top), aspect="auto", zorder=0.1,
            interpolation="bilinear",
        )  # fmt: skip
        a, b, c, d = within
        shown.set_clip_path(Rectangle((a, b), c - a, d - b, transform=self.axes.transData))
        self.axes.set(xlim=(0, self.width), ylim=(0, self.height))

    def place_of(
        self, x: float, y: float, words: str, size: float, bold: bool = False, align: str = "left"
    ) -> BaseGeometry:
        """Return the box a line of text would take with its baseline at `y`."""
        room = lettering.width(words, size, bold)
        left = x - {"left": 0.0, "center": 0.5, "right": 1.0}[align] * room
        unit = size * POINT_MM
        return shapely.box(
            left, y - lettering.DESCENT * unit, left + room, y + lettering.ASCENT * unit
        )

    def text(
        self,
        x: float,
        y: float,
        words: str,
        *,
        size: float = 10,
        bold: bool = False,
        align: str = "left",
        room: float | None = None,
    ) -> float:
        """Write one line with its baseline at `y`; smaller, then shortened, to fit `room` mm.

        Returns the size it was written in.
        """
        words = " ".join(lettering.printable(words).split())
        if room is not None:
            have = lettering.width(words[:400], size, bold)
            if have > room:
                size = max(min(size, SMALLEST_PT), size * room / have * 0.999)
            words = lettering.shortened(words, size, room, bold)
        if not words:
            return size
        self.boxes.append(self.place_of(x, y, words, size, bold, align))
        self.axes.text(
            x,
            y,
            words,
            fontproperties=lettering.font(bold),
            fontsize=size,
            ha=align,
            va="baseline",
            color="0",
            parse_math=False,
            clip_on=False,
        )
        return size

    def free(self, box: BaseGeometry, clear: float = 0.4) -> bool:
        """Say whether a box touches no text and no obstacle and lies inside the margins."""
        grown = box.buffer(clear, join_style="mitre")
        inside = shapely.box(*self.inner).covers(box)
        return bool(
            inside
            and not shapely.intersects(self.boxes, grown).any()
            and not shapely.intersects(self.obstacles, grown).any()
            and not shapely.intersects(self.leaders, grown).any()
        )

    def label(
        self,
        words: str,
        spots: Iterable[tuple[float, float]],
        letters: Letters,
        *,
        within: BaseGeometry | None = None,
        under: str = "",
        over_lines: bool = False,
        suits: Callable[[BaseGeometry], bool] | None = None,
    ) -> BaseGeometry | None:
        """Write `words` with their middle at the first free spot; return their box, or None.

        Tried in smaller sizes down to the least; `under` is a smaller line below them.
        With `over_lines` they may in the end stand on a line, though never on a text.
        Where there is `suits`, it has the last word on a box.
        """
        spots = list(spots)
        words = " ".join(lettering.printable(words).split())
        for size in letters.sizes():
            small = max(0.7 * size, SMALLEST_PT)
            drop = (lettering.ASCENT - lettering.DESCENT) / 2 * size * POINT_MM
            step = (lettering.DESCENT * size + lettering.ASCENT * small) * POINT_MM
            for x, y in spots:
                box = self.place_of(x, y - drop, words, size, letters.bold, "center")
                if under:
                    second = self.place_of(x, y - drop - step, under, small, False, "center")
                    box = shapely.box(*shapely.union(box, second).bounds)
                if (
                    self.free(box)
                    and (within is None or within.covers(box))
                    and (suits is None or suits(box))
                ):
                    self.text(x, y - drop, words, size=size, bold=letters.bold, align="center")
                    if under:
                        self.text(x, y - drop - step, under, size=small, align="center")
                    return box
        if not over_lines:
            return None
        kept, self.obstacles = self.obstacles, []
        found = self.label(words, spots, letters, within=within, suits=suits)
        self.obstacles = kept
        return found


def pdf(pages: Iterable[Page], title: str) -> bytes:
    """Return pages as one PDF, each in its exact size, with text that can be searched."""
    buffer = io.BytesIO()
    facts = {"Title": lettering.printable(title)[:200], "Creator": "sheetkit", "CreationDate": None}
    with PdfPages(buffer, metadata=facts) as book:
        for page in pages:
            book.savefig(page.finished())
    return _unscaled(buffer.getvalue())


def _unscaled(content: bytes) -> bytes:
    """Return a PDF whose print dialog starts with no scaling: 97 % is the usual way to spoil 1:1.

    The catalog is written again behind the rest, as the format's updates are.
    """
    trailer = content[content.rindex(b"trailer") :]
    (root, size, start) = (
        int(re.search(key, trailer)[1])  # type: ignore[index]
        for key in (rb"/Root (\d+) 0 R", rb"/Size (\d+)", rb"startxref\s+(\d+)")
    )
    told = re.search(rb"\n%d 0 obj\s*<<(.*?)>>\s*endobj" % root, content, re.DOTALL)
    assert told is not None
    wish = b"/ViewerPreferences << /PrintScaling /None >>"
    catalog = b"%d 0 obj\n<<%s %s >>\nendobj\n" % (root, told[1], wish)
    table = b"xref\n%d 1\n%010d 00000 n \n" % (root, len(content))
    end = b"trailer\n<< /Size %d /Root %d 0 R /Prev %d >>\nstartxref\n%d\n%%%%EOF\n" % (
        size, root, start, len(content) + len(catalog),
    )  # fmt: skip
    return content + catalog + table + end


def png(page: Page, *, dpi: int = 80) -> bytes:
    """Return a page as a picture."""
    buffer = io.BytesIO()
    page.finished().savefig(buffer, format="png", dpi=dpi)
    return buffer.getvalue()


def drawn(draw: Callable[[Page, Box], None], height_mm: float, *, dpi: int = 110) -> bytes:
    """Return what `draw` puts into a box of a page, `height_mm` high, as a picture."""
    page = Page()
    left, _, right, top = page.inner
    box = left, top - height_mm, right, top
    draw(page, box)
    buffer = io.BytesIO()
    inches = Bbox([[side / MM_PER_INCH for side in box[n : n + 2]] for n in (0, 2)])
    page.finished().savefig(buffer, format="png", dpi=dpi, bbox_inches=inches)
    return buffer.getvalue()
