"""Maps: every number belongs to the weld it stands at, as the letters are really drawn."""

import os
import random
from types import SimpleNamespace

import pytest
import shapely
from matplotlib.text import Text
from matplotlib.textpath import TextPath

import sheetkit as sk
from sheetkit.base.errors import SheetkitError
from sheetkit.paper import map_numbers, stitch_map

PLANS = int(os.environ.get("SHEETKIT_MAPS", "5"))
"""A hundred for a long run."""


def made_up_plan(result, rng):
    """An order nobody reckoned, with waits, for the welds of a real seam."""
    tacks, fill = list(range(len(result.tacks))), list(range(len(result.welds)))
    rng.shuffle(tacks)
    rng.shuffle(fill)
    waits = [rng.choice((0.0, 0.0, rng.uniform(1, 300))) for _ in fill]
    return SimpleNamespace(
        tack_order=tacks, order=fill, wait_s=waits, tack_s=300.0, protected=(), total_s=900.0,
        unheld_total_s=900.0,
    )  # fmt: skip


def random_seam(rng):
    """A job with a real seam: long or small, straight or ragged, stitched, dotted or plugged."""
    while True:
        rings = []
        for _ in range(rng.choice((1, 1, 2, 3))):
            x, y = rng.uniform(0, 900), rng.uniform(0, 500)
            wide, high = rng.uniform(20, 600), rng.uniform(10, 120)
            turn = rng.choice((0.0, 0.0, 0.785, rng.uniform(0, 3)))
            box = shapely.affinity.rotate(
                shapely.box(x, y, x + wide, y + high), turn, use_radians=True
            )
            rings.append(
                {"ring": [list(p) for p in shapely.get_coordinates(box.exterior)[:-1].tolist()]}
            )
        job = {
            "format": "sheetkit-job/1", "sheet": {"thickness": 0.9, "role": rng.choice(("skin", "floor"))},
            "rust": rings,
            "patch": {"margin": rng.uniform(5, 40), "joint": rng.choice(("butt", "butt", "lap", "plug"))},
            "weld": {"stitch": rng.uniform(12, 50), "tack": rng.uniform(12, 60),
                     "fill": rng.choice(("stitch", "dots"))},
        }  # fmt: skip
        try:
            return sk.estimate(sk.Job.from_data(job))
        except SheetkitError:
            continue


def drawn_maps(monkeypatch, result, plan, paper):
    """Yield (page, marks, shapes) of every map, once it is drawn."""
    kept = []
    write = map_numbers.write
    monkeypatch.setattr(
        map_numbers, "write", lambda *given: kept.append(given[:3]) or write(*given)
    )
    list(stitch_map.map_pages(result, plan, paper=paper))
    return kept


def extents(page):
    """Yield each text of a page with the box its ink takes, mm."""
    point = 25.4 / 72
    for text in page.figure.findobj(Text):
        if words := text.get_text():
            ink = TextPath((0, 0), words, prop=text.get_fontproperties(), size=text.get_fontsize())
            low, high = ink.get_extents().get_points() * point
            x, y = text.get_position()
            x -= {"left": 0.0, "center": 0.5, "right": 1.0}[text.get_ha()] * (low[0] + high[0])
            yield text, shapely.box(x + low[0], y + low[1], x + high[0], y + high[1])


@pytest.mark.parametrize("seed", range(PLANS))
def test_every_number_stands_at_its_own_weld(seed, monkeypatch):
    """Nearest to its own by a millimetre, or at the end of a line that comes from its own alone."""
    rng = random.Random(f"map {seed}")
    result = random_seam(rng)
    plan = made_up_plan(result, rng)
    found = missing = 0
    for page, marks, shapes in drawn_maps(monkeypatch, result, plan, rng.choice(("a4", "letter"))):
        boxes = list(extents(page))
        said = [
            text.get_text().split()[0] for text, _ in boxes if "found no room" in text.get_text()
        ]
        missing += sum(map(int, said))
        for mark in marks:
            mine = [(text, box) for text, box in boxes if text.get_text() == mark.words]
            assert len(mine) <= 1, mark.words
            for text, box in mine:
                x, y = text.get_position()
                whole = shapely.union_all([box, *(
                    other for below, other in boxes if below.get_text() == mark.under
                    and abs(below.get_position()[0] - x) < 0.01 and 0 < y - below.get_position()[1] < 8
                )])  # fmt: skip
                found += 1
                others = [shape for shape in shapes if not shape.equals(mark.shape)]
                away = min((box.distance(other) for other in others), default=99.0)
                leaders = [line for line in page.leaders if line.distance(whole.envelope) < 2.5
                           and line.distance(shapely.Point(mark.middle)) < 0.01]  # fmt: skip
                if not leaders:
                    assert away - box.distance(mark.shape) >= 1.0, mark.words
                    continue
                (line,) = leaders
                assert min((line.distance(other) for other in others), default=9.0) > 1.0
                crossed = [text.get_text() for text, other in boxes
                           if not whole.covers(other) and line.intersects(other.buffer(-0.3))]  # fmt: skip
                assert set(crossed) <= {mark.under}
    # each weld is numbered on a map of all or of its patch, or the map says that it isn't: two
    # welds closer than a line's width can't both be led to
    wanted = len(plan.order) + len(plan.tack_order)
    assert found + missing >= wanted and found >= 0.95 * wanted


def test_maps_show_front_edges_holes_and_bends(data_folder, small_plan):
    """And all patches together where the order jumps between them."""
    result = sk.estimate(sk.load(data_folder / "trunk_floor.json"))
    plan = made_up_plan(result, random.Random(1))
    plan.protected = [
        SimpleNamespace(name="fuel line", peak_c=30.0, limit_c=60.0, alone_c=30.0, held=False,
                        over=False, beyond_waiting=False)
    ]  # fmt: skip
    page = next(iter(stitch_map.map_pages(result, plan, paper="a4", front="left")))
    words = " ".join(text.get_text() for text in page.figure.findobj(Text))
    for named in (
        "ALL 2 PATCHES",
        "FRONT of the vehicle: left ◄",
        "panel's edge",
        "take off: fuel line",
    ):
        assert named in words, named
    unknown = next(iter(stitch_map.map_pages(result, plan, paper="a4")))
    assert "tick" in " ".join(text.get_text() for text in unknown.figure.findobj(Text))
