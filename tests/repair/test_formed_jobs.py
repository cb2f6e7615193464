"""Lips, joggles, swages and crowns in a job: blanks, figures, cautions, and what is refused."""

import math

import numpy as np
import pytest
from shapely import Point, box

from sheetkit import JobRefused, estimate
from sheetkit.geometry.curved_flange import developed_width
from sheetkit.geometry.formed import joggle
from sheetkit.repair.formed_cautions import formed_cautions

ROOM = [[-300, -300], [300, -300], [300, 300], [-300, 300]]


def square(left, low, right, high):
    return [{"ring": [[left, low], [right, low], [right, high], [left, high]]}]


def told(job):
    result = estimate(job)
    return {c.topic: c.text for c in formed_cautions(result.job, result.patches, "mm")}


def edge_job(job, lip, **changes):
    """A panel whose lower edge is y = 0; the rust reaches it, so the patch does."""
    panel = {"outline": [[-300, 0], [300, 0], [300, 300], [-300, 300]]}
    patch = {"margin": 20, "shape": "box", "corner_radius": 10, "lips": [lip]}
    return job(panel=panel, rust=square(-50, 0, 50, 40), patch=patch | changes)


def test_a_straight_lip_widens_the_blank(job):
    """15 mm high, square, r 1 in 1 mm: 15 - 1.919 beyond the edge; nothing stretches."""
    lip = {"edge": [[-300, 0], [300, 0]], "width": 15, "toward": "back"}
    result = estimate(edge_job(job, lip))
    (patch,) = result.patches
    assert patch.outline.bounds[1] == pytest.approx(0, abs=1e-6)
    assert patch.blank.bounds[1] == pytest.approx(-(15 - 1.919), abs=2e-3)
    assert patch.blank.bounds[3] == pytest.approx(patch.outline.bounds[3], abs=1e-6)
    (found,) = patch.lips
    assert (found.stretch, found.shrink, found.reliefs) == (0, 0, 0)
    (bend,) = patch.bends
    assert (bend.toward, bend.number) == ("back", 1)
    assert bend.line.centroid.y == pytest.approx(
        2 - 2.0813 / 2, abs=1e-3
    )  # set-back less half the arc
    assert "only bends" in told(result.job)["lip"]


@pytest.mark.parametrize("backwards", [False, True])
def test_a_wheel_archs_lip_stretches(job, backwards):
    """The panel lies outside an arc of 250 mm; a lip of 20 turned in: e = w' / (R - w')."""
    at = np.linspace(0, np.pi, 181)
    arc = np.column_stack([250 * np.cos(at), 250 * np.sin(at)])
    outline = [*arc[::-1].tolist(), [400, 0], [400, 400], [-400, 400], [-400, 0]]
    edge = arc[::-1] if backwards else arc
    lip = {"edge": edge.tolist(), "width": 20, "radius": 1}
    patch = {"margin": 15, "corner_radius": 10, "lips": [lip], "web": 25}
    made = job(
        panel={"outline": outline},
        rust=[{"ring": [[-60, 246], [60, 246], [60, 290], [-60, 290]]}],
        patch=patch,
    )
    result = estimate(made)
    (patch,) = result.patches
    (found,) = patch.lips
    lip_flat = developed_width(20, 90, 1, 1)
    reach = -0.5  # the lip's middle stands half a sheet inside its outer face
    expected = (250 - reach - 1) / (250 - lip_flat) - 1
    assert found.stretch == pytest.approx(expected, rel=0.1)
    assert found.shrink == 0
    grown = patch.blank.area - patch.outline.area
    assert grown == pytest.approx(found.edge.length * lip_flat * (1 - lip_flat / 500), rel=0.03)
    assert "stretches by" in told(made)["lip"] and "no promise" in told(made)["lip"]
    assert patch.blank.is_valid and patch.blank.geom_type == "Polygon"


def hole_job(job, radius, width):
    """A patch with a round hole in it, its lip turned up all round."""
    ring = [list(p) for p in Point(0, 0).buffer(radius, quad_segs=16).exterior.coords]
    panel = {"outline": ROOM, "holes": [ring]}
    patch = {"margin": 20, "lips": [{"edge": ring, "width": width, "radius": 1}]}
    rust = [{"ring": [list(p) for p in Point(0, 0).buffer(radius + 15).exterior.coords]}]
    return job(panel=panel, rust=rust, patch=patch)


def test_a_hole_with_a_lip(job):
    """R 40, w 8: the hole is cut smaller by the lip's width, and the edge stretches."""
    result = estimate(hole_job(job, 40, 8))
    (patch,) = result.patches
    (hole,) = patch.blank.interiors
    flat = developed_width(8, 90, 1, 1)
    assert hole.length / (2 * math.pi) == pytest.approx(40 - flat, rel=2e-2)
    (found,) = patch.lips
    assert found.stretch == pytest.approx((40 + 0.5) / (40 - flat) - 1, rel=2e-2)
    assert found.change_mm == pytest.approx(2 * math.pi * (flat + 0.5), rel=2e-2)
    assert found.reliefs > 0  # over half of what DC01 bears


def test_a_lip_wider_than_its_hole(job):
    with pytest.raises(JobRefused, match="strip of its own"):
        estimate(hole_job(job, 12, 30))


def test_too_small_a_hole_asks_for_relief(job):
    """R 30, w 10: the edge would stretch by half its length."""
    result = estimate(hole_job(job, 30, 10))
    (found,) = result.patches[0].lips
    assert found.stretch > 0.3 and found.reliefs >= 2 and found.change_mm > 0
    assert "slits" in told(result.job)["lip"]


def test_a_rounded_corners_lip_shrinks(job):
    """The outside of a disc's quarter: -w / (R + w) or so, by shrinker or notched."""
    at = np.linspace(-np.pi / 2, 0, 91)
    arc = np.column_stack([60 * np.cos(at), 60 * np.sin(at)])
    outline = [[-300, -60], *arc.tolist(), [60, 300], [-300, 300]]
    made = job(
        panel={"outline": outline},
        rust=[{"ring": [[0, -60], *arc[10:80].tolist(), [60, 0], [20, 0]]}],
        patch={"margin": 10, "web": 15, "lips": [{"edge": arc.tolist(), "width": 12}]},
    )
    (found,) = estimate(made).patches[0].lips
    assert found.stretch == 0
    assert found.shrink == pytest.approx(12 / (60 + 12), rel=0.2)
    assert "shrinks by" in told(made)["lip"]


def test_a_lip_along_no_patch(job):
    lip = {"edge": [[-300, 300], [300, 300]], "width": 15}
    made = edge_job(job, lip)
    assert estimate(made).patches[0].lips == ()
    assert "lies along no patch" in told(made)["lip"]


@pytest.mark.parametrize(
    ("patch", "field", "word"),
    [
        ({"lips": [{"edge": [[0, 0], [9, 0]], "width": 4, "radius": 5}]}, "patch.lips[0].width", "6"),
        ({"lips": [{"edge": [[0, 0], [9, 0]], "width": 9, "radius": 0.1}]}, "patch.lips[0].radius", "0.2"),
        ({"lips": [{"edge": [[0, 0], [9, 0]], "width": 9}], "folds": [{"line": [[0, 0], [9, 9]], "angle": 90}]}, "patch.lips", "panel.profile"),
        ({"joggle": {}}, "patch.joggle", "only a lap"),
        ({"joint": "lap", "joggle": {"run": 1, "radius": 3}}, "patch.joggle.run", "at least"),
    ],
)  # fmt: skip
def test_faults_of_what_is_formed(job, patch, field, word):
    with pytest.raises(JobRefused) as refused:
        job(patch=patch)
    assert any(f.field == field and word in str(f) for f in refused.value.faults)


FAR = [[5000, 0], [5100, 0]]
SCRIBBLE = [[0, 0], [100, 100], [100, 0], [0, 100]]
WITHIN = [[-100, 30], [100, 30]]


@pytest.mark.parametrize(
    ("panel", "lips", "field", "word"),
    [
        ({"stiff": [{"line": FAR}]}, [], "panel.stiff[0].line", "4700 mm outside the panel"),
        ({"swages": [{"line": FAR, "width": 10, "depth": 3}]}, [], "panel.swages[0].line", "4700 mm"),
        ({"stiff": [{"line": SCRIBBLE}]}, [], "panel.stiff[0].line", "crosses itself"),
        ({"swages": [{"line": SCRIBBLE, "width": 9, "depth": 2}]}, [], "panel.swages[0].line", "crosses"),
        ({}, [{"edge": FAR, "width": 9}], "patch.lips[0].edge", "4700 mm off"),
        ({}, [{"edge": WITHIN, "width": 9}], "patch.lips[0].edge", "30 mm off"),
        ({}, [{"edge": [[-9, 0], [99, 0]], "width": 9}, {"edge": [[0, 0], [50, 0]], "width": 9}],
         "patch.lips[1].edge", "lips[0]"),
    ],
)  # fmt: skip
def test_lines_that_would_be_left_out_are_refused(job, panel, lips, field, word):
    outline = {"outline": [[-300, 0], [300, 0], [300, 300], [-300, 300]]}
    with pytest.raises(JobRefused) as refused:
        job(panel=outline | panel, rust=square(-50, 10, 50, 40), patch={"lips": lips})
    assert [fault.field for fault in refused.value.faults] == [field]
    assert word in str(refused.value)


def test_lips_that_meet_in_a_corner(job):
    """Along two sides of one corner each has its own edge."""
    corner = [
        {"edge": [[-50, 0], [300, 0]], "width": 9},
        {"edge": [[300, 0], [300, 99]], "width": 9},
    ]
    assert len(edge_job(job, corner[0], lips=corner).patch.lips) == 2


def test_joggle_on_the_panel_and_on_the_patch(job):
    """Set back by the sheet on top: the patch's on the panel, the panel's on the patch."""
    sheet = {"thickness": 1.0, "beneath": 1.5}
    panel = job(sheet=sheet, patch={"joint": "lap", "joggle": {"run": 8, "radius": 2}})
    plain = estimate(job(sheet=sheet, patch={"joint": "lap"})).patches[0].blank
    assert estimate(panel).patches[0].blank.equals(plain)
    step = joggle(1.0, 8, 2, 1.5)
    assert f"two bends of {step.angle_deg:.0f}°" in told(panel)["joggle"]
    assert "sound and reachable" in told(panel)["joggle"]
    patch = job(
        sheet=sheet, patch={"joint": "lap", "joggle": {"on": "patch", "run": 8, "radius": 2}}
    )
    grown = estimate(patch).patches[0].blank
    step = joggle(1.5, 8, 2, 1.0)
    assert grown.bounds[2] - plain.bounds[2] == pytest.approx(step.taken_mm, abs=1e-6)
    assert f"two bends of {step.angle_deg:.0f}°" in told(patch)["joggle"]


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ([[50, -200], [50, 200]], ["takes up", "runs through the seam"]),
        ([[50, 20], [50, 75]], ["takes up", "ends within"]),
        ([[50, 25], [50, 35]], ["takes up"]),
        ([[290, -200], [290, 200]], []),
    ],
)
def test_swages(job, line, words):
    """Rust 100 x 60 and a margin of 25: the patch reaches y from -25 to 85."""
    swage = {"line": line, "width": 12, "depth": 3}
    text = told(job(panel={"outline": ROOM, "swages": [swage]})).get("swage", "")
    assert bool(text) is bool(words)
    for word in ("takes up", "runs through the seam", "ends within"):
        assert (word in text) is (word in words)


def test_a_swage_deeper_than_wide(job):
    with pytest.raises(JobRefused, match="at most its width"):
        job(panel={"outline": ROOM, "swages": [{"line": [[0, 0], [9, 9]], "width": 5, "depth": 6}]})


def crowned(job, *crowns, **panel):
    return job(panel={"outline": ROOM, "crowns": list(crowns)} | panel)


def test_curved_one_way_is_rolled(job):
    made = crowned(job, {"run": "x", "over": 400, "rise": 20})
    assert "along the surface" in told(made)["crown"]


def test_curved_two_ways_is_refused_with_what_to_do(job):
    """R 1002 and 502: the half of 108 mm gives 54^2 / (8 R1 R2) = 0.07 %; five times tighter, no."""
    mild = {"run": "x", "over": 400, "rise": 20}, {"run": "y", "over": 400, "rise": 41}
    estimate(crowned(job, *mild))
    tight = {"run": "x", "over": 200, "rise": 30}, {"run": "y", "over": 200, "rise": 30}
    with pytest.raises(JobRefused) as refused:
        estimate(crowned(job, *tight))
    (fault,) = refused.value.faults
    assert fault.field == "panel.crowns" and "two ways" in fault.limit
    assert "smaller pieces" in fault.remedy and "paper" in fault.remedy
    half, radius = 54.5, (100**2 + 30**2) / 60
    assert f"{half**2 / (8 * radius**2):.1%}" in fault.value


def test_a_bent_panel_asks_for_a_straight_edge(job):
    profile = {"points": [[-150, 0], [50, 0], [50, 150]], "start": -150}
    assert "straight edge" in told(job(panel={"profile": profile}))["straight along its bends"]
    assert "straight along its bends" not in told(job())


def test_two_measures_of_one_way_are_no_second_way(job):
    one = {"run": "x", "over": 200, "rise": 30}, {"run": "10 deg", "over": 200, "rise": 28}
    estimate(crowned(job, *one))


@pytest.mark.parametrize(("rise", "refused"), [(2, False), (80, True)])
def test_a_folded_section_that_is_bowed_too(job, rise, refused):
    """Bends along y, bowed along y: over 400 mm by 2 mm (R 10 m) it fits; by 80 it is compound."""
    profile = {"points": [[-150, 0], [50, 0], [50, 150]], "start": -150}
    crown = {"run": "y", "over": 400, "rise": rise}
    outline = [[-150, -300], [180, -300], [180, 300], [-150, 300]]
    made = crowned(job, crown, profile=profile, outline=outline)
    if refused:
        with pytest.raises(JobRefused, match="two ways"):
            estimate(made)
    else:
        assert estimate(made).patches


def test_a_crown_that_is_no_crown(job):
    with pytest.raises(JobRefused, match="at most half of over"):
        crowned(job, {"run": "x", "over": 100, "rise": 60})


def test_lips_in_summary_and_json(job):
    from sheetkit.views.json_objects import estimate_object
    from sheetkit.views.summary import summary

    result = estimate(edge_job(job, {"edge": [[-300, 0], [300, 0]], "width": 15}))
    rows = {row[0]: row[1] for row in summary(result)}
    assert rows["Patch 1: lip 1, flat"] == "13.08 mm wide"
    (lip,) = estimate_object(result)["patches"][0]["lips"]
    assert lip["developed_mm"] == pytest.approx(13.081, abs=1e-3)


def test_the_seam_knows_no_lip(job):
    lip = {"edge": [[-300, 0], [300, 0]], "width": 15}
    with_lip, without = estimate(edge_job(job, lip)), estimate(edge_job(job, lip, lips=[]))
    assert with_lip.values["seam_length_mm"] == without.values["seam_length_mm"]
    assert with_lip.values["blank_mass_g"] > without.values["blank_mass_g"]
    assert box(*with_lip.patches[0].blank.bounds).covers(without.patches[0].blank)
