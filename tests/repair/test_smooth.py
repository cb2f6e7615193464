"""A little more of sheet or seam never makes a leap in what is bought or how long it takes."""

import numpy as np
import pytest

import sheetkit

FIGURES = ("tack_count", "hours_h", "wire_bought_g", "gas_real_l", "cost", "plug_count")
KINDS = [
    ("135", "butt", "stitch"),
    ("135", "butt", "dots"),
    ("135", "lap", "stitch"),
    ("135", "plug", "stitch"),
    ("136", "lap", "stitch"),
    ("114", "butt", "stitch"),
    ("141", "butt", "stitch"),
]
LEAP = 0.10


def figures(job, process, joint, fill, sheet=1.0, size=1.0):
    ring = [[0, 0], [160 * size, 0], [160 * size, 100 * size], [0, 100 * size]]
    one = job(
        sheet={"thickness": float(sheet)},
        rust=[{"ring": ring}],
        patch={"joint": joint},
        weld={"process": process, "fill": fill},
    )
    result = sheetkit.estimate(one)
    return np.array([result.range(n).likely if n in result.values else 0.0 for n in FIGURES])


def leaps(rows):
    rows = np.array(rows)
    with np.errstate(invalid="ignore"):
        return np.nan_to_num(np.abs(np.diff(rows, axis=0)) / rows[:-1])


@pytest.mark.parametrize("kind", KINDS, ids=" ".join)
def test_a_per_cent_more_of_thickness(job, kind):
    """Round every row of the tables and every change of wire, a per cent at a time."""
    for middle in (0.41, 0.6, 0.8, 0.85, 1.0, 1.2, 1.4, 1.6, 2.0, 2.3, 2.7, 2.75, 3.2, 3.6):
        sheets = middle * 1.01 ** np.array([-1.5, -0.5, 0.5, 1.5])
        sheets = np.clip(sheets, 0.4, 4.0)
        found = leaps([figures(job, *kind, sheet=t) for t in sheets])
        assert found.max() <= LEAP, (middle, FIGURES[found.max(axis=0).argmax()])


@pytest.mark.parametrize("kind", KINDS, ids=" ".join)
def test_a_per_cent_more_of_size(job, kind):
    """Pairs of neighbours, 20 to 590 mm; below 12 tacks or plugs, one more is one of them all."""
    for begin in 0.125 * 1.01 ** np.arange(0, 340, 3.0):
        rows = [figures(job, *kind, size=begin * by) for by in (1, 1.01)]
        found = leaps(rows)
        if rows[0][0] < 12:
            found[0, 0] = 0
        if kind[1] == "plug" and rows[0][-1] < 12:
            found[0, found[0] <= 1.001 / rows[0][-1]] = 0
        assert found.max() <= LEAP, (begin, FIGURES[found.max(axis=0).argmax()])


@pytest.mark.parametrize("process", ["135", "136", "114"])
@pytest.mark.parametrize("joint", ["butt", "lap", "plug"])
@pytest.mark.parametrize("position", ["flat", "overhead"])
def test_wire_routes_agree(job, process, joint, position):
    """Within 2.5 times from 0.6 to 3 mm, by stitches and by dots, without a word of fault."""
    for fill in ("stitch", "dots") if joint != "plug" else ("stitch",):
        for sheet in (0.6, 0.7, 0.8, 0.9, 1.0, 1.2, 1.5, 2.0, 2.5, 3.0):
            result = sheetkit.estimate(
                job(
                    sheet={"thickness": sheet, "position": position},
                    patch={"joint": joint},
                    weld={"process": process, "fill": fill},
                )
            )
            v = result.values
            ratio = v["wire_by_feed_g"] / v["wire_g"]
            assert 1 / 2.5 <= ratio <= 2.5, (sheet, fill)
            assert "wire routes" not in {caution.topic for caution in result.cautions()}
