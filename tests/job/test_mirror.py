"""A job of the other side of the vehicle: the drawing mirrored, bends and names turned."""

import numpy as np
import pytest
import shapely

from sheetkit import Job, estimate
from sheetkit.geometry.folded import outline_3d
from sheetkit.job.mirror import hand_of, mirrored, other_side


@pytest.fixture
def wing(job_data):
    return Job.from_data(
        job_data(
            title="LEFT sill, Left end",
            drawn_in="in",
            sheet={"thickness": "1 mm"},
            panel={
                "outline": [[0, 0], ["10 in", 0], [12, 3], [12, 4.4], [0, 4.4]],
                "holes": [[[1, 1], [1.5, 1], [1.5, 1.4]]],
                "profile": {"points": [[0, 0], [0, 2.4], [-2.15, 2.4]], "radii": "3 mm", "run": "y"},
                "mountings": [{"name": "left belt", "at": [3, 1]}],
                "protect": [{"name": "rh loom", "line": [[0, 2], [4, 2]]}, {"name": "pump", "at": [2, 2]}],
                "stiff": [{"line": [[5, 2], [7, 2]]}],
                "swages": [{"line": [[5, 1], [7, 1]], "width": 0.5, "depth": 0.1}],
                "crowns": [{"run": "30 deg", "over": 10, "rise": 0.1}],
            },
            rust=[{"ring": [[4, 1], [6, 1.2], [6, 3], [4.5, 3.5]]}],
            patch={"margin": "10 mm", "lips": [{"edge": [[0, 0], [10, 0]], "width": 0.5}]},
        )
    )  # fmt: skip


def flipped(shape, left, right):
    return shapely.transform(shape, lambda xy: np.column_stack([left + right - xy[:, 0], xy[:, 1]]))


def test_the_drawing_is_mirrored_about_its_own_middle(wing):
    other = mirrored(wing)
    span = 0, 12 * 25.4
    ring = flipped(wing.panel.outline.polygon, *span)
    assert other.panel.outline.polygon.symmetric_difference(ring).area < 1e-6
    assert other.rust_shape.symmetric_difference(flipped(wing.rust_shape, *span)).area < 1e-6
    assert other.panel.mountings[0].at == pytest.approx((9 * 25.4, 25.4))
    assert other.panel.protect[1].at == pytest.approx((10 * 25.4, 2 * 25.4))
    assert np.array(other.panel.protect[0].line) == pytest.approx(
        np.array([[12, 2], [8, 2]]) * 25.4
    )
    assert np.array(other.panel.stiff[0].line)[:, 0] == pytest.approx(np.array([7, 5]) * 25.4)
    assert np.array(other.panel.swages[0].line)[:, 0] == pytest.approx(np.array([7, 5]) * 25.4)
    assert np.array(other.patch.lips[0].edge)[:, 0] == pytest.approx(np.array([12, 2]) * 25.4)
    assert other.panel.crowns[0].run == 150


def test_names_and_hand_are_turned(wing):
    other = mirrored(wing)
    assert other.title == "RIGHT sill, Right end"
    assert other.panel.mountings[0].name == "right belt"
    assert [item.name for item in other.panel.protect] == ["lh loom", "pump"]
    assert (wing.hand, hand_of(wing), other.hand) == (None, "left", "right")
    assert mirrored(other).hand == "left"


def test_mirrored_twice_is_the_job(wing):
    again = mirrored(mirrored(wing))
    assert again.rust_shape.symmetric_difference(wing.rust_shape).area < 1e-6
    assert again.section == wing.section
    assert again.title == wing.title
    assert mirrored(wing).data["panel"]["profile"]["run"] == "y"  # as it was written


@pytest.mark.parametrize("run", ["x", "y", "25 deg", -70])
def test_it_folds_to_the_mirror_image(job_data, run):
    """Every point of the outline folded, against the first side's folded and mirrored in x."""
    points = [[0, 0], [200, 0], [200, 150]]
    profile = {"points": points, "radii": 3, "run": run, "start": -150}
    ring = [[-30, -40], [90, -50], [100, 80], [-20, 60]]
    wing = Job.from_data(
        job_data(panel={"profile": profile, "outline": ring}, rust=[{"ring": ring}])
    )
    other = mirrored(wing)
    left, _, right, _ = wing.panel.outline.polygon.bounds
    first = outline_3d(wing.section, wing.panel.outline.polygon, "face")[0]
    second = outline_3d(other.section, other.panel.outline.polygon, "face")[0]
    first[:, 0] = left + right - first[:, 0]
    # the base flat lies where the drawing does in both, so folded points match one to one
    apart = shapely.hausdorff_distance(
        shapely.MultiPoint(first[:, :2]), shapely.MultiPoint(second[:, :2])
    )
    assert apart < 1e-6
    assert sorted(first[:, 2]) == pytest.approx(sorted(second[:, 2]), abs=1e-6)
    assert [b.toward for b in other.section.bends] == [b.toward for b in wing.section.bends]


def test_blank_seam_and_hours_are_the_same(wing):
    one, other = estimate(wing), estimate(mirrored(wing))
    assert other.values["seam_length_mm"] == pytest.approx(one.values["seam_length_mm"], abs=0.05)
    assert other.patches[0].blank.area == pytest.approx(one.patches[0].blank.area, rel=1e-4)
    assert other.values["hours_h"] == pytest.approx(one.values["hours_h"], rel=1e-3)


def test_folds_keep_the_face_they_are_bent_to(job):
    folds = [{"line": [[-50, 30], [150, 20]], "angle": 40, "toward": "back"}]
    (fold,) = mirrored(job(patch={"folds": folds})).patch.folds
    assert fold.toward == "back"
    assert np.array(fold.line) == pytest.approx(np.array([[150, 30], [-50, 20]]))


@pytest.mark.parametrize(
    ("text", "turned"),
    [("leftover", "leftover"), ("Nearside, OFFSIDE", "Offside, NEARSIDE"), ("bright", "bright")],
)
def test_only_whole_words_are_turned(text, turned):
    assert other_side(text) == turned


@pytest.mark.parametrize(
    "title",
    ["What is left of the floor", "Left-over from the door", "Right angle bracket", "That's left"],
)
def test_what_is_left_and_right_angles_are_no_side(job, title):
    """Else a pattern would be marked LEFT SIDE for either."""
    assert hand_of(job(title=title)) is None and other_side(title) == title


def test_mirrored_about_nought_a_start_is_plain(job_data):
    profile = {"points": [[0, 0], [0, 60], [-40, 60]], "radii": 2, "run": "y", "start": 0}
    outline = [[0, 0], [300, 0], [300, 90], [0, 90]]
    ring = [[100, 20], [150, 20], [150, 50], [100, 50]]
    panel = {"profile": profile, "outline": outline}
    made = Job.from_data(job_data(panel=panel, rust=[{"ring": ring}]))
    assert str(mirrored(made).data["panel"]["profile"]["start"]) == "0.0"


def test_a_title_of_both_sides_says_no_hand(job):
    both = job(title="left and right")
    assert hand_of(both) is None and mirrored(both).hand is None
    assert mirrored(job(hand="left")).hand == "right"
