"""What a pattern says of itself, held against what is measured on its sheets."""

import datetime
import re

import numpy as np
import pytest
import shapely
from pypdf import PdfReader
from reading import joined, marks, overlapping, pages, picture, strokes
from test_template import OUTLINE_MM, box, job, printed, told

import sheetkit as sk
from sheetkit.geometry.fold import Fold, bending_order, side_views
from sheetkit.paper import lettering, template, tiles
from sheetkit.paper.pattern import datum_of, patterns

PANEL = box(1400, 1100)
FLOOR = {"outline": [[x - 200, y - 150] for x, y in PANEL]}


@pytest.fixture(scope="module")
def big(tmp_path_factory):
    result = sk.estimate(job(box(900, 700), patch={"shape": "box"}, panel=FLOOR))
    path = printed(
        result, tmp_path_factory.mktemp("big") / "big.pdf", date=datetime.date(2031, 1, 30)
    )
    return result, path


def folded(toward, **more):
    fold = {"line": [[-50, 20], [200, 20]], "angle": 90, "radius": 2} | (
        {"toward": toward} if toward else {}
    )
    return sk.estimate(job(box(120, 80), patch={"shape": "box", "folds": [fold]} | more))


def test_print_dialogs_are_asked_for_no_scaling(big):
    _, path = big
    catalog = PdfReader(path, strict=True).trailer["/Root"]
    assert catalog["/ViewerPreferences"]["/PrintScaling"] == "/None"
    assert catalog["/Type"] == "/Catalog"


def test_told_diagonals_are_those_of_the_joined_sheets(big):
    _, path = big
    count = len(pages(path))
    placed = {}
    for number in range(1, count + 1):
        here = marks(path, number)
        shared = [name for name in here if name in placed]
        shift = (
            np.mean([np.subtract(placed[n], here[n]) for n in shared], axis=0)
            if shared
            else np.zeros(2)
        )
        placed |= {n: tuple(np.add(at, shift)) for n, at in here.items() if n not in placed}
    found = re.findall(r"(R\d+) to (R\d+) ([\d.]+) mm", told(path))
    assert len(found) == 2
    ways = []
    for one, other, length in found:
        gap = np.subtract(placed[other], placed[one])
        assert np.hypot(*gap) == pytest.approx(float(length), abs=0.1)
        ways.append(np.arctan2(*gap))
    assert abs(np.sin(ways[0] - ways[1])) > 0.3  # crosswise


def test_told_size_is_that_of_the_joined_piece(big):
    result, path = big
    lines, _ = joined(path, list(range(1, len(pages(path)) + 1)), OUTLINE_MM)
    long = shapely.MultiLineString([line for line in lines if line.length > 16])
    left, bottom, right, top = long.bounds
    size = re.search(r"edges: ([\d.]+) mm × ([\d.]+) mm", told(path))
    assert (right - left, top - bottom) == pytest.approx((float(size[1]), float(size[2])), abs=0.1)
    outline = result.patches[0].outline.bounds
    assert float(size[1]) == pytest.approx(outline[2] - outline[0], abs=0.06)


def test_sheets_without_a_line_are_left_out_and_named(big):
    _, path = big
    missing = (
        re.search(r"no line is on it: ([A-Z0-9, ]+)", told(path))[1].replace(" ", "").split(",")
    )
    heads = [re.search(r"sheet ([A-Z]\d+) of (\d+)", page.extract_text()) for page in pages(path)]
    assert {int(head[2]) for head in heads} == {len(heads)}
    assert len(missing) >= 2 and not set(missing) & {head[1] for head in heads}
    lines = [strokes(page) for page in pages(path)]
    assert all(any(s.width > 0.45 and len(s.points) > 1 for s in sheet) for sheet in lines)


def test_every_edge_names_the_sheet_that_joins_there(big):
    _, path = big
    here = {}
    for page in pages(path):
        text = page.extract_text()
        here[re.search(r"sheet ([A-Z]\d+) of", text)[1]] = {
            name: arrow for arrow, name in re.findall(r"([◄►▲▼]) ([A-Z]\d+) joins here", text)
        }
    back = {"◄": "►", "►": "◄", "▲": "▼", "▼": "▲"}
    assert all(here.values())
    for name, beside in here.items():
        for other, arrow in beside.items():
            assert here[other][name] == back[arrow]
            row, column = ord(other[0]) - ord(name[0]), int(other[1:]) - int(name[1:])
            assert (row, column) == {"►": (0, 1), "◄": (0, -1), "▼": (1, 0), "▲": (-1, 0)}[arrow]


def test_sheet_date_and_face_stand_on_every_sheet(big):
    _, path = big
    for page in pages(path):
        text = page.extract_text()
        for words in (
            "2031-01-30",
            "0.90 mm sheet",
            "no scaling",
            "outside",
            "inside",
            "of the car",
        ):
            assert words in text


@pytest.mark.parametrize(("paper", "display", "step", "length"), [
    ("a4", "mm", 1.0, 170.0), ("letter", "in", 25.4 / 8, 7 * 25.4),
])  # fmt: skip
def test_the_ruler_strip_is_true(tmp_path, paper, display, step, length):
    result = sk.estimate(job(box(60, 60)))
    (page,) = pages(printed(result, tmp_path / "r.pdf", paper=paper, display=display))
    low = [s for s in strokes(page) if s.points[:, 1].max() < 16.5 and abs(s.width - 0.12) < 0.01]
    upright = sorted(float(s.points[0, 0]) for s in low if np.ptp(s.points[:, 0]) < 0.01)
    assert np.diff(upright) == pytest.approx([step] * (len(upright) - 1), abs=0.01)
    assert upright[-1] - upright[0] == pytest.approx(length, abs=0.02)


def test_a_slanting_strip_is_turned_to_save_sheets(tmp_path):
    turn = np.radians(35)
    matrix = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    ring = (np.array(box(700, 60)) @ matrix.T).tolist()
    result = sk.estimate(job(ring))
    (piece,) = patterns(result)
    straight = tiles.layout(piece.content, paper="a4", head=template.HEAD_MM, foot=template.FOOT_MM)
    path = printed(result, tmp_path / "s.pdf")
    assert len(pages(path)) == 3 < len(straight.tiles)
    lines, worst = joined(path, [1, 2, 3], OUTLINE_MM)
    assert worst < 0.05
    # lines that two sheets share lie a hair apart: joined by that hair, they close the ring
    long = shapely.MultiLineString([line for line in lines if line.length > 16])
    whole = max(
        shapely.get_parts(long.buffer(0.02)), key=lambda part: shapely.Polygon(part.exterior).area
    )
    assert shapely.Polygon(whole.exterior).area == pytest.approx(
        result.patches[0].outline.area, rel=1e-3
    )
    # the arrow to the drawing's top is turned with it
    (head,) = [
        s for s in strokes(pages(path)[0]) if abs(s.width - 0.4) < 0.01 and len(s.points) == 2
    ]
    tip = head.points[1] - head.points[0]
    assert np.hypot(*tip) == pytest.approx(8, abs=0.01)
    off = np.degrees(np.arctan2(*tip)) % 90
    assert min(abs(off - 35), abs(off - 55)) < 0.5


def test_the_cut_line_is_black_where_the_panel_s_edge_lies_under_it(tmp_path):
    panel = {"outline": [[-100, 0], [200, 0], [200, 200], [-100, 200]]}
    result = sk.estimate(job([[0, 0], [80, 0], [80, 50], [0, 50]], panel=panel))
    path = printed(result, tmp_path / "e.pdf")
    grey = picture(path, 1, 600)
    bottom = min(
        float(s.points[:, 1].min()) for s in strokes(pages(path)[0])
        if abs(s.width - OUTLINE_MM) < 0.01 and len(s.points) > 4
    )  # fmt: skip
    row = round((297 - bottom) / 25.4 * 600)
    across = grey[row - 12 : row + 13, round(95 / 25.4 * 600)]
    assert across.min() < 30  # the outline's black
    assert ((across > 100) & (across < 200)).sum() >= 4  # and the edge's grey on both sides of it


@pytest.mark.parametrize(
    ("toward", "face", "back"), [("face", "UP", "DOWN"), ("back", "DOWN", "UP")]
)
def test_a_bend_goes_the_other_way_on_the_mirrored_copy(tmp_path, toward, face, back):
    result = folded(toward)
    plain, mirrored = (
        told(printed(result, tmp_path / f"{m}.pdf", mirrored=m)) for m in (False, True)
    )
    for text, way in ((plain, face), (mirrored, back)):
        more = {"UP": "toward you", "DOWN": "away from you"}[way]
        assert f"BEND 1: {way} 90°" in text and f"({more})" in text
        assert f"Bend 1: {way} 90° from flat" in text and "☐" not in text
        assert "inside radius 2.0 mm" in text
    assert "FACE up, not to scale" in plain and "BACK up, not to scale" in mirrored


def test_a_bend_of_which_nobody_said_where_it_goes_has_boxes_to_tick(tmp_path):
    text = told(printed(folded(None), tmp_path / "u.pdf"))
    assert "BEND 1: ☐ UP ☐ DOWN 90°" in text and "tick it before you bend" in text
    assert "toward you" not in text and "away from you" not in text


def test_flange_lengths_are_those_of_the_drawing(tmp_path):
    """Rust 120 x 80, margin 25, gap 0.45: 169.1 x 129.1; the fold 44.55 from the lower edge."""
    result = folded("face")
    text = told(printed(result, tmp_path / "f.pdf"))
    low, high = result.patches[0].outline.bounds[1::2]
    assert f"{20 - low:.1f} mm" in text and f"{high - 20:.1f} mm" in text
    less = re.search(r"the blank is ([\d.]+) mm shorter", text)
    blank = result.patches[0].blank.bounds
    assert float(less[1]) == pytest.approx(high - low - (blank[3] - blank[1]), abs=0.06)


def test_side_views_go_by_direction_and_the_short_flange_is_bent_first():
    patch = shapely.box(0, 0, 200, 100)
    folds = [
        Fold(((150, 0), (150, 100)), 90, 1),
        Fold(((30, 100), (30, 0)), 90, 1),
        Fold(((0, 80), (200, 80)), 45, 1),
    ]
    one, other = side_views(patch, folds)
    assert sorted(one.numbers) == [1, 2] and other.numbers == (3,)
    assert sorted(one.legs_mm) == pytest.approx([30, 50, 120])
    assert sorted(other.legs_mm) == pytest.approx([20, 80])
    assert one.legs_mm[1] == pytest.approx(120)
    assert bending_order([one, other]) == [3, 2, 1]


@pytest.mark.parametrize("mirrored", [False, True])
def test_the_datum_is_measured_to_the_edge(tmp_path, mirrored):
    """The cut of 0..80 x 0..60 with a margin of 25: its middle is at 40, 30."""
    panel = {"outline": [[-110, -90], [400, -90], [400, 400], [-110, 400]]}
    result = sk.estimate(job([[0, 0], [80, 0], [80, 60], [0, 60]], panel=panel))
    path = printed(result, tmp_path / "d.pdf", mirrored=mirrored)
    assert "150.0 mm along arm 1 and 120.0 mm along arm 2 to the panel's edge" in told(path)


def test_the_datum_prefers_a_near_hole_and_no_edge_that_is_cut_away():
    cut, hole = shapely.box(0, 0, 80, 60), shapely.box(100, 20, 110, 40)
    far = shapely.box(-500, -400, 600, 500).exterior
    to_hole = datum_of(cut, far, [hole])
    assert [(arm.way, arm.length_mm) for arm in to_hole.arms] == [((1.0, 0.0), 65.0)]
    assert to_hole.to == "the hole's middle" and datum_of(cut, far, []).to == "the panel's edge"
    below = shapely.box(-500, 0, 600, 500).exterior  # the cut runs out at its lower side
    assert [arm.length_mm for arm in datum_of(cut, below, []).arms] == [540, 470]
    assert datum_of(cut, None, []).arms == ()


def test_a_grid_gives_the_drawing_s_coordinates(tmp_path):
    result = sk.estimate(job([[0, 0], [80, 0], [80, 60], [0, 60]]))
    path = printed(result, tmp_path / "g.pdf", grid=True)
    (page,) = pages(path)
    lines = [s.points for s in strokes(page) if abs(s.width - 0.1) < 0.01]
    across = sorted({round(float(p[0, 0]), 2) for p in lines if np.ptp(p[:, 0]) < 0.01})
    assert len(across) >= 3 and np.diff(across) == pytest.approx(
        [50.0] * (len(across) - 1), abs=0.02
    )
    text = page.extract_text()
    assert "x 0" in text and "y 50" in text
    assert "x 0" not in pages(printed(result, tmp_path / "n.pdf"))[0].extract_text()
    assert overlapping(path, 1) == []


def test_letters_no_font_has_are_said_and_not_boxes(tmp_path, monkeypatch):
    monkeypatch.setattr(
        lettering, "_glyphs", lambda: frozenset(range(32, 127)) | {ord("▯"), ord("·"), ord("×")}
    )
    lettering.printable.cache_clear()
    text = told(printed(sk.estimate(job(box(60, 60), title="Floor 漢字")), tmp_path / "t.pdf"))
    lettering.printable.cache_clear()
    assert "Floor (+ 2 characters that no font on this computer has)" in text


@pytest.mark.parametrize(
    ("joint", "first", "then"), [("butt", "dashed", "solid"), ("lap", "solid", "dashed")]
)
def test_the_outer_line_is_cut_to_first(tmp_path, joint, first, then):
    text = told(printed(sk.estimate(job(box(60, 60), patch={"joint": joint})), tmp_path / "n.pdf"))
    assert re.search(
        rf"Next: cut the paper at the {first} line.*; then cut it at the {then} line", text
    )
