"""The 1:1 pages, measured from outside: pypdf reads the paths, poppler renders them."""

import itertools

import numpy as np
import pytest
import shapely
from reading import joined, marks, overlapping, pages, picture, strokes, words

import sheetkit as sk
from sheetkit.paper import template
from sheetkit.paper.page import pdf
from sheetkit.paper.pattern import patterns

MM = 300 / 25.4
OUTLINE_MM = 0.5  # the legend's boldest line; its sample is no ring


def job(ring, **parts):
    return sk.Job.from_data(
        {"format": "sheetkit-job/1", "sheet": {"thickness": 0.9}, "rust": [{"ring": ring}]} | parts
    )


def box(width, height):
    return [[0, 0], [width, 0], [width, height], [0, height]]


def printed(result, path, **options):
    first = options.pop("most", None)
    made = itertools.islice(template.template_pages(result, template.Printing(**options)), first)
    path.write_bytes(pdf(made, "test"))
    return path


@pytest.fixture(scope="module")
def small():
    return sk.estimate(job(box(6, 6), patch={"margin": 17, "corner_radius": 10}))


@pytest.fixture(scope="module")
def sill(tmp_path_factory):
    result = sk.estimate(job(box(1950, 60), title="Sill " * 60))
    return result, printed(result, tmp_path_factory.mktemp("sill") / "sill.pdf")


@pytest.fixture(scope="module")
def footwell(tmp_path_factory):
    result = sk.estimate(sk.load("data/footwell.json"))
    return result, printed(result, tmp_path_factory.mktemp("foot") / "foot.pdf", display="in")


def told(path):
    """All words of a file, in one line."""
    return " ".join(" ".join(page.extract_text() for page in pages(path)).split())


def rings(lines):
    """Return the polygons that lines enclose, the legend's straight sample left out."""
    kept = [line for line in lines if len(line.coords) > 2 or line.length > 16]
    return list(shapely.get_parts(shapely.polygonize([shapely.unary_union(
        shapely.set_precision(shapely.MultiLineString(kept), 1e-3))]))), kept  # fmt: skip


@pytest.mark.parametrize(("size", "width", "height"), [("a4", 210, 297), ("letter", 215.9, 279.4)])
def test_small_patch_takes_one_page_in_its_paper_size(small, tmp_path, size, width, height):
    assert small.patches[0].outline.bounds[2] - small.patches[0].outline.bounds[0] < 40
    path = printed(small, tmp_path / "small.pdf", paper=size)
    (page,) = pages(path)
    assert float(page.mediabox.width) * 25.4 / 72 == pytest.approx(width, abs=0.01)
    assert float(page.mediabox.height) * 25.4 / 72 == pytest.approx(height, abs=0.01)


def _squares(page):
    found = {}
    for stroke in strokes(page):
        size = np.ptp(stroke.points, axis=0)
        if len(stroke.points) in (5, 6) and size.min() > 99:
            found[round(float(size[0]), 1)] = (size, stroke.points.min(axis=0))
    return found


def test_check_square_measures_100_mm_and_4_in_on_every_page(footwell, small, tmp_path):
    _, path = footwell
    for page in [*pages(path), *pages(printed(small, tmp_path / "s.pdf", paper="letter"))]:
        found = _squares(page)
        assert found[100.0][0] == pytest.approx([100.0, 100.0], abs=0.1)
        assert found[101.6][0] == pytest.approx([101.6, 101.6], abs=0.1)


def longest_run(row):
    """Return how many pixels in a row are dark without a break, at most."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], row.astype(int), [0]])))
    return int((edges[1::2] - edges[::2]).max(initial=0))


def test_check_square_measures_100_mm_in_the_rendering(small, tmp_path):
    dark = 255.0 - picture(printed(small, tmp_path / "small.pdf"), 1)
    for upright in (False, True):
        lines = dark.T if upright else dark
        runs = np.array([longest_run(line > 40) for line in lines])
        at = np.flatnonzero(runs > 90 * MM)  # the squares' sides, nothing else on this page
        groups = np.split(at, np.flatnonzero(np.diff(at) > 3) + 1)
        weight = lines.sum(axis=1)
        places = [float(np.average(group, weights=weight[group])) / MM for group in groups]
        # the rulers' and frames' longest lines are no sides
        places = [
            place
            for place in places
            if any(abs(abs(place - o) - s) < 0.2 for o in places for s in (100, 101.6))
        ]
        assert len(places) == 3
        start = places[0] if upright else places[-1]  # left and bottom sides are shared
        gaps = sorted(abs(place - start) for place in places)[1:]
        assert gaps == pytest.approx([100.0, 101.6], abs=0.1)


@pytest.mark.parametrize("name", ["trunk_floor", "wheel_arch"])
def test_template_has_the_patches_perimeter_and_area(name, tmp_path):
    result = sk.estimate(sk.load(f"data/{name}.json"))
    path = printed(result, tmp_path / "t.pdf")
    number = 1
    for index, patch in enumerate(result.patches, 1):
        mine = []
        while (
            number <= len(pages(path))
            and f"PATCH {index}" in pages(path)[number - 1].extract_text()
        ):
            mine.append(number)
            number += 1
        lines, worst = joined(path, mine, OUTLINE_MM)
        assert worst < 0.05
        polygons, _ = rings(lines)
        whole = shapely.union_all([shapely.Polygon(p.exterior) for p in polygons])
        assert whole.geom_type == "Polygon"
        assert whole.area == pytest.approx(patch.outline.area, rel=1e-3)
        assert whole.length == pytest.approx(patch.outline.length, rel=1e-3)
    assert number == len(pages(path)) + 1


def test_two_metre_sill_joins_without_a_gap(sill):
    result, path = sill
    count = len(pages(path))
    assert 8 <= count <= 12
    lines, worst = joined(path, list(range(1, count + 1)), OUTLINE_MM)
    assert worst < 0.05
    polygons, kept = rings(lines)
    whole = shapely.union_all(polygons)
    assert whole.geom_type == "Polygon"
    outline = result.patches[0].outline
    assert whole.bounds[2] - whole.bounds[0] == pytest.approx(1998.2, abs=1)
    assert whole.area == pytest.approx(outline.area, rel=1e-3)
    assert whole.length == pytest.approx(outline.length, rel=1e-3)
    # neighbours overlap: together they draw more than the outline
    assert sum(line.length for line in kept) > outline.length + 2 * (count - 1) * 10


def test_marks_stand_on_two_pages_each(sill):
    _, path = sill
    count = len(pages(path))
    seen = [name for number in range(1, count + 1) for name in marks(path, number)]
    assert len(seen) == 2 * len(set(seen)) == 4 * (count - 1)


def test_mirrored_copy_is_a_mirror(footwell, tmp_path):
    result, path = footwell
    mirror = printed(result, tmp_path / "m.pdf", mirrored=True)
    (face, back) = (rings(joined(p, [1, 2, 3, 4], OUTLINE_MM)[0])[0] for p in (path, mirror))
    face, back = (max(found, key=lambda p: p.area) for found in (face, back))
    holes = []
    for p in (path, mirror):
        lines, _ = joined(p, [1, 2, 3, 4], 0.2)
        circles = [line for line in lines if len(line.coords) > 20]
        holes.append(shapely.MultiPoint([line.centroid for line in circles]))
    turned = shapely.transform(face, lambda xy: xy * (-1, 1))
    moved = shapely.transform(
        turned, lambda xy: xy + np.subtract(back.bounds[:2], turned.bounds[:2])
    )
    assert moved.symmetric_difference(back).area < 1e-3 * face.area
    mirrored_holes = shapely.transform(holes[0], lambda xy: xy * (-1, 1))
    shift = np.subtract(back.bounds[:2], turned.bounds[:2])
    mirrored_holes = shapely.transform(mirrored_holes, lambda xy: xy + shift)
    assert shapely.hausdorff_distance(mirrored_holes, holes[1]) < 0.1
    # and not the same piece again: the bend lies as in the drawing, the piece isn't turned over
    assert "MIRRORED" in pages(mirror)[0].extract_text()
    assert "MIRRORED" not in pages(path)[0].extract_text()


def test_mirror_of_a_lopsided_patch_differs_from_it():
    result = sk.estimate(job([[0, 0], [90, 0], [0, 40]]))
    (piece,) = patterns(result)
    turned = piece.turned()
    assert not turned.outline.equals_exact(piece.outline, 1)
    moved = shapely.affinity.translate(
        turned.outline, *np.subtract(piece.outline.bounds[:2], turned.outline.bounds[:2])
    )
    assert moved.symmetric_difference(piece.outline).area > 0.05 * piece.outline.area
    assert turned.turned().outline.equals_exact(piece.outline, 1e-9)


def test_folded_patch_shows_bend_angle_and_all_plug_holes(footwell):
    result, path = footwell
    text = told(path)
    assert "BEND 1: UP 30°" in text and "inside radius 0.125 in" in text
    lines, _ = joined(path, [1, 2, 3, 4], 0.2)
    centres = {
        tuple(np.round(line.centroid.coords[0], 0)) for line in lines if len(line.coords) > 20
    }
    assert len(centres) == len(result.welds)
    holes = [line for line in lines if len(line.coords) > 20 and line.is_closed]
    width = np.ptp(np.asarray(holes[0].coords), axis=0)
    assert width == pytest.approx([result.values["hole_diameter_mm"]] * 2, abs=0.1)


def test_existing_hole_is_on_the_template(tmp_path):
    result = sk.estimate(
        job(
            box(60, 60),
            panel={"outline": [[-200, -200], [300, -200], [300, 300], [-200, 300]],
                   "holes": [[[70, 20], [80, 20], [80, 40], [70, 40]]]},
        )
    )  # fmt: skip
    path = printed(result, tmp_path / "h.pdf")
    polygons, _ = rings(joined(path, [1], OUTLINE_MM)[0])
    assert min(p.area for p in polygons) == pytest.approx(200, rel=1e-3)
    assert "10 mm × 20 mm" in pages(path)[0].extract_text()


def test_face_and_front_stand_on_every_page(footwell, tmp_path):
    result, path = footwell
    for page in pages(path):
        assert "FACE UP" in page.extract_text() and "FRONT" in page.extract_text()
    upright = sk.estimate(job(box(60, 60)))
    left, right = (
        told(printed(upright, tmp_path / f"{m}.pdf", front="left", mirrored=m))
        for m in (False, True)
    )
    assert "FRONT of the vehicle: at the left" in left and "FRONT ←" in left
    assert "FRONT of the vehicle: at the right" in right and "FRONT →" in right


@pytest.mark.parametrize("which", ["sill", "footwell"])
def test_nothing_overlaps_and_nothing_leaves_the_margins(which, request):
    _, path = request.getfixturevalue(which)
    for number in range(1, len(pages(path)) + 1):
        assert overlapping(path, number) == []
        assert len(words(path, number)) > 20
        clear(picture(path, number, 100), 100)


def clear(grey, dpi, margin_mm=9.5):
    edge = int(margin_mm / 25.4 * dpi)
    inside = grey.copy()
    inside[edge:-edge, edge:-edge] = 255
    assert inside.min() > 250, "something is printed outside the margins"
    assert grey.min() < 60


def test_line_styles_differ_without_colour(footwell):
    pens = [template.OUTLINE, template.CUT, template.BEND, template.RUST]
    assert len({(pen.width, pen.dashes) for pen in pens}) == len(pens)
    _, path = footwell
    colour = picture(path, 1, 60, grey=False)
    assert np.ptp(colour.astype(int), axis=2).max() < 8  # grey all over
