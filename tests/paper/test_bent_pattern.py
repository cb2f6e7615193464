"""The printed pattern of a bent panel, cut and bent here by its lines and words alone.

What comes out is laid beside the solid that the job's cross-section means, worked out apart
from the job's own corners: each corner of the face's line rounded, half the sheet deeper.
"""

import re

import ezdxf
import numpy as np
import pytest
import shapely
import shapely.affinity
from reading import joined, pages, strokes, words

import sheetkit as sk
from sheetkit.job.mirror import mirrored
from sheetkit.paper import template
from sheetkit.paper.cutting_files import cutting_files
from sheetkit.paper.page import pdf

SHEET = 1.2
LEGS = {
    "L": ([60, 45], [90], [2.0]),
    "Z": ([50, 40, 35], [90, -75], [2.0, 3.5]),
    "channel": ([45, 70, 45], [80, 90], [2.5, 1.5]),
    "hat": ([25, 40, 60, 40, 25], [-70, 90, 90, -70], [2.0, 2.0, 3.0, 2.0]),
    "sill with a rolled edge": ([80, 60, 40], [-90, 55], [3.0, 30.0]),
}
"""Shape -> legs between the corners of the face, turns to the left, inside radii, mm and degrees."""
K_FACTOR = 0.38
OUTLINE, BEND, TANGENT = 0.5, 0.35, 0.12


def corners(shape):
    legs, turns, _ = LEGS[shape]
    headings = np.radians(np.concatenate([[0], np.cumsum(turns)]))
    steps = np.array(legs)[:, None] * np.column_stack([np.cos(headings), np.sin(headings)])
    return np.vstack([[0, 0], np.cumsum(steps, axis=0)])


def intended(shape):
    """The middle of the sheet in the side view, from the corners of its face: a polyline, mm.

    The face lies on the left of the way; the back, and the middle, on its right.
    """
    points, (_, turns, radii) = corners(shape), LEGS[shape]
    way = np.diff(points, axis=0)
    way /= np.hypot(*way.T)[:, None]
    right = np.column_stack([way[:, 1], -way[:, 0]]) * SHEET / 2
    line = [points[0] + right[0]]
    for n, (turn, radius) in enumerate(zip(turns, radii, strict=True)):
        a, b = points[n + 1] + right[n], points[n + 1] + right[n + 1]
        share = np.linalg.solve(np.column_stack([way[n], -way[n + 1]]), b - a)
        corner, middle = a + share[0] * way[n], radius + SHEET / 2
        tangent = middle * np.tan(np.radians(abs(turn)) / 2)
        start, sense = corner - tangent * way[n], np.sign(turn)
        center = start + sense * middle * np.array([-way[n][1], way[n][0]])
        for angle in np.radians(np.linspace(0, turn, 200)):
            cosine, sine = np.cos(angle), np.sin(angle)
            line.append(center + np.array([[cosine, -sine], [sine, cosine]]) @ (start - center))
    return np.vstack([line, points[-1] + right[-1]])


def bent_job(shape, run, thickness=SHEET):
    """A rust-out over all of the profile, so that the patch goes from end to end."""
    profile = {"points": corners(shape).tolist(), "radii": LEGS[shape][2], "measured": "face",
               "run": run, "k": K_FACTOR}  # fmt: skip
    whole = sk.Job.from_data(
        {"format": "sheetkit-job/1", "sheet": {"thickness": thickness}, "panel": {"profile": profile},
         "rust": [{"ring": [[1, 1], [9, 1], [9, 9]]}]}
    ).section.unrolled_length_mm  # fmt: skip
    size = (whole, 300) if run == "x" else (300, whole)
    low = [2.0, 110.0] if run == "x" else [110.0, 2.0]
    high = [whole - 2, 170.0] if run == "x" else [170.0, whole - 2]
    ring = [low, [high[0], low[1]], [high[0] - 3, high[1] - 4], [low[0], high[1]]]
    return sk.Job.from_data(
        {"format": "sheetkit-job/1", "sheet": {"thickness": thickness},
         "panel": {"profile": profile, "outline": [[0, 0], [size[0], 0], [*size], [0, size[1]]]},
         "rust": [{"ring": ring}], "patch": {"margin": 6, "corner_radius": 10}}
    )  # fmt: skip


def printed(result, folder, **how):
    path = folder / "pattern.pdf"
    path.write_bytes(pdf(template.template_pages(result, template.Printing(**how)), "test"))
    return path


def read(path):
    """What stands on paper: the outline, each bend's line and width, number, sense, angle, radius."""
    count = len(pages(path))
    solid, gap = joined(path, list(range(1, count + 1)), OUTLINE)
    assert gap < 0.05
    merged = shapely.polygonize([shapely.unary_union(shapely.set_precision(
        shapely.MultiLineString([one for one in solid if len(one.coords) > 2 or one.length > 16]), 1e-4))])  # fmt: skip
    outline = max(shapely.get_parts(merged), key=lambda one: one.area)
    dashed = [
        (stroke.width, shapely.LineString(stroke.points))
        for page in pages(path) for stroke in strokes(page)
        if stroke.dashed and len(stroke.points) > 1
    ] if count == 1 else pytest.fail("made to fit one sheet")  # fmt: skip

    def on_piece(width):
        lines = [line for w, line in dashed if abs(w - width) < 0.01 and line.length > 20]
        return [line for line in lines if outline.buffer(0.1).covers(line)]

    text = " ".join(" ".join(page.extract_text() for page in pages(path)).split())
    spoken = {
        int(n): (word, float(angle), float(radius))
        for n, word, angle, radius in re.findall(
            r"Bend (\d+): (UP|DOWN) (\d+)° from flat .*?inside radius ([\d.]+) mm", text
        )
    }
    found = []
    height = float(pages(path)[0].mediabox.height) * 25.4 / 72
    listed = words(path, 1)
    for line in on_piece(BEND):
        near = []
        for n, (word, _) in enumerate(listed):
            if word == "BEND":  # with its number, UP or DOWN and angle
                said = np.array([box for _, box in listed[n : n + 4]])
                left, top = said[:, :2].min(axis=0)
                right, bottom = said[:, 2:].max(axis=0)
                place = shapely.box(left, height - bottom, right, height - top)
                near.append((line.distance(place), listed[n + 1][0]))
        number = int(min(near)[1].rstrip(":"))
        sides = sorted(line.distance(other) for other in on_piece(TANGENT))
        found.append((number, line, sides[0] + sides[1], *spoken[number]))
    order = re.search(r"Bend in this order: ([\d, ]+);", text)
    told = [int(n) for n in order[1].split(",")] if order else [1]
    assert sorted(told) == sorted(number for number, *_ in found)
    return outline, sorted(found)


def bent(outline, bends):
    """Bend the paper by what is printed: (along, height) of the sheet's middle, and across, mm.

    A bend line with its two dashed edges is wound round its inside radius, UP toward the reader.
    """
    first = shapely.get_coordinates(bends[0][1])
    along_bend = (first[-1] - first[0]) / np.hypot(*(first[-1] - first[0]))
    way = np.array([along_bend[1], -along_bend[0]])
    at = {number: float(np.mean(shapely.get_coordinates(line) @ way)) for number, line, *_ in bends}
    ring = shapely.get_coordinates(outline.segmentize(0.5))
    reach = ring @ way
    # of one bend the longer leg is taken to come first, as in `LEGS`
    back = at[1] < (reach.min() + reach.max()) / 2 if len(bends) == 1 else at[1] > at[len(bends)]
    if back:
        way, at = -way, {number: -place for number, place in at.items()}
    places = ring @ way
    out, heading, here, last = np.empty((len(ring), 2)), 0.0, np.zeros(2), places.min()
    left = np.ones(len(ring), bool)
    for number, _, width, word, angle, radius in bends:
        start, end = at[number] - width / 2, at[number] + width / 2
        sense = 1 if word == "UP" else -1
        forth, up = (
            np.array([np.cos(heading), np.sin(heading)]),
            np.array([-np.sin(heading), np.cos(heading)]),
        )
        flat = left & (places <= start)
        out[flat] = here + (places[flat] - last)[:, None] * forth
        here = here + (start - last) * forth
        middle = radius + SHEET / 2
        center = here + sense * middle * up
        wound = left & (places > start) & (places <= end)
        turned = heading + sense * np.radians(angle) * (places[wound] - start) / width
        out[wound] = center - sense * middle * np.column_stack([-np.sin(turned), np.cos(turned)])
        heading += sense * np.radians(angle)
        here = center - sense * middle * np.array([-np.sin(heading), np.cos(heading)])
        left &= places > end
        last = end
    forth = np.array([np.cos(heading), np.sin(heading)])
    out[left] = here + (places[left] - last)[:, None] * forth
    return out, ring @ np.array([-way[1], way[0]]), way


@pytest.mark.parametrize("back_up", [False, True], ids=["face up", "mirrored"])
@pytest.mark.parametrize("run", ["x", "y"])
@pytest.mark.parametrize("shape", LEGS)
def test_paper_bent_by_its_words_is_the_solid_that_was_meant(shape, run, back_up, tmp_path):
    result = sk.estimate(bent_job(shape, run))
    outline, bends = read(printed(result, tmp_path, mirrored=back_up))
    assert len(bends) == len(LEGS[shape][1])
    view, _, _ = bent(outline, bends)
    if back_up:  # the back is up: turned over, it is the same piece
        view = view * [1, -1]
    meant = shapely.LineString(intended(shape))
    # the patch ends half a gap inside the panel's ends: its own first point is laid on the solid
    reach = result.patches[0].outline
    low = reach.bounds[0 if run == "x" else 1]
    view = view + meant.interpolate(low).coords[0]
    off = shapely.distance(shapely.points(view), meant)
    assert off.max() < 0.05
    far = np.abs(shapely.line_locate_point(meant, shapely.points(view))).max()
    assert far == pytest.approx(meant.length, abs=0.1), "it goes to the other end"


@pytest.mark.parametrize("run", ["x", "y"])
def test_a_fault_in_the_words_or_the_lines_is_seen(run, tmp_path):
    """The check above would not pass with UP for DOWN, an angle 2° off, or a line 0.3 mm off."""
    result = sk.estimate(bent_job("Z", run))
    outline, bends = read(printed(result, tmp_path))
    meant = shapely.LineString(intended("Z"))

    def off(changed):
        view, _, _ = bent(outline, changed)
        return shapely.distance(shapely.points(view + meant.coords[0]), meant).max()

    number, line, width, word, angle, radius = bends[1]
    other = "UP" if word == "DOWN" else "DOWN"
    assert off(bends) < 0.05
    assert off([bends[0], (number, line, width, other, angle, radius)]) > 5
    assert off([bends[0], (number, line, width, word, angle + 2, radius)]) > 0.5
    shifted = shapely.transform(line, lambda xy: xy + 0.3)  # its dashed edges stay about it
    assert off([bends[0], (number, shifted, width, word, angle, radius)]) > 0.05


@pytest.mark.parametrize("version", ["", "_r12"])
def test_the_cutting_file_says_each_bend_on_its_line(version, tmp_path):
    result = sk.estimate(bent_job("Z", "y"))
    path = tmp_path / "patch.dxf"
    path.write_bytes(cutting_files(result)[f"cutting/patch_1_of_1{version}.dxf"])
    space = ezdxf.readfile(path).modelspace()
    texts = {text.dxf.text: text.dxf.insert for text in space.query("TEXT[layer=='BENDNOTE']")}
    assert set(texts) == {"BEND 1 UP 90 DEG R2", "BEND 2 DOWN 75 DEG R3.5"}
    section, low = result.job.section, result.patches[0].outline.bounds[1]
    for bend, (_, at) in zip(section.bends, sorted(texts.items()), strict=True):
        assert at[1] == pytest.approx(bend.middle_mm - low, abs=1e-6)
    marks = [line for line in space if line.dxf.layer == "BEND"]
    assert len(marks) == 4, "two short marks a bend, which a table marks and doesn't cut through"


@pytest.fixture(scope="module")
def sill(data_folder):
    return sk.estimate(sk.load(data_folder / "sill_end.json"))


@pytest.mark.parametrize("back", [False, True])
def test_a_curved_lip_is_said_and_turned_first(sill, back, tmp_path):
    text = " ".join(page.extract_text() for page in pages(printed(sill, tmp_path, mirrored=back)))
    text = " ".join(text.split())
    way = "UP" if back else "DOWN"
    assert f"BEND 3: {way} 90°" in text, "counted on from the section's two bends"
    (lip,) = sill.patches[0].lips
    said = re.search(
        r"Lip at bend 3, first \(common practice\): (UP|DOWN) 90° from flat .*? inside radius "
        r"1.5 mm, 12.0 mm high outside; its free edge stretches ([\d.]+)%", text
    )  # fmt: skip
    assert said[1] == way and float(said[2]) == pytest.approx(100 * lip.stretch, abs=0.06)
    assert text.index("Lip at bend 3") < text.index(f"Bend 1: {way}")


def test_the_other_hand_is_told_on_every_page_and_bends_as_this_one(sill, tmp_path):
    left = sk.Job.from_data(sill.job.data | {"hand": "left"})
    pair = (sk.estimate(left), sk.estimate(mirrored(left)))
    for result, side in zip(pair, ("LEFT", "RIGHT"), strict=True):
        found = pages(printed(result, tmp_path))
        first = found[0].extract_text()
        assert f"FACE UP · {side} SIDE" in first
        assert "BEND 1: DOWN 90°" in first and "BEND 3: DOWN 90°" in first
        strokes_of = cutting_files(result)["cutting/patch_1_of_1.svg"].decode()
        assert strokes_of.count("<path") > 20
    here, there = (result.patches[0].blank for result in pair)
    assert shapely.affinity.scale(there, -1).area == pytest.approx(here.area)
    assert "SIDE" not in pages(printed(sill, tmp_path))[0].extract_text()
    back = pages(printed(pair[0], tmp_path, mirrored=True))
    assert "mirror the job itself" in " ".join(" ".join(p.extract_text() for p in back).split())


def test_a_curved_lips_marks_lie_on_its_bend_line(sill, tmp_path):
    path = tmp_path / "sill.dxf"
    path.write_bytes(cutting_files(sill)["cutting/patch_1_of_1.dxf"])
    space = ezdxf.readfile(path).modelspace()
    patch = sill.patches[0]
    left, low = patch.blank.bounds[:2]
    lines = shapely.union_all([bend.line for bend in patch.bends])
    for mark in (one for one in space if one.dxf.layer == "BEND"):
        points = np.array([(x, y) for x, y, *_ in mark.get_points()]) + (left, low)
        assert shapely.distance(shapely.points(points), lines).max() < 1e-3, (
            "arcs are fitted: their bounds move a hair"
        )
        assert 3.9 < shapely.LineString(points).length < 4.1
    texts = {text.dxf.text for text in space.query("TEXT[layer=='BENDNOTE']")}
    assert texts == {"BEND 1 DOWN 90 DEG R4", "BEND 3 DOWN 90 DEG R1.5"}


def test_legs_to_check_with_a_square_are_the_outside_lengths(tmp_path):
    """A channel measured outside to outside gives back what was measured."""
    profile = {"points": [[0, 0], [40, 0], [40, 60], [0, 60]], "radii": [2], "run": "y"}
    job = bent_job("L", "y").data
    job["panel"]["profile"] = profile
    del job["panel"]["outline"]
    job["rust"] = [{"ring": [[50, 10], [90, 10], [90, 125], [50, 125]]}]
    job["patch"] = {"margin": 0, "corner_radius": 0, "joint": "butt", "gap": 0}
    result = sk.estimate(sk.Job.from_data(job))
    text = " ".join(page.extract_text() for page in pages(printed(result, tmp_path)))
    found = re.search(
        r"outside to outside at the widest: ([\d.]+) mm, ([\d.]+) mm, ([\d.]+) mm",
        " ".join(text.split()),
    )
    section = result.job.section
    assert [float(one) for one in found.groups()] == pytest.approx(
        [40 - 10, 60, 125 - (section.end_mm - 40)], abs=0.06
    )
