"""Lens shade: the least by 29 CFR 1910.133(a)(5), the suggested by ANSI Z49.1:2012.

The latter as two manuals print it; copies seen.
"""

import pytest

import sheetkit
from sheetkit.formulas import lens_shade

GAS_METAL_OR_FLUX_CORED = [(30, 7), (55, 7), (59.9, 7), (60, 10), (160, 10), (250, 10), (500, 10)]
GAS_TUNGSTEN = [(30, 8), (49, 8), (50, 8), (149, 8), (150, 10), (500, 10)]
COVERED_ELECTRODE = [(59, 7), (60, 8), (159, 8), (160, 10), (249, 10), (250, 11), (550, 11)]
CASES = [
    *((p, a, s) for p in ("135", "136", "114") for a, s in GAS_METAL_OR_FLUX_CORED),
    *(("141", a, s) for a, s in GAS_TUNGSTEN),
    *(("111", a, s) for a, s in COVERED_ELECTRODE),
]


@pytest.mark.parametrize(("process", "amperes", "shade"), CASES)
def test_least_shade(process, amperes, shade):
    assert lens_shade.lens_shade(process, amperes).value == shade


@pytest.mark.parametrize(
    ("process", "amperes", "shade"), [("135", 55, 7), ("135", 60, 10), ("141", 50, 8)]
)
def test_estimate_gives_the_least_shade(job, process, amperes, shade):
    result = sheetkit.estimate(job(weld={"process": process, "current": amperes}))
    assert result.lens_shade_min == shade


@pytest.mark.parametrize(
    ("process", "amperes", "shade"),
    [
        *((p, 59, None) for p in ("135", "136", "114")),
        *((p, 100, 11) for p in ("135", "136", "114")),
        *((p, 200, 12) for p in ("135", "136", "114")),
        *((p, 300, 14) for p in ("135", "136", "114")),
        ("141", 49, 10),
        ("141", 100, 12),
        ("141", 200, 14),
        ("111", 59, None),
        ("111", 100, 10),
        ("111", 200, 12),
        ("111", 300, 14),
    ],
)
def test_suggested_shade(process, amperes, shade):
    """ANSI Z49.1:2012, suggested for comfort; none for the weakest arcs."""
    assert lens_shade.lens_shade(process, amperes).high == shade
