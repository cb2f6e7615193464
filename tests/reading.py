"""What the tests know of printed pages, by other means than those that wrote them.

pypdf reads the drawn paths and the texts' places; poppler renders and gives word boxes.
"""

import re
import subprocess
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import shapely
from PIL import Image
from pypdf import PdfReader

POINT_MM = 25.4 / 72


@dataclass
class Stroke:
    """One stroked path of a page: pen width and dashes in mm, points in mm on the page."""

    width: float
    dashed: bool
    points: np.ndarray


def strokes(page) -> list[Stroke]:
    """Return what a page strokes, from its content stream (matplotlib sets no rotation)."""
    found, width, dashed, matrix, stack = [], 1.0, False, np.eye(3), []
    subpaths, current = [], []
    for operands, operator in page.get_contents().operations:
        values = [float(v) for v in operands if isinstance(v, int | float) or hasattr(v, "real")]
        if operator == b"q":
            stack.append((width, dashed, matrix.copy()))
        elif operator == b"Q":
            width, dashed, matrix = stack.pop()
        elif operator == b"cm":
            a, b, c, d, e, f = values
            matrix = np.array([[a, b, 0], [c, d, 0], [e, f, 1]]) @ matrix
        elif operator == b"w":
            width = values[0]
        elif operator == b"d":
            dashed = len(operands[0]) > 0
        elif operator == b"m":
            current = [values]
            subpaths.append(current)
        elif operator == b"l":
            current.append(values)
        elif operator in (b"c", b"v", b"y"):
            current.append(values[-2:])
        elif operator == b"h":
            current.append(current[0])
        elif operator in (b"S", b"s", b"B", b"b", b"n", b"f", b"W"):
            if operator in (b"S", b"s", b"B", b"b"):
                scale = float(np.sqrt(abs(np.linalg.det(matrix[:2, :2]))))
                for path in subpaths:
                    xy = np.column_stack([np.array(path), np.ones(len(path))]) @ matrix
                    found.append(Stroke(width * scale * POINT_MM, dashed, xy[:, :2] * POINT_MM))
            if operator != b"W":
                subpaths = []
    return found


def words(path: Path, page: int) -> list[tuple[str, tuple[float, float, float, float]]]:
    """Return (word, (left, top, right, bottom) in mm) of a page, from poppler."""
    text = subprocess.run(
        ["pdftotext", "-bbox", "-f", str(page), "-l", str(page), str(path), "-"],
        check=True, capture_output=True, text=True,
    ).stdout  # fmt: skip
    found = re.findall(
        r'<word xMin="(.*?)" yMin="(.*?)" xMax="(.*?)" yMax="(.*?)">(.*?)</word>', text
    )
    return [(w, tuple(float(v) * POINT_MM for v in box)) for *box, w in found]


def overlapping(path: Path, page: int) -> list[tuple[str, str]]:
    """Return the pairs of words that overlap by more than a hair, both ways.

    Poppler's boxes are some 1.9 sizes high here; their middle part is where the letters are.
    """
    found = words(path, page)
    boxes = [
        shapely.box(left + 0.15, top + 0.3 * (bottom - top), right - 0.15, bottom - 0.3 * (bottom - top))
        for _, (left, top, right, bottom) in found
    ]  # fmt: skip
    first, second = shapely.STRtree(boxes).query(boxes, predicate="intersects")
    return [(found[i][0], found[j][0]) for i, j in zip(first, second, strict=True) if i < j]


def picture(path: Path, page: int, dpi: int = 300, *, grey: bool = True) -> np.ndarray:
    """Return a page as grey values (or as red, green, blue), rendered by poppler."""
    stem = path.with_name(f"{path.stem}-{page}-{dpi}")
    subprocess.run(
        ["pdftoppm", "-r", str(dpi), *(["-gray"] if grey else []), "-png", "-singlefile", "-f", str(page), "-l", str(page),
         str(path), str(stem)], check=True,
    )  # fmt: skip
    return np.asarray(Image.open(f"{stem}.png").convert("L" if grey else "RGB"))


def pages(path: Path) -> list:
    return list(PdfReader(path).pages)


def marks(path: Path, page: int) -> dict[str, tuple[float, float]]:
    """Return where the registration marks' numbers stand, mm from the page's lower left corner.

    A mark has a circle of 4 mm; a number without one only speaks of a mark.
    """
    sheet = pages(path)[page - 1]
    height = float(sheet.mediabox.height) * POINT_MM
    circles = [
        stroke.points.mean(axis=0)
        for stroke in strokes(sheet)
        if len(stroke.points) > 8 and np.allclose(np.ptp(stroke.points, axis=0), 4, atol=0.1)
    ]
    found = {}
    for word, (left, _, _, bottom) in words(path, page):
        at = np.array([left, height - bottom])
        if re.fullmatch(r"R\d+", word) and any(np.hypot(*(at - c)) < 5 for c in circles):
            found[word] = (left, height - bottom)
    return found


def joined(path: Path, numbers: list[int], pen_mm: float):
    """Return the lines of one pen on several pages, the pages joined by their marks.

    Every page is moved so that the marks it shares with those before lie on one another;
    also returns the largest distance two marks of the same number are apart then.
    """
    placed, lines, worst = {}, [], 0.0
    for number in numbers:
        here = marks(path, number)
        shared = [name for name in here if name in placed]
        assert shared or not placed, f"page {number} shares no mark with those before"
        shift = np.zeros(2)
        if shared:
            gaps = np.array([np.subtract(placed[name], here[name]) for name in shared])
            shift = gaps.mean(axis=0)
            worst = max(worst, float(np.abs(gaps - shift).max()))
        placed |= {
            name: tuple(np.add(at, shift)) for name, at in here.items() if name not in placed
        }
        lines += [
            shapely.LineString(stroke.points + shift)
            for stroke in strokes(pages(path)[number - 1])
            if abs(stroke.width - pen_mm) < 0.01 and not stroke.dashed
        ]
    return lines, worst
