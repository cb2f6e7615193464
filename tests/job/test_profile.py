"""A panel's cross-section in the job file: read, refused with every fault named."""

import math

import pytest

from sheetkit import Job, JobRefused, estimate
from sheetkit.views.summary import summary

SILL = {
    "points": [[0, 0], [0, 60], [-45, 60], [-45, 80]],
    "radii": [3, 2],
    "run": "y",
    "face": "right",
}
"""Vertical face of 60, underside of 45, flange of 20, outside to outside, in 1 mm sheet."""
LENGTH = 60 + 45 + 20 - 2 * (3 + 1) - 2 * (2 + 1) + math.pi / 2 * sum(
    r + (0.65 + 0.5 * math.log10(r)) / 2 for r in (3, 2)
)  # fmt: skip


def sill(job_data, **changes):
    profile = SILL | changes.pop("profile", {})
    outline = [[0, 0], [400, 0], [400, 117], [0, 117]]
    rust = [{"ring": [[150, 35], [230, 30], [240, 80], [160, 85]]}]
    panel = {"profile": profile, "outline": outline} | changes.pop("panel", {})
    return job_data(**{"panel": panel, "rust": rust, "patch": {"margin": 15}} | changes)


def faults(data):
    with pytest.raises(JobRefused) as refused:
        Job.from_data(data)
    return {fault.field: str(fault) for fault in refused.value.faults}


def test_the_drawing_is_the_unrolled_sheet(job_data):
    job = Job.from_data(sill(job_data))
    assert job.section.unrolled_length_mm == pytest.approx(LENGTH, abs=1e-9)
    (patch,) = estimate(job).patches
    assert patch.blank.equals(patch.outline)
    assert [(bend.number, bend.toward) for bend in patch.bends] == [(1, "back"), (2, "face")]
    assert [round(bend.line.centroid.y, 6) for bend in patch.bends] == [
        round(bend.middle_mm, 6) for bend in job.section.bends
    ]
    assert patch.folds == () and patch.section is job.section


def test_only_the_bends_that_cross_the_patch(job_data):
    rust = [{"ring": [[150, 75], [230, 75], [230, 95], [150, 95]]}]
    patch = {"margin": 5, "web": 0, "shape": "box", "corner_radius": 5}
    (cut,) = estimate(Job.from_data(sill(job_data, rust=rust, patch=patch))).patches
    assert [bend.number for bend in cut.bends] == [2]


def test_a_traces_faults_are_told_of_the_trace(job_data):
    """A corner of 178 degrees is one that was fitted: nobody gave a panel.profile.points."""
    trace = [[100 * math.cos(i / 300), 100 * math.sin(i / 300)] for i in range(3000)]
    profile = {"trace": trace, "points": None, "radii": 1}
    assert set(faults(sill(job_data, profile=profile))) == {"panel.profile.trace"}


def test_a_flat_panel_has_no_section(job):
    assert job().section is None


@pytest.mark.parametrize(("run", "degrees"), [("x", 0), ("y", 90), ("30 deg", 30), (-45, -45)])
def test_which_way_it_runs(job_data, run, degrees):
    data = sill(job_data, profile={"run": run, "start": -500}, panel={"outline": None})
    data["panel"].pop("outline")
    data["rust"] = [{"ring": [[0, 0], [3, 0], [3, 3]]}]
    data["panel"]["profile"]["points"] = [[0, 0], [0, 900], [-45, 900]]
    data["panel"]["profile"]["radii"] = 3
    assert Job.from_data(data).panel.profile.run == degrees


def test_lengths_carry_units(job_data):
    data = sill(job_data, profile={"radii": "1/8 in", "start": "0 mm"})
    assert Job.from_data(data).panel.profile.radii == (3.175,)


def test_a_trace_of_the_face_is_fitted(job_data):
    """The sill's face, a point a millimetre, its corners rounded by 1 mm more than the back's."""
    first = Job.from_data(sill(job_data)).section
    every = [first.start_mm + n for n in range(int(first.unrolled_length_mm) + 1)]
    face = first.in_section([*every, first.end_mm], "face")
    trace = [[-y, x] for x, y in face.tolist()]
    profile = {"trace": trace, "points": None, "radii": None, "face": "left"}
    profile = {key: value for key, value in (SILL | profile).items() if value is not None}
    data = sill(job_data)
    data["panel"]["profile"] = profile
    found = Job.from_data(data).section
    assert found.unrolled_length_mm == pytest.approx(first.unrolled_length_mm, abs=0.3)
    assert [b.angle_deg for b in found.bends] == pytest.approx([90, 90], abs=1)
    assert [b.radius_mm for b in found.bends] == pytest.approx([3, 2], abs=0.4)
    assert [b.toward for b in found.bends] == ["back", "face"]


def test_own_k(job_data):
    job = Job.from_data(sill(job_data, profile={"k": 0.4}))
    expected = LENGTH + math.pi / 2 * sum(
        0.4 - (0.65 + 0.5 * math.log10(r)) / 2 for r in (3, 2)
    )  # fmt: skip
    assert job.section.unrolled_length_mm == pytest.approx(expected, abs=1e-9)


def test_k_from_strips(job_data):
    """50 + 30 in 1 mm sheet over 2 mm: the blank that K 0.4 asks for; two strips, the mean."""
    blank = 80 - 2 * 3 + math.pi / 2 * 2.4
    strips = [{"blank": blank + d, "legs": [50, 30], "radius": 2} for d in (0.1, -0.1)]
    job = Job.from_data(sill(job_data, profile={"strips": strips}))
    own = Job.from_data(sill(job_data, profile={"k": 0.4}))
    assert job.section.unrolled_length_mm == pytest.approx(own.section.unrolled_length_mm)
    rows = {row[0]: row[1] for row in summary(estimate(job))}
    assert rows["K of this sheet, by test strips"].startswith("0.40 ± 0.")


@pytest.mark.parametrize(
    ("profile", "field", "words"),
    [
        (
            {"strips": [{"blank": 90, "legs": [50, 30], "radius": 2}]},
            "panel.profile.strips[0]",
            "measure blank",
        ),
        (
            {"k": 0.4, "strips": [{"blank": 77.7, "legs": [50, 30], "radius": 2}]},
            "panel.profile.k",
            "leave one of them out",
        ),
        (
            {"strips": [{"blank": 90, "legs": [50], "radius": 2}]},
            "panel.profile.strips[0].legs",
            "2",
        ),
        ({"points": [[0, 0], [0, 60]]}, "panel.profile.points", "at least 3"),
        ({"points": None}, "panel.profile.points", "neither points nor a trace"),
        ({"trace": [[0, 0], [1, 1]]}, "panel.profile.points", "both points and a trace"),
        ({"points": None, "trace": [[0, 0], [9, 1]]}, "panel.profile.trace", "at least 8"),
        (
            {"points": None, "trace": [[0, 0], [9, 1]], "radii": [2, 3]},
            "panel.profile.radii",
            "its own radii",
        ),
        ({"radii": 25}, "panel.profile.points[3]", "flange 3 of 20 mm"),
        ({"radii": [1, 2, 3]}, "panel.profile.radii", "one a corner"),
        ({"radii": 0.1}, "panel.profile.radii[0]", "at least 0.2 mm"),
        ({"run": "up"}, "panel.profile.run", '"x", "y"'),
        ({"run": 400}, "panel.profile.run", "-360 to 360"),
        ({"positions": ["flat"]}, "panel.profile.positions", "must be 3"),
        ({"closed": [True, False]}, "panel.profile.closed", "must be 3"),
        ({"k": 0.1}, "panel.profile.k", "at least 0.2"),
        ({"start": 30}, "panel.outline", "unrolled sheet, 30 to"),
        ({"bend": 1}, "panel.profile.bend", "unknown key"),
        (
            {"points": [[0, 0], [0, 60], [-45, 60], [-45, 40], [30, 40]]},
            "panel.profile.points",
            "runs through itself",
        ),
    ],
)
def test_faults_are_named(job_data, profile, field, words):
    changes = {"radii": 2, **profile}
    assert words in faults(sill(job_data, profile=changes))[field]


def test_rust_beyond_the_profile_without_an_outline(job_data):
    data = sill(job_data, rust=[{"ring": [[0, 100], [50, 100], [50, 140]]}])
    del data["panel"]["outline"]
    assert "100 to 140 mm" in faults(data)["rust[0].ring"]


def test_a_cut_over_the_profiles_end_wants_the_outline(job_data):
    """Rust 5 mm inside the end, margin 15: 10 mm over, where the panel is no more."""
    data = sill(job_data, rust=[{"ring": [[0, 60], [50, 60], [50, 112], [0, 112]]}])
    assert estimate(Job.from_data(data)).patches
    del data["panel"]["outline"]
    with pytest.raises(JobRefused, match="draw the panel's outline"):
        estimate(Job.from_data(data))


def test_folds_beside_a_profile(job_data):
    folds = [{"line": [[0, 50], [400, 50]], "angle": 90}]
    found = faults(sill(job_data, patch={"folds": folds}))
    assert "leave patch.folds out" in found["patch.folds"]
