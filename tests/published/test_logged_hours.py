"""Whole repairs against hours that owners and shops logged: common practice, no source.

A logged figure is taken to hold everything from bare panel to primer: stripping,
cutting, making, fit-up, tacking, welding, dressing, sealing and paint-ready; trim,
lines and battery out and back ("access") are logged apart or not at all, except
where a whole weekend is told.  The size of a repair is our own reading of its name.
The middle of the draws must lie within the logged hours, give or take a tenth.
"""

import numpy as np
import pytest

import sheetkit

MARGIN = 0.1

QUARTER = {"size": (260, 130), "sheet": {"thickness": 0.8, "role": "skin"}, "joint": "butt"}
FLOOR = {"size": (150, 120), "sheet": {"thickness": 0.9, "role": "floor"}}
SILL = {"size": (1300, 120), "sheet": {"thickness": 1.2, "role": "structural"}}
LOGGED = {
    "lower quarter patch, trade: 4 to 5 h": (QUARTER, "butt", "trade", False, (4, 5)),
    "lower quarter patch, first-timer: most of a day": (QUARTER, "butt", "first", False, (6, 9)),
    "small floor patch, lapped: 2 to 4 h": (FLOOR, "lap", "practised", False, (2, 4)),
    "small floor patch, butted: 2 to 4 h": (FLOOR, "butt", "practised", False, (2, 4)),
    "small floor patch by a tradesperson: 2 to 4 h": (FLOOR, "butt", "trade", False, (2, 4)),
    "sill, one side: a weekend": (SILL, "butt", "practised", True, (12, 18)),
}


def hours_drawn(job, size, sheet, joint, skill, access):
    length, width = size
    ring = [[0, 0], [length, 0], [length, width], [0, width]]
    result = sheetkit.estimate(
        job(
            sheet={**sheet, "coating": "painted"},
            rust=[{"ring": ring}],
            patch={"joint": joint, "margin": 25},
            shop={"skill": skill},
        )
    )
    drawn = result.drawn
    trim = drawn["access_hours_per_job"] * drawn["skill_factor"]
    return drawn["hours_h"] - (0 if access else trim)


@pytest.mark.parametrize("name", LOGGED)
def test_the_middle_of_a_repair_lies_in_the_hours_logged(job, name):
    kind, joint, skill, access, (least, most) = LOGGED[name]
    found = np.median(hours_drawn(job, kind["size"], kind["sheet"], joint, skill, access))
    assert least * (1 - MARGIN) <= found <= most * (1 + MARGIN), f"{found:.2f} h"


@pytest.mark.parametrize(
    ("joint", "role", "least", "most"), [("butt", "skin", 3, 4.5), ("lap", "floor", 1, 2)]
)
def test_a_further_metre_takes_what_logs_come_to(job, joint, role, least, most):
    """Rates worked out from logs: a visible butt seam 3 to 4.5 h/m, a lapped floor 1 to 2 h/m, a
    tradesperson's; stripping, 0.4 h/m, apart.  The steps started from these rates: this holds
    them there.
    """

    def values(size):
        ring = [[0, 0], [size, 0], [size, 0.6 * size], [0, 0.6 * size]]
        return sheetkit.estimate(
            job(
                sheet={"thickness": 0.9, "role": role},
                rust=[{"ring": ring}],
                patch={"joint": joint},
                shop={"skill": "trade"},
            )
        ).values

    short, long = values(200), values(600)
    rate = (long["hours_h"] - short["hours_h"]) / (long["metres_m"] - short["metres_m"]) - 0.4
    assert least <= rate <= most, f"{rate:.2f} h/m"


def test_a_first_patch_and_a_bracket_take_six_hours(job):
    """The bracket isn't reckoned: the patch alone takes most of it, and not more."""
    found = np.median(hours_drawn(job, (120, 80), FLOOR["sheet"], "butt", "first", False))
    assert 0.5 * 6 <= found <= 6


def test_amateurs_take_about_double(job):
    first, trade = (
        np.median(hours_drawn(job, QUARTER["size"], QUARTER["sheet"], "butt", skill, False))
        for skill in ("first", "trade")
    )
    assert 1.6 <= first / trade <= 2.2


def test_the_arc_burns_for_a_small_part_of_the_hours(job, demo):
    """Cleaning and access dominate; arc time is small."""
    for name in ("trunk_floor", "footwell", "wheel_arch"):
        result = sheetkit.estimate(sheetkit.Job.from_data(demo(name)))
        steps = {step: result.range(step).likely for step in
                 ("access_h", "cutting_h", "making_h", "fitting_h", "tacking_h", "welding_h",
                  "dressing_h", "sealing_h", "paint_ready_h")}  # fmt: skip
        assert max(steps, key=steps.get) == "access_h"
        assert result.range("arc_on_share").likely < 0.05
