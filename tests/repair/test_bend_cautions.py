"""Bent panels in an estimate: cautions, positions and backs by the seam's length, the same order."""

import math

import pytest

import sheetkit
from sheetkit.repair.bend_cautions import bend_cautions
from sheetkit.repair.plan import plan, sheet_of, surroundings

PROFILE = {"points": [[0, 0], [80, 0], [80, 60]], "radii": 2, "run": "x"}
"""Flats of 77 and 57 mm in 1 mm sheet; the bend's zone between."""
MIDDLE = 77 + math.pi / 2 * (2 + (0.65 + 0.5 * math.log10(2)) / 2) / 2
OUTLINE = [[0, 0], [138, 0], [138, 300], [0, 300]]


def square(left, low, right, high):
    return [{"ring": [[left, low], [right, low], [right, high], [left, high]]}]


def bent(job, rust=None, profile=None, panel=None, **changes):
    made = {"outline": OUTLINE, "profile": PROFILE | (profile or {})} | (panel or {})
    patch = {"margin": 10, "corner_radius": 5, "shape": "box", "web": 5} | changes.pop("patch", {})
    return job(panel=made, rust=rust or square(40, 100, 110, 180), patch=patch, **changes)


def topics(job, display="mm"):
    result = sheetkit.estimate(job)
    return {c.topic: c.text for c in bend_cautions(result.job, result.patches, display)}


def test_a_seam_that_crosses_a_bend_is_nothing_to_tell(job):
    assert topics(bent(job)) == {}


@pytest.mark.parametrize(
    ("edge", "told"), [(77 - 10 - 4.5, True), (MIDDLE - 10, True), (77 - 10 - 5.6, False)]
)
def test_a_seam_along_a_bend(job, edge, told):
    """The seam's edge is 10 mm beyond the rust; five thicknesses before the zone are too near."""
    found = topics(bent(job, rust=square(20, 100, edge, 180)))
    assert ("seam on a bend" in found) is told
    if told:
        told_mm = float(found["seam on a bend"].split()[0])
        assert 90 <= told_mm <= 120  # 80 + 2 x 10, less its corners, and what bends in with them
        assert "EN 1993-1-8" in found["seam on a bend"]


def test_a_rolled_part_is_welded_anywhere(job):
    """r/t 25 and more: 2 % of strain, "any" in the standard's table."""
    rolled = {"points": [[0, 0], [100, 0], [100, 80]], "measured": "inside"}
    for radius, told in ((20, True), (26, False)):
        found = topics(bent(job, profile=rolled | {"radii": radius}, rust=square(20, 100, 90, 180)))
        assert ("seam on a bend" in found) is told


def test_a_tight_bend_says_how_much_it_stretches(job):
    """s / (2 r + s) = 1 / 2.6 = 38 %."""
    found = topics(bent(job, profile={"radii": 0.8}))
    assert "38%" in found["tight bend"] and "crosses" in found["tight bend"]
    assert "tight bend" not in topics(bent(job, profile={"radii": 1.0}))


def test_a_hole_in_a_bend(job):
    hole = [[70, 130], [84, 130], [84, 144], [70, 144]]
    assert "1 hole" in topics(bent(job, panel={"holes": [hole]}))["hole in a bend"]
    aside = [[[x - 30, y] for x, y in hole]]
    assert "hole in a bend" not in topics(bent(job, panel={"holes": aside}))


@pytest.mark.parametrize(("high", "told"), [(75, True), (90, False)])
def test_a_flange_too_short_to_grip(job, high, told):
    """2 + 5 x 1 mm outside to outside: the patch's edge is 10 mm beyond the rust."""
    assert ("short flange" in topics(bent(job, rust=square(20, 100, high - 2.5, 180)))) is told


@pytest.mark.parametrize(("y", "told"), [(81, True), (70, False)])
def test_a_folds_flange_too_short_to_grip(job, y, told):
    """The patch ends at 85 less half the gap: 4 mm beyond the fold are under 1 + 5 x 1."""
    folds = [{"line": [[-90, y], [190, y]], "angle": 90, "radius": 1}]
    found = topics(job(patch={"folds": folds, "shape": "box"}))
    assert ("short flange" in found) is told


def test_what_a_bend_is_turned_to(job):
    """90 / (1 - 3 x), x = 4.5 x 280 / 210 000 by 1 mm: 91.6; round 60 mm a quarter more."""
    assert "bend 1 to 92° (91" in topics(bent(job, profile={"radii": 4}))["spring back"]
    rolled = bent(
        job, profile={"points": [[0, 0], [100, 0], [100, 80]], "radii": 60, "measured": "inside"}
    )
    assert "round 48.3 mm" in topics(rolled)["spring back"]
    # whoever measures in inches reads no millimetres: 48.3 / 25.4
    assert "round 1.90" in topics(rolled, "in")["spring back"]
    assert " mm" not in topics(rolled, "in")["spring back"]
    folds = [{"line": [[-90, 30], [190, 30]], "angle": 20, "radius": 1}]
    assert "spring back" not in topics(job(patch={"folds": folds}))


def test_closed_sections(job):
    found = topics(bent(job, profile={"closed": [False, True]}))
    assert "Wax the inside" in found["closed section"]
    assert "closed section" not in topics(bent(job, profile={"closed": [False, False]}))


def test_folds_of_a_flat_panel_are_looked_at_too(job):
    folds = [{"line": [[-90, 70], [190, 70]], "angle": 90, "radius": 0.5}]
    assert "tight bend" in topics(job(patch={"folds": folds}))


def shares(result, y_low, y_high):
    """Seam left and right of the bend's middle, by hand: a box cut across it."""
    (patch,) = result.patches
    points = [p for run in patch.seam for p in run.segmentize(0.05).coords]
    left = sum(x < MIDDLE for x, _ in points)
    return left / len(points), 1 - left / len(points)


def test_positions_by_the_seams_length(job):
    profile = {"positions": ["vertical", "overhead"], "closed": [True, False]}
    result = sheetkit.estimate(bent(job, profile=profile))
    left, right = shares(result, 90, 190)
    values = result.values
    assert values["position_factor"] == pytest.approx(1.2 * left + 1.5 * right, rel=1e-2)
    assert values["faces_reached"] == pytest.approx(1 + right, rel=1e-2)
    closed = sheetkit.base.tables.row("labour", "access closed", "factor").value
    assert values["access_factor"] == pytest.approx(closed * left + right, rel=1e-2)
    assert result.inputs["position_factor"].status == "guess"
    assert "overhead" in result.inputs["position_factor"].source
    assert {"positions", "closed section"} <= topics(bent(job, profile=profile)).keys()


def test_current_is_the_mean_of_the_positions(job):
    """Flat and vertical: 1 and 0.88 of the table's current; given, it stays as given."""
    flat = sheetkit.estimate(bent(job)).values["current_a"]
    result = sheetkit.estimate(bent(job, profile={"positions": ["flat", "vertical"]}))
    left, right = shares(result, 90, 190)
    assert result.values["current_a"] == pytest.approx(flat * (left + 0.88 * right), rel=1e-2)
    given = bent(job, profile={"positions": ["flat", "vertical"]}, weld={"current": 44})
    assert sheetkit.estimate(given).values["current_a"] == 44


@pytest.mark.parametrize(
    ("low", "position", "back"), [(15, "vertical", "closed"), (85, "overhead", "open")]
)
def test_it_lies_as_the_flat_with_most_of_the_rust(job, low, position, back):
    profile = {"positions": ["vertical", "overhead"], "closed": [True, False]}
    made = bent(job, profile=profile, rust=square(low, 100, low + 35, 180))
    lying = surroundings(made)
    assert (lying.position, lying.back) == (position, back)
    given = bent(job, profile=profile, surroundings={"back": "covered"})
    assert surroundings(given).back == "covered"


def test_bends_after_the_first_take_time(job):
    """A box of three bends: two more at 0.15 h; one bend, or a flat panel, takes no more."""
    channel = {"points": [[0, 0], [40, 0], [40, 40], [80, 40], [80, 80]], "radii": 1}
    one = sheetkit.estimate(bent(job)).values
    three = sheetkit.estimate(bent(job, profile=channel, rust=square(20, 100, 120, 180))).values
    assert one["further_bend_count"] == 0 and three["further_bend_count"] == 2
    for values, more in ((one, 0.0), (three, 0.3)):
        plain = 0.25 + values["cut_length_mm"] / 1000 * 0.15 * values["thickness_factor"]
        assert values["making_h"] == pytest.approx((plain + more) * values["skill_factor"])
    assert "further_bend_count" not in sheetkit.estimate(job()).values


def test_one_position_on_every_flat_is_that_position(job):
    profile = {"positions": ["vertical", "vertical"]}
    bent_one = sheetkit.estimate(bent(job, profile=profile)).values
    flat = sheetkit.estimate(
        bent(job, panel={"profile": None}, sheet={"thickness": 1.0, "position": "vertical"})
    ).values
    bent_one = {name: value for name, value in bent_one.items() if name in flat}
    assert bent_one == pytest.approx(dict(flat), rel=1e-12)


def test_seam_heat_and_order_do_not_know_the_bend(job):
    """The same drawing, flat and bent, is planned alike: welds, starts, temperatures."""
    plans = []
    for panel in ({"profile": None}, {}):
        result = sheetkit.estimate(bent(job, rust=square(62, 130, 96, 160), panel=panel))
        assert result.patches[0].seam_length_mm > 100
        plans.append(plan(result))
    assert plans[0].total_s == plans[1].total_s
    assert plans[0].order == plans[1].order


def test_the_sheet_planned_on_ends_where_the_profile_does(job):
    """No outline drawn: 137.8 mm along the run, as far as ever along the bends."""
    made = bent(job, panel={"outline": None}, rust=square(45, 130, 96, 160))
    left, low, right, high = sheet_of(sheetkit.estimate(made)).bounds
    assert (left, right) == pytest.approx((0, 137.77), abs=0.01)
    assert (low, high) == pytest.approx((50, 240), abs=0.1)  # 50 mm beyond the cut


def test_bends_in_the_summary_and_the_json(job):
    from sheetkit.views.json_objects import estimate_object
    from sheetkit.views.summary import summary

    result = sheetkit.estimate(bent(job))
    rows = {row[0]: row[1] for row in summary(result)}
    assert rows["Section, unrolled"] == "137.8 mm, 1 bend"
    assert rows["Patch 1: bends"] == "1: 90° face"
    found = estimate_object(result)
    (bend,) = found["patches"][0]["bends"]
    assert [x for x, _ in bend["line"]] == pytest.approx([MIDDLE] * 2, abs=1e-3)
    assert found["section"]["flats"][0]["end_mm"] == pytest.approx(77)
    assert sum(flat["seam_share"] for flat in found["section"]["flats"]) == pytest.approx(1)
    assert estimate_object(sheetkit.estimate(job()))["section"] is None
