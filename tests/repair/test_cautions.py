"""Each caution appears when it should, and only then."""

from dataclasses import replace

import pytest

import sheetkit
from sheetkit.base import tables

PANEL = [[-300, -300], [400, -300], [400, 400], [-300, 400]]
RING = [[0, 0], [100, 0], [100, 60], [0, 60]]
ALWAYS = {
    "clean metal",
    "shrinkage",
    "eyes",
    "hands and sleeves",
    "fire watch",
    "vehicle",
    "local rules",
}
FORBIDDEN = ("guarantee", "no warp", "will pass", "safe to drive", "stays flat.", "won't warp")


@pytest.fixture(scope="module")
def told(job):
    def cautions(display="mm", **changes):
        return sheetkit.estimate(job(**changes)).cautions(display)

    return cautions


@pytest.fixture(scope="module")
def topics(told):
    return lambda **changes: [caution.topic for caution in told(**changes)]


def text_of(cautions, topic):
    return " ".join(caution.text for caution in cautions if caution.topic == topic)


@pytest.mark.parametrize("process", ["135", "136", "114", "141"])
@pytest.mark.parametrize("joint", ["butt", "lap", "plug"])
def test_always_told(topics, process, joint):
    assert set(topics(weld={"process": process}, patch={"joint": joint})) >= ALWAYS


def steel(**more):
    return {"sheet": {"thickness": 1.0} | more}


def mounting(y, ring=300):
    return {
        "panel": {"outline": PANEL, "mountings": [{"name": "belt", "at": [50, y], "ring": ring}]}
    }


CASES = {
    # topic: (it should appear, it should not)
    "fold": (
        {"patch": {"folds": [{"line": [[9e3, 9e3], [9100, 9e3]], "angle": 90}]}},
        {"patch": {"folds": [{"line": [[-99, 30], [199, 30]], "angle": 90}]}},
    ),
    "off the panel": (
        {
            "panel": {
                "outline": PANEL,
                "holes": [[[200, 200], [300, 200], [300, 300], [200, 300]]],
                "protect": [{"name": "grommet", "at": [250, 250]}],
            }
        },
        {
            "panel": {
                "outline": PANEL,
                "holes": [[[200, 200], [300, 200], [300, 300], [200, 300]]],
                "protect": [{"name": "loom", "line": [[150, 250], [350, 250]]}],
            }
        },
    ),
    "plug edge": (
        {"patch": {"joint": "plug", "overlap": 12.5}, "weld": {"plug_hole": 6}},
        {"patch": {"joint": "plug", "overlap": 13}, "weld": {"plug_hole": 6}},
    ),
    "wire": (
        {"weld": {"wire": 0.6, "current": 130}},
        {"weld": {"wire": 0.6, "current": 120}},
    ),
    "zinc": (steel(coating="zinc"), steel(coating="painted")),
    "structure": (steel(role="structural"), steel(role="floor")),
    "closed back": (steel(back_access=False), steel(back_access=True)),
    "lap": ({"patch": {"joint": "lap"}}, {"patch": {"joint": "butt"}}),
    "gap": ({"patch": {"joint": "butt"}}, {"patch": {"joint": "lap"}}),
    "corners": ({"patch": {"corner_radius": 11}}, {"patch": {"corner_radius": 12}}),
    "thin edge": (
        {"rust": [{"ring": [[0, 0], [90, 0], [90, 60]], "grade": "pitted"}]},
        {"rust": [{"ring": [[0, 0], [90, 0], [90, 60]], "grade": "holed"}]},
    ),
    "not continuous": (
        steel(role="skin") | {"weld": {"spacing": 50}},
        steel(role="skin") | {"weld": {"spacing": 0}},
    ),
    "gas in pits": ({"weld": {"process": "135"}}, {"weld": {"process": "114"}}),
    "gas": ({"weld": {"gas": "C1"}}, {"weld": {"gas": "M21"}}),
    # the seam's top edge is 85 mm up; the ring counts from there
    "mounting": (mounting(384), mounting(386)),
    "middle of a flat area": (
        steel(role="skin") | {"panel": {"outline": PANEL}},
        steel(role="floor") | {"panel": {"outline": PANEL}},
    ),
    "too near": (
        {"panel": {"outline": PANEL, "protect": [{"name": "line", "at": [50, 120]}]}},
        {"panel": {"outline": PANEL, "protect": [{"name": "line", "at": [50, 385]}]}},
    ),
}


@pytest.mark.parametrize("topic", CASES)
def test_caution_appears_when_it_should_and_only_then(topics, topic):
    should, should_not = CASES[topic]
    assert topic in topics(**should)
    assert topic not in topics(**should_not)


def test_plug_seam_is_not_continuous(topics):
    assert "not continuous" in topics(patch={"joint": "plug"})


def test_flat_area_counts_from_the_nearest_edge(topics):
    """Limit 150 mm from the cut to the panel's edge (our own)."""
    near = [[-175, -300], [400, -300], [400, 400], [-175, 400]]  # cut ends at x = -25: 150 mm
    further = [[-176, -300], [400, -300], [400, 400], [-176, 400]]
    skin = steel(role="skin")
    assert "middle of a flat area" not in topics(**skin, panel={"outline": near})
    assert "middle of a flat area" in topics(**skin, panel={"outline": further})


def test_protected_line_counts_by_the_heat_of_one_pass(told):
    """Q/(sqrt(2 pi e) rho c h dT): 74.3 J/mm, 1 mm sheet, 60 K: 63.6 mm (Rykalin, from memory)."""
    heat = 0.8 * 14 * 52.5 * 60 / 475
    reach = heat / (4.1327 * 7850e-9 * 600 * 1.0 * 60)

    def near(away):
        item = {"name": "wiring loom", "at": [50, 85 - 0.45 + away], "limit": 80}
        return told(panel={"outline": PANEL, "protect": [item]})

    assert 60 < reach < 70
    assert "wiring loom" in text_of(near(reach - 1), "too near")
    assert not text_of(near(reach + 1), "too near")


def test_cylinder_that_is_too_small_comes_first(told):
    small = {"cylinder": {"water_volume": 1, "pressure": 10}}
    first = told(shop=small)[0]
    assert first.topic == "gas" and "lacks" in first.text
    assert not text_of(told(), "gas")


def test_shade_follows_the_current(told):
    low, high = (text_of(told(weld={"current": amps}), "eyes") for amps in (55, 60))
    assert "shade 9 or 10 to begin with" in low and "never below 7 " in low
    assert "shade 10 or 11 to begin with" in high and "never below 10 " in high


@pytest.mark.parametrize("name", ["fuel line", "Brake pipe", "petrol tank"])
def test_what_holds_fuel_goes_whatever_the_distance(told, name):
    item = {"name": name, "at": [50, 2000], "limit": 60}
    far = told(panel={"outline": [[-500, -500], [500, -500], [500, 2500], [-500, 2500]],
                      "protect": [item]})  # fmt: skip
    assert name in text_of(far, "fuel") and "whatever the distance" in text_of(far, "fuel")
    assert not text_of(far, "too near")


def test_every_job_hears_of_fuel_solvents_lead_and_airbags(told):
    notes = told(sheet={"thickness": 1.0, "coating": "bare"})
    assert [note.topic for note in notes[:3]] == ["fuel", "fire watch", "cleaners"]
    assert "phosgene" in text_of(notes, "cleaners")
    for word in ("lead", "asbestos", "isocyanates", "closed sections"):
        assert word in text_of(notes, "paint and sealer")
    for word in ("Airbags", "high-voltage", "air-conditioning", "magnesium", "300 mm"):
        assert word in text_of(notes, "vehicle")


def test_no_dolly_is_promised_where_none_reaches(told):
    closed = told(sheet={"thickness": 1.0, "back_access": False})
    assert "stays where no dolly reaches" in text_of(closed, "shrinkage")


def test_fire_watch_and_sleeves_say_the_essentials(told):
    notes = told()
    for word in ("35 ft", "30 min", "60 min", "far side"):
        assert word in text_of(notes, "fire watch")
    for word in ("sleeves", "leather", "nothing synthetic"):
        assert word in text_of(notes, "hands and sleeves")


def test_clean_metal_says_where_and_why(told):
    for word in ("both faces", "work clamp", "rust, paint, zinc and sealer do not weld"):
        assert word in text_of(told(), "clean metal")


def test_what_lies_off_the_panel_is_told_with_its_distance(told):
    panel = {
        "outline": PANEL,
        "protect": [{"name": "tank", "at": [460, 0]}],
        "mountings": [{"name": "belt", "at": [-340, 0], "ring": 30}],
    }
    text = text_of(told(panel=panel), "off the panel")
    assert "tank is drawn 60 mm off" in text and "belt is drawn 40 mm off" in text
    assert "60" not in text_of(told(display="in", panel=panel), "off the panel")


def test_one_of_two_folds_misses(told):
    folds = [
        {"line": [[-99, 30], [199, 30]], "angle": 90},
        {"line": [[0, 900], [9, 900]], "angle": 30},
    ]
    text = text_of(told(patch={"folds": folds}), "fold")
    assert text.startswith("fold 2 crosses no patch")


def test_limits_in_cautions_are_the_tables(told, monkeypatch):
    """Every limit said in a caution is read where it stands."""
    for name, value, topic, words in (
        ("fire_distance", 12.0, "fire watch", "within 12 m (39 ft)"),
        ("fire_watch", 45.0, "fire watch", "at least 45 min"),
        ("min_thickness_pitted", 0.7, "thin edge", "0.70 mm"),
        ("planish_every", 40.0, "shrinkage", "40 mm"),
    ):
        rows = dict(tables._index("limits"))
        key = (name, "value")
        rows[key] = replace(rows[key], value=value)
        monkeypatch.setattr(
            tables,
            "_index",
            lambda table, rows=rows, plain=tables._index: (
                rows if table == "limits" else plain(table)
            ),
        )
        assert words in text_of(told(rust=[{"ring": RING, "grade": "pitted"}]), topic)
        monkeypatch.undo()


def test_structure_defers(told):
    for changes in (steel(role="structural"), mounting(200)):
        topic = "structure" if "sheet" in changes else "mounting"
        text = text_of(told(**changes), topic)
        assert "Ask your inspector" in text and "repair manual" in text and "local rules" in text


def test_nothing_is_promised(told):
    for changes in (case for pair in CASES.values() for case in pair):
        whole = " ".join(map(str, told(**changes))).lower()
        assert not [word for word in FORBIDDEN if word in whole]


def test_lengths_in_inches(told):
    """Everything a joint or a mounting is measured by is shown in the drawing's units."""
    text = str(text_of(told("in", patch={"gap": 1.27}), "gap"))
    assert "0.0500 in" in text and " mm" not in text
    text = text_of(told("in", **mounting(200)), "mounting")
    assert "11.81 in" in text and " mm" not in text
    text = text_of(
        told("in", rust=CASES["thin edge"][0]["rust"], patch={"margin": 12.7}), "thin edge"
    )
    assert "0.50 in" in text and " mm" not in text


@pytest.mark.parametrize(
    "weld", [{"process": p} for p in ("135", "136", "114", "141")], ids=lambda w: w["process"]
)
def test_default_gap_earns_no_blame(told, weld):
    """What the program chose itself it doesn't warn about."""
    text = text_of(told(weld=weld), "gap")
    assert "doubtful" not in text and "remake" not in text and "TIG wants" not in text
