"""The folded piece as it is seen: what hides what, what is drawn of it, and the chart."""

import json

import numpy as np
import pytest
import shapely

import sheetkit as sk
from sheetkit.geometry.measured import section
from sheetkit.views.folded_charts import folded_view, side_view
from sheetkit.views.folded_scene import folded_scene
from sheetkit.views.turning import back_to_front, turn_matrix

PROFILE = {"points": [[0, 0], [100, 0], [100, 100], [140, 120]], "radii": [4, 3], "run": "y"}
OUTLINE = [[0, 0], [600, 0], [600, 235], [0, 235]]
HOLE = [[480, 150], [520, 150], [520, 190], [480, 190]]
RUST = [[150, 60], [260, 50], [300, 130], [200, 160], [140, 120]]


@pytest.fixture(scope="module")
def bent():
    return sk.estimate(
        sk.Job.from_data(
            {
                "format": "sheetkit-job/1",
                "sheet": {"thickness": 0.9},
                "panel": {"profile": PROFILE, "outline": OUTLINE, "holes": [HOLE]},
                "rust": [{"ring": RUST}],
                "patch": {"margin": 25},
            }
        )
    )


@pytest.fixture(scope="module")
def scene(bent):
    return folded_scene(bent.job, bent.job.section, bent)


def area(ring):
    """Area of a plane ring in space, mm²."""
    return 0.5 * np.linalg.norm(np.cross(ring[:-1], ring[1:]).sum(axis=0))


def test_the_turn_is_a_turn():
    turn = turn_matrix(np.eye(3), 25, -40)
    assert turn @ turn.T == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(turn) == pytest.approx(1)
    # from above the upper side comes nearer, from the right the right side goes away
    assert turn_matrix(np.eye(3), 0, 30)[2] @ [0, 1, 0] > 0
    assert turn_matrix(np.eye(3), 30, 0)[2] @ [1, 0, 0] < 0


def hit(strip, ray_at, toward, run):
    """Return how near the viewer a ray meets a strip's plane within its edges; None if it misses."""
    start, end = strip
    across = end - start
    normal = np.cross(across, run)
    if abs(normal @ toward) < 1e-9:
        return None
    reach = (start - ray_at) @ normal / (toward @ normal)
    point = ray_at + reach * toward
    share = (point - start) @ across / (across @ across)
    return reach if 0 < share < 1 else None


def test_what_is_nearer_is_drawn_later_from_any_side():
    """Rays shot through random folded sections: along each the strips come from far to near."""
    draws = np.random.default_rng(5)
    met = 0
    for _ in range(40):
        turns = draws.uniform(20, 110, draws.integers(1, 5)) * draws.choice([-1, 1])
        headings = np.radians(np.concatenate([[0], np.cumsum(turns)]))
        steps = draws.uniform(30, 80, len(headings))[:, None]
        points = np.vstack(
            [
                [0, 0],
                np.cumsum(steps * np.column_stack([np.cos(headings), np.sin(headings)]), axis=0),
            ]
        )
        made = section(points, [2.0], 1.0, way_deg=90)
        if made.collides:
            continue
        levels = np.unique([made.start_mm, *made.levels(9.0), made.end_mm])
        at = made.folded(np.column_stack([np.zeros_like(levels), levels]), "face")
        strips = np.stack([at[:-1], at[1:]], axis=1)
        run = np.array([-1.0, 0, 0])
        turn = turn_matrix(np.eye(3), *draws.uniform((-180, -90), (180, 90)))
        order = back_to_front(strips, run, turn)
        assert sorted(order) == list(range(len(strips)))
        place = {n: k for k, n in enumerate(order)}
        for strip in strips:
            found = [(hit(s, strip.mean(axis=0), turn[2], run), n) for n, s in enumerate(strips)]
            near = sorted((reach, n) for reach, n in found if reach is not None)
            for (low, i), (high, j) in zip(near, near[1:], strict=False):
                if high - low > 1e-4:
                    assert place[i] < place[j]
                    met += 1
    assert met > 200


def test_the_strips_are_the_whole_sheet_once(bent, scene):
    """Areas of what is drawn: outer rings less hollows; arcs drawn as chords lose a little."""

    def drawn(kind):
        return sum(
            area(part.rings[0]) - sum(area(ring) for ring in part.rings[1:])
            for strip in scene.strips for part in strip.parts if part.kind == kind and len(part.rings) == 1
        )  # fmt: skip

    patch = shapely.union_all([p.outline for p in bent.patches])
    assert drawn("patch") == pytest.approx(patch.area, rel=0.01)
    kinds = {kind for strip in scene.strips for kind, _ in strip.lines}
    assert kinds == {"rust", "seam", "bend"}
    seam = sum(
        np.linalg.norm(np.diff(points, axis=0), axis=1).sum()
        for strip in scene.strips for kind, points in strip.lines if kind == "seam"
    )  # fmt: skip
    assert seam == pytest.approx(bent.values["seam_length_mm"], rel=0.01)


def test_the_face_is_where_the_section_has_it(bent, scene):
    made = bent.job.section
    face, back = (
        made.folded(shapely.get_coordinates(bent.job.rust_shape), side, base=None)
        for side in ("face", "back")
    )
    for strip in scene.strips:
        assert np.linalg.norm(strip.normal) == pytest.approx(1)
    flats = [strip for strip in scene.strips if strip.middle is not None]
    assert len(flats) == 3
    outward = (face - back)[0] / np.linalg.norm((face - back)[0])
    assert max(float(strip.normal @ outward) for strip in flats) == pytest.approx(1, abs=1e-6)
    # bend 1 is toward the face: flats 1 and 2 look at one another, at right angles
    assert flats[0].normal @ flats[1].normal == pytest.approx(0, abs=1e-9)
    assert (flats[1].middle - flats[0].middle) @ flats[0].normal > 0


def test_without_a_panel_the_sheet_is_as_long_as_the_section(bent):
    data = bent.job.data
    del data["panel"]["outline"], data["panel"]["holes"]
    job = sk.Job.from_data(data)
    drawn = folded_scene(job, job.section, sk.estimate(job))
    edges = np.array([strip.edges for strip in drawn.strips])
    whole = np.linalg.norm(edges[:, 1] - edges[:, 0], axis=1).sum()
    bulge = sum((bend.end_mm - bend.start_mm) for bend in job.section.bends)
    assert whole == pytest.approx(job.section.unrolled_length_mm, abs=0.3 * bulge)


def test_told_is_plain_json(scene):
    told = json.loads(json.dumps(scene.told(), allow_nan=False))
    assert told["bends"][0].startswith("bend 1, 90° from flat, UP, toward the face")
    assert told["bends"][1].startswith("bend 2, 63° from flat, DOWN, toward the back")
    assert set(told["fronts"]) == {"left", "right", "top", "bottom"}
    assert told["end_on"] == [90, 0], "the bends run across the drawing"


def test_the_chart_shows_it_and_says_so_of_a_flat_panel(bent):
    ax = folded_view(bent)
    texts = [text.get_text() for text in ax.texts]
    assert {"bend 1", "bend 2"} <= set(texts) and texts.count("FACE") >= 1
    behind = [text.get_text() for text in folded_view(bent, yaw_deg=180, pitch_deg=0).texts]
    assert "BACK" in behind and "FACE" not in behind
    flat = folded_view(sk.estimate(sk.load("data/trunk_floor.json")))
    assert flat.texts[0].get_text() == "this panel is flat"


def test_the_side_view_has_the_sections_own_shape_and_words(bent):
    ax = side_view(bent)
    sheet = ax.lines[0].get_xydata()
    ends = bent.job.section.in_section([bent.job.section.start_mm, bent.job.section.end_mm])
    assert sheet[[0, -1]] == pytest.approx(ends)
    said = [text.get_text() for text in ax.texts]
    assert "bend 1: 90° UP" in said and "bend 2: 63° DOWN" in said
    lengths = [float(text.split(", ")[1].split()[0]) for text in said if text.startswith("flat")]
    assert sum(lengths) == pytest.approx(bent.job.section.unrolled_length_mm, abs=0.2)
    inches = side_view(bent, display="in").lines[0].get_xydata()
    assert inches == pytest.approx(sheet / 25.4)
    assert (
        side_view(sk.estimate(sk.load("data/trunk_floor.json"))).texts[0].get_text()
        == "this panel is flat"
    )


def test_a_lip_is_told_where_it_is_not_drawn():
    job = sk.load("data/sill_end.json")
    scene = folded_scene(job, job.section, sk.estimate(job))
    assert scene.bends[-1] == "bend 3, 90°, the lip on the edge: not drawn here"
