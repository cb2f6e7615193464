"""Buckling of plates against printed coefficients.

Timoshenko and Gere, Theory of Elastic Stability, 2nd ed. 1961, chapter 9 (values from
memory, as most books on plates print them): N = k pi² D / b², b the loaded width; circular
plates N = c D / a².  The elements come from below; the finest mesh here is within a hundredth.
"""

import numpy as np
import pytest
import shapely
from shapely import Point

from sheetkit.pull.buckling import first_buckling
from sheetkit.pull.mesh import meshed
from sheetkit.pull.plate import Plate

SQUEEZED_LONG, SQUEEZED_BOTH, SHEARED = (-1.0, 0.0, 0.0), (-1.0, -1.0, 0.0), (0.0, 0.0, 1.0)
WIDTH = 100.0


def buckled(shape, how, force, size_mm):
    """Return the first buckling of a plate with D = 1; `how` says what holds a side's middle."""
    mesh = meshed(shape, [], size_mm=size_mm, growth=0.0)
    plate = Plate(mesh)
    held = []
    for side in mesh.rim:
        support = how(*mesh.points[mesh.sides[side]].mean(axis=0))
        if support != "free":
            held += list(mesh.sides[side])
        if support == "clamped":
            held.append(len(mesh.points) + side)
    free = np.setdiff1d(np.arange(plate.size), held)
    loss = plate.compression(np.tile(force, (len(mesh.triangles), 1)))
    return first_buckling(plate.bending, loss, free)[0]


def k(ends, low, high, force, length, size_mm):
    """Return a rectangle's coefficient; it is squeezed along its length."""

    def how(x, y):
        if 1e-6 < x < length - 1e-6:
            return low if y < WIDTH / 2 else high
        return ends

    shape = shapely.box(0, 0, length, WIDTH)
    return buckled(shape, how, force, size_mm) * WIDTH**2 / np.pi**2


RECTANGLES = {
    "simply supported": (("on it", "on it", "on it", SQUEEZED_LONG, 100), 4.00),
    "squeezed both ways": (("on it", "on it", "on it", SQUEEZED_BOTH, 100), 2.00),
    "sheared": (("on it", "on it", "on it", SHEARED, 100), 9.34),
    "clamped": (("clamped", "clamped", "clamped", SQUEEZED_LONG, 100), 10.07),
    "clamped, squeezed both ways": (("clamped", "clamped", "clamped", SQUEEZED_BOTH, 100), 5.31),
    "unloaded sides clamped": (("on it", "clamped", "clamped", SQUEEZED_LONG, 66), 6.97),
    "one side clamped": (("on it", "clamped", "on it", SQUEEZED_LONG, 79), 5.42),
    "one side clamped, one free": (("on it", "clamped", "free", SQUEEZED_LONG, 164), 1.28),
}


@pytest.mark.parametrize("name", RECTANGLES)
def test_rectangles(name):
    case, printed = RECTANGLES[name]
    assert k(*case, 2.5) == pytest.approx(printed, rel=0.011)


def test_one_side_free():
    # 0.425 + (b / a)² for nu = 0.3, so 0.425 to 0.43 for long plates
    assert k("on it", "on it", "free", SQUEEZED_LONG, 800, 5.0) == pytest.approx(
        0.425 + (WIDTH / 800) ** 2, rel=0.01
    )


@pytest.mark.parametrize(("support", "printed"), [("on it", 4.20), ("clamped", 14.68)])
def test_circles(support, printed):
    shape = Point(0, 0).buffer(50, quad_segs=60)
    assert buckled(shape, lambda x, y: support, SQUEEZED_BOTH, 2.5) * 50**2 == pytest.approx(
        printed, rel=0.005
    )


def test_finer_triangles_come_nearer():
    for supports, printed in ((("on it",) * 3, 4.00), (("clamped",) * 3, 10.07)):
        off = [printed - k(*supports, SQUEEZED_LONG, 100, size) for size in (10, 5, 2.5)]
        assert off[0] > 2.5 * off[1] > 2.5 * 2.5 * off[2] > 0
