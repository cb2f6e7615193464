"""The files for whoever cuts, read back by ezdxf and as XML."""

import io
import re
from xml.etree import ElementTree

import ezdxf
import numpy as np
import pytest
import shapely
from ezdxf.path import make_path

import sheetkit as sk
from sheetkit.geometry.fold import Fold, developed
from sheetkit.paper import engraving, line_files
from sheetkit.paper.cutting_files import NOTES, cutting_files
from sheetkit.workshop.shopping import stock_for

NAMES = ("trunk_floor", "wheel_arch", "footwell")
SPACE = "{http://www.w3.org/2000/svg}"
LABEL = "{http://www.inkscape.org/namespaces/inkscape}label"


def job(ring, **parts):
    return sk.Job.from_data(
        {"format": "sheetkit-job/1", "sheet": {"thickness": 0.9}, "rust": [{"ring": ring}]} | parts
    )


SQUARE = [[0, 0], [80, 0], [80, 60], [0, 60]]


@pytest.fixture(scope="module")
def made():
    results = {name: sk.estimate(sk.load(f"data/{name}.json")) for name in NAMES}
    return {name: (result, cutting_files(result)) for name, result in results.items()}


def read(text):
    return ezdxf.read(io.StringIO(text.decode()))


def entities(drawing, layer):
    return [e for e in drawing.modelspace() if e.dxf.layer == layer]


def polygon(entity):
    return shapely.Polygon([(p.x, p.y) for p in make_path(entity).flattening(0.001)])


def at_the_origin(shape):
    return shapely.affinity.translate(shape, *(-np.array(shape.bounds[:2])))


def alike(first, second, tolerance=0.021):
    rings = [shapely.segmentize(each.exterior, 0.2) for each in (first, second)]
    return shapely.hausdorff_distance(*rings) < tolerance


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("ending", ["", "_r12"])
def test_each_blank_is_one_closed_line_with_arcs_at_the_origin(name, ending, made):
    result, files = made[name]
    count = len(result.patches)
    for number, patch in enumerate(result.patches, 1):
        drawing = read(files[f"cutting/patch_{number}_of_{count}{ending}.dxf"])
        assert not drawing.audit().errors
        (outline,) = entities(drawing, "CUT")
        assert outline.is_closed if ending else outline.closed
        rows = np.array(
            [(v.dxf.location.x, v.dxf.location.y, v.dxf.bulge) for v in outline.vertices]
            if ending
            else outline.get_points("xyb")
        )
        sides = np.hypot(*np.diff(np.vstack([rows, rows[:1]])[:, :2], axis=0).T)
        assert sides.min() >= 0.05
        assert len(rows) <= 24 and (rows[:, 2] != 0).sum() >= 4
        assert alike(polygon(outline), at_the_origin(patch.blank))
        low, high = drawing.header["$EXTMIN"], drawing.header["$EXTMAX"]
        assert low[:2] == pytest.approx((0, 0), abs=1e-6)
        left, bottom, right, top = patch.blank.bounds
        assert high[:2] == pytest.approx((right - left, top - bottom), abs=0.03)
        if not ending:
            assert drawing.header["$INSUNITS"] == 4  # mm


@pytest.mark.parametrize("name", NAMES)
def test_panel_cut_keeps_the_cuts_as_they_lie(name, made):
    result, files = made[name]
    drawing = read(files["cutting/panel_cut.dxf"])
    cuts = [polygon(e) for e in entities(drawing, "CUT")]
    assert len(cuts) == len(result.patches)
    whole = shapely.MultiPolygon([patch.cut_line for patch in result.patches])
    for cut, patch in zip(cuts, result.patches, strict=True):
        moved = shapely.affinity.translate(patch.cut_line, *(-np.array(whole.bounds[:2])))
        assert alike(cut, moved)
    assert {e.dxf.layer for e in drawing.modelspace()} == {"CUT"}


def svg_polygons(text, layer):
    """The closed paths of a layer, arcs traced by the standard's own end-point rule."""
    root = ElementTree.fromstring(text)
    group = root.find(f"{SPACE}g[@id='{layer}']")
    found = []
    for path in [] if group is None else group.findall(f"{SPACE}path"):
        steps = re.findall(r"([MLAZ])([^MLAZ]*)", path.get("d"))
        points = []
        for letter, numbers in steps:
            values = [float(v) for v in numbers.split()]
            if letter in "ML":
                points.append(complex(*values))
            elif letter == "A":
                radius, _, _, large, sweep, x, y = values
                start, end = points[-1], complex(x, y)
                half = (end - start) / 2
                rise = np.sqrt(max(radius**2 - abs(half) ** 2, 0)) * 1j * half / abs(half)
                centre = start + half + (rise if large != sweep else -rise)
                first, last = np.angle(start - centre), np.angle(end - centre)
                turn = (last - first) % (2 * np.pi) if sweep else -((first - last) % (2 * np.pi))
                points += list(
                    centre + radius * np.exp(1j * (first + turn * np.linspace(0.01, 1, 100)))
                )
        if steps[-1][0] == "Z":
            found.append(shapely.Polygon([(p.real, -p.imag) for p in points]))
    return root, found


@pytest.mark.parametrize("name", NAMES)
def test_svg_holds_the_same_in_true_size_on_named_layers(name, made):
    result, files = made[name]
    count = len(result.patches)
    for number, patch in enumerate(result.patches, 1):
        root, outlines = svg_polygons(files[f"cutting/patch_{number}_of_{count}.svg"], "CUT")
        _, _, width, height = map(float, root.get("viewBox").split())
        assert root.get("width") == f"{width:.4f}mm" and root.get("height") == f"{height:.4f}mm"
        assert len(outlines) == 1 and alike(outlines[0], at_the_origin(patch.blank))
        left, bottom, right, top = patch.blank.bounds
        assert (width, height) == pytest.approx((right - left + 2, top - bottom + 2), abs=0.03)
        groups = root.findall(f"{SPACE}g")
        assert [g.get(LABEL) for g in groups] == [g.get("id") for g in groups]
        assert len({g.get("stroke") for g in groups}) == len(groups) >= 2
        assert b"dasharray" not in files[f"cutting/patch_{number}_of_{count}.svg"]


def test_plug_holes_are_circles_on_a_layer_of_their_own(made):
    result, files = made["footwell"]
    drawing = read(files["cutting/patch_1_of_1.dxf"])
    circles = entities(drawing, "DRILL")
    assert len(circles) == len(result.welds)
    assert {round(2 * c.dxf.radius, 6) for c in circles} == {
        round(result.values["hole_diameter_mm"], 6)
    }
    outline = polygon(entities(drawing, "CUT")[0])
    for circle in circles:
        at = shapely.Point(circle.dxf.center.x, circle.dxf.center.y)
        assert outline.contains(at) and outline.exterior.distance(at) > 5


def test_a_bend_is_marked_at_its_ends_and_never_across():
    fold = {"line": [[-50, 30], [150, 30]], "angle": 90, "radius": 1, "toward": "back"}
    result = sk.estimate(job(SQUARE, patch={"shape": "box", "folds": [fold]}))
    drawing = read(cutting_files(result)["cutting/patch_1_of_1.dxf"])
    marks = [np.array(e.get_points("xy")) for e in entities(drawing, "BEND")]
    blank, (bend,) = developed(
        result.patches[0].outline, [Fold(((-50, 30), (150, 30)), 90, 1.0)], 0.9
    )
    corner = np.array(blank.bounds[:2])
    ends = np.asarray(bend.line.coords)[[0, -1]] - corner
    assert len(marks) == 2
    assert sorted(marks[n][0][0] for n in (0, 1)) == pytest.approx(sorted(ends[:, 0]), abs=0.03)
    for mark in marks:
        assert mark[:, 1] == pytest.approx([ends[0, 1]] * 2, abs=1e-6)
        assert 2 < abs(mark[1, 0] - mark[0, 0]) < 6


@pytest.mark.parametrize(
    ("toward", "words"), [("face", "UP"), ("back", "DOWN"), (None, "UP OR DOWN")]
)
def test_which_way_a_bend_goes_is_told_and_engraved(toward, words):
    fold = {"line": [[-50, 30], [150, 30]], "angle": 45, "toward": toward}
    result = sk.estimate(job(SQUARE, patch={"folds": [fold]}))
    files = cutting_files(result)
    told = files[NOTES].decode()
    assert f"45 degrees from flat, {words}, inside radius 1.00 mm" in told
    assert ("Ask before bending" in told) == (toward is None)
    strokes = len(entities(read(files["cutting/patch_1_of_1.dxf"]), "ENGRAVE"))
    letters = "PATCH1FACEUP45" + words.replace(" ", "")
    assert strokes == sum(len(engraving._STROKES[letter].split()) for letter in letters)


def test_words_lie_in_the_sheet_clear_of_holes_and_bends(made):
    _, files = made["footwell"]
    drawing = read(files["cutting/patch_1_of_1.dxf"])
    outline = polygon(entities(drawing, "CUT")[0])
    strokes = [shapely.LineString(e.get_points("xy")) for e in entities(drawing, "ENGRAVE")]
    holes = [
        shapely.Point(c.dxf.center.x, c.dxf.center.y).buffer(c.dxf.radius)
        for c in entities(drawing, "DRILL")
    ]
    assert len(strokes) > 20
    for stroke in strokes:
        assert outline.covers(stroke) and not any(stroke.intersects(hole) for hole in holes)


def test_a_small_piece_stays_without_words():
    result = sk.estimate(
        job([[0, 0], [6, 0], [6, 6], [0, 6]], patch={"margin": 3, "corner_radius": 3})
    )
    layers = {
        e.dxf.layer for e in read(cutting_files(result)["cutting/patch_1_of_1.dxf"]).modelspace()
    }
    assert layers == {"CUT"}


def test_existing_holes_stand_before_the_outline():
    hole = [[10, 5], [20, 5], [20, 15], [10, 15]]
    result = sk.estimate(
        job([[-5, -5], [5, -5], [5, 20], [-5, 20]],
            panel={"outline": [[-90, -90], [120, -90], [120, 110], [-90, 110]], "holes": [hole]})
    )  # fmt: skip
    first, second = (
        polygon(e) for e in entities(read(cutting_files(result)["cutting/patch_1_of_1.dxf"]), "CUT")
    )
    assert first.area == pytest.approx(100, rel=1e-3) and second.contains(first)
    _, both = svg_polygons(cutting_files(result)["cutting/patch_1_of_1.svg"], "CUT")
    assert [round(p.area) for p in both] == [100, round(second.area)]


@pytest.mark.parametrize("name", NAMES)
def test_the_stock_sheet_holds_the_same_blanks_face_up(name, made):
    result, files = made[name]
    placement = stock_for([result])
    assert len(placement.sheets) == 1
    drawing = read(files["cutting/stock_sheet_1_of_1.dxf"])
    (edge,) = (polygon(e) for e in entities(drawing, "STOCK"))
    assert edge.bounds == pytest.approx((0, 0, *placement.sheets[0]))
    blanks = [polygon(e) for e in entities(drawing, "CUT")]
    assert len(blanks) == len(result.patches)
    for blank, patch in zip(blanks, result.patches, strict=True):
        assert edge.buffer(-placement.margin_mm + 0.03).covers(blank)
        assert blank.area == pytest.approx(patch.blank.area, rel=1e-3)
        # turned, not mirrored: it can be turned back onto the blank
        plain, placed = (at_the_origin(each.simplify(0.5)) for each in (patch.blank, blank))
        mirror = shapely.affinity.scale(plain, -1, 1, origin=(0, 0))
        best = [
            min(
                at_the_origin(shapely.affinity.rotate(each, angle))
                .symmetric_difference(placed)
                .area
                for angle in range(360)
            )
            for each in (plain, mirror)
        ]
        assert best[0] < 0.03 * blank.area and (name == "footwell" or best[0] < best[1] / 2)
    for one, other in zip(blanks, blanks[1:], strict=False):
        assert one.distance(other) >= placement.kerf_mm - 0.03


def test_notes_say_what_the_cutter_must_know(made):
    result, files = made["trunk_floor"]
    told = files[NOTES].decode()
    for words in ("1:1", "KERF", "outside outlines", "inside holes", "FACE", "0.90 mm", "not both",
                  "patch_1_of_2", "stock_sheet_1_of_1", "gap to weld wider"):  # fmt: skip
        assert words in told, words
    left, bottom, right, top = result.patches[0].blank.bounds
    assert f"{right - left:.1f} mm wide, {top - bottom:.1f} mm high" in told
    zinc = made["wheel_arch"][1][NOTES].decode()
    assert "fumes" in zinc and "fumes" not in told
    assert " in wide" in cutting_files(result, display="in")[NOTES].decode()


def test_a_blank_larger_than_the_stock_is_told_and_on_no_stock_sheet():
    files = cutting_files(sk.estimate(job(SQUARE, shop={"sheet_stock": [[100, 100]]})))
    assert "On no stock sheet: blank 1" in files[NOTES].decode()
    assert not [name for name in files if "stock_sheet" in name]
    assert "cutting/patch_1_of_1.dxf" in files


def test_hostile_titles_stay_words():
    title = "</desc><script>x</script>\x00\r\n999\r\nEOF"
    result = sk.estimate(job(SQUARE, title=title))
    files = cutting_files(result)
    root = ElementTree.fromstring(files["cutting/patch_1_of_1.svg"])
    assert {e.tag.split("}")[1] for e in root.iter()} <= {
        "svg",
        "g",
        "title",
        "desc",
        "path",
        "circle",
    }
    for name in ("patch_1_of_1", "patch_1_of_1_r12"):
        assert not read(files[f"cutting/{name}.dxf"]).audit().errors


def test_lines_keep_their_layers_and_colours():
    assert len({number for number, _ in line_files.LAYERS.values()}) == len(line_files.LAYERS)
    strokes = engraving.engraved("UP", np.zeros(2), 5.0, np.array([0.0, 1.0]))
    everything = np.vstack(strokes)
    assert np.ptp(everything, axis=0) == pytest.approx([5.0, engraving.width("UP") * 5.0])
    assert everything.min(axis=0) == pytest.approx(-np.array([2.5, engraving.width("UP") * 2.5]))
