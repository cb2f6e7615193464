"""The cross-section's rows and the folded view without a browser: what the page sends, what it is told."""

import json

import numpy as np
import pytest

from sheetkit import load
from sheetkit.widgets import Bench

RUST = {"op": "add", "id": "a", "kind": "rust_holed", "done": True,
        "points": [[100, 60], [220, 50], [260, 130], [160, 150], [90, 120]]}  # fmt: skip


@pytest.fixture
def bench(tmp_path):
    """A bench on a new job with two bends and a rust-out across the first."""
    made = Bench(tmp_path / "sill.json", draw=True)
    made.bent.editor.begin("step")
    made.pad.edit(**RUST)
    return made


def page(editor, number, **message):
    """Send what the page sends."""
    editor._receive(editor, {"client": "page", "number": number, **message}, [])


def kinds(bench):
    return [overlay["kind"] for overlay in bench.pad.overlays]


def test_a_flat_panel_is_folded_away_and_offers_to_begin(tmp_path):
    bench = Bench(tmp_path / "new.json", draw=True)
    editor = bench.bent.editor
    assert editor.told["shown"] is None and len(editor.told["starts"]) == 3
    assert bench.bent.fold.selected_index is None
    assert bench.bent.folded.scene == {"words": "No bends: the panel is drawn flat."}
    page(editor, 1, type="start", name="one")
    assert editor.told["acks"] == {"page": 1}
    assert len(editor.told["shown"]["bends"]) == 1
    assert kinds(bench) == ["sheet", "bend_zone", "bend"], "seen before anything is drawn"


def test_a_profile_is_kept_in_the_job_file_and_opened_again(bench, tmp_path):
    job = load(tmp_path / "sill.json")
    assert [bend.toward for bend in job.section.bends] == ["face", "back"]
    again = Bench(tmp_path / "sill.json", draw=True)
    assert again.bent.fold.selected_index == 0
    assert again.bent.editor.rows == bench.bent.editor.rows
    assert len(again.bent.folded.scene["bends"]) == 2


def test_the_bends_lie_on_the_pad_where_the_section_has_them(bench):
    section = bench.job.section
    lines = [o for o in bench.pad.overlays if o["kind"] == "bend"]
    for bend, line in zip(section.bends, lines, strict=True):
        assert np.array(line["lines"][0])[:, 1] == pytest.approx(bend.middle_mm, abs=0.01)
    assert lines[0]["label"] == "bend 1, 90°, UP, toward the face"
    assert lines[1]["label"] == "bend 2, 90°, DOWN, toward the back"
    zone = np.array(next(o for o in bench.pad.overlays if o["kind"] == "bend_zone")["rings"][0])
    assert np.ptp(zone[:, 1]) == pytest.approx(
        section.bends[0].end_mm - section.bends[0].start_mm, abs=0.02
    )


def test_typing_moves_bends_patch_and_folded_view_at_once(bench):
    scene, seam = bench.bent.folded.scene, bench.result.patches[0].bends[0].line
    bench.bent.editor.set("flats.0.length", "90")
    bench.bent.editor.set("bends.0.angle", "45")
    bend = bench.job.section.bends[0]
    assert bend.angle_deg == pytest.approx(45)
    moved = bench.result.patches[0].bends[0].line
    assert moved.coords[0][1] == pytest.approx(bend.middle_mm) != seam.coords[0][1]
    assert bench.bent.folded.scene != scene
    assert "45°" in bench.bent.editor.told["picture"]


def test_what_is_refused_stays_as_typed_with_its_reason_and_the_rest_as_it_was(bench, tmp_path):
    text = (tmp_path / "sill.json").read_text()
    editor = bench.bent.editor
    editor.set("bends.0.angle", "180")
    assert "1 to 170" in editor.told["refused"]["bends.0.angle"]
    assert editor.told["shown"]["bends"][0]["angle"] == "180"
    assert (tmp_path / "sill.json").read_text() == text
    editor.set("flats.1.length", "95")
    assert set(editor.told["refused"]) == {"bends.0.angle"}, "both wait until both can be taken"
    editor.set("bends.0.angle", "80")
    assert editor.told["refused"] == {} and bench.job.section.bends[0].angle_deg == pytest.approx(
        80
    )
    assert editor.told["shown"]["flats"][1]["length"] == "95"


def test_a_section_that_no_longer_holds_the_rust_is_refused(bench):
    editor = bench.bent.editor
    editor.set("start", "75")
    assert "must lie on the unrolled sheet" in editor.told["refused"][""]
    assert "Not taken over yet" in editor.told["word"]
    assert bench.job.panel.profile.start == 0


def test_the_page_sends_all_rows_and_what_is_odd_is_left(bench):
    editor = bench.bent.editor
    rows = json.loads(json.dumps(editor.rows))
    rows["flats"][1]["position"], rows["flats"][2]["closed"] = "overhead", True
    rows["bends"][0]["toward"] = "back"
    rows["evil"] = "<script>"
    rows["flats"][0]["length"] = 5
    page(editor, 1, type="profile", profile=rows)
    profile = bench.job.panel.profile
    assert profile.positions[1] == "overhead" and profile.closed == (False, False, True)
    assert [bend.toward for bend in bench.job.section.bends] == ["back", "back"]
    assert editor.rows["flats"][0]["length"] == "100"
    for n, odd in enumerate((None, [], {"flats": 3}, {"bends": [None]}, "x"), 2):
        page(editor, n, type="profile", profile=odd)
    page(editor, 9, type="less", n="1")
    assert len(editor.rows["bends"]) == 2


def test_bends_are_put_taken_and_all_made_flat(bench):
    editor = bench.bent.editor
    page(editor, 1, type="more")
    assert len(bench.job.section.bends) == 3
    page(editor, 2, type="less", n=2)
    assert len(bench.job.section.bends) == 2
    page(editor, 3, type="flat")
    assert bench.job.section is None and bench.job.panel.profile is None
    assert editor.told["shown"] is None and "bend" not in kinds(bench)
    assert bench.bent.fold.titles == ("Bends: a panel that isn't flat",)


def test_inches_are_shown_and_typed(bench):
    bench.display = "in"
    editor = bench.bent.editor
    assert editor.rows["flats"][0]["length"] == "3.93701"
    editor.set("flats.0.length", "4")
    assert bench.job.section.flats[0][1] == pytest.approx(4 * 25.4 - 3, abs=1e-3)
    assert "flat 1 begins at, in" in editor.told["shown"]["start_label"]


def test_a_lip_is_seen_on_the_pad_by_its_number_on_paper(tmp_path, data_folder):
    (tmp_path / "sill.json").write_bytes((data_folder / "sill_end.json").read_bytes())
    bench = Bench(tmp_path / "sill.json", draw=True)
    labels = [o["label"] for o in bench.pad.overlays if o["kind"] == "bend"]
    assert labels[0] == "bend 3, lip 90°" and len(labels) == 3
    (lip,) = bench.result.patches[0].lips
    assert lip.bend.number == 3


def test_test_strips_give_k_with_its_uncertainty(bench):
    editor = bench.bent.editor
    page(editor, 1, type="strip")
    assert set(editor.told["refused"]) == {
        f"strips.0.{name}" for name in ("blank", "legs", "radius")
    }
    assert bench.job.panel.profile.strips == (), "nothing is taken for what was not measured"
    for name, text in (("blank", "97,5"), ("legs", "50 + 50"), ("radius", "2")):
        editor.set(f"strips.0.{name}", text)
    assert editor.told["refused"] == {}
    (strip,) = bench.job.panel.profile.strips
    assert (strip.blank, strip.legs, strip.radius) == (97.5, (50, 50), 2)
    found = bench.job.panel.profile.measured_k(bench.job.sheet.thickness)
    assert f"{found.value:.2f} ± {found.uncertainty:.2f} (1 strip)" in editor.told["word"]
    editor.set("flats.1.length", "95")
    assert len(bench.job.panel.profile.strips) == 1, "what is typed elsewhere leaves them"
    editor.set("k", "0.4")
    assert "either given or reckoned" in editor.told["refused"]["k"]
    editor.set("k", "")
    editor.set("strips.0.blank", "99.9")
    assert "must come out between 0.2 and 0.6" in editor.told["refused"]["strips.0.blank"]
    page(editor, 2, type="strip", n=0)
    assert bench.job.panel.profile.strips == () and "strip" not in editor.told["word"]


def contour(length=60.0, radius=4.0, turn=np.pi / 3):
    """Points along a face with one bend toward it: flat, arc, flat, none of them rounded."""
    first = [(x, 0.0) for x in np.linspace(0, length, 31)]
    arc = [
        (length + radius * np.sin(a), radius * (1 - np.cos(a))) for a in np.linspace(0, turn, 13)
    ]
    x, y = arc[-1]
    way = np.cos(turn), np.sin(turn)
    last = [(x + s * way[0], y + s * way[1]) for s in np.linspace(2, 40, 20)]
    return first + arc[1:] + last


@pytest.mark.parametrize("display", ["mm", "in"])
def test_a_contour_s_trace_fills_the_rows(tmp_path, display):
    bench = Bench(tmp_path / "traced.json", draw=True)
    bench.display = display
    editor, each = bench.bent.editor, 25.4 if display == "in" else 1.0
    text = "\n".join(f"{x / each:.5f} {y / each:.5f}" for x, y in contour())
    page(editor, 1, type="trace", text=text)
    rows = editor.told["shown"]
    assert len(rows["flats"]) == 2 and rows["bends"][0]["toward"] == "face"
    assert float(rows["bends"][0]["angle"]) == pytest.approx(60, abs=1)
    assert float(rows["bends"][0]["radius"]) * each == pytest.approx(4, abs=0.6)
    assert "2 flats and 1 bend were fitted" in editor.told["trace"]["word"]
    assert "at most" in editor.told["trace"]["word"]
    before = rows
    page(editor, 2, type="trace", text="1 2\n<b>x</b> 3\n4")
    word = editor.told["trace"]["word"]
    assert "line 2" in word and "line 3" in word and editor.told["shown"] == before
    page(editor, 3, type="trace", text="\n".join(f"{x}, 0" for x in range(20)))
    assert "no bend" in editor.told["trace"]["word"] and editor.told["shown"] == before
    page(editor, 4, type="trace", text="0,5;1\n3 4")
    assert "must have at least 8" in editor.told["trace"]["word"]


def test_a_panel_that_curves_the_other_way_too_is_refused_with_what_to_do(bench, tmp_path):
    editor = bench.bent.editor
    assert editor.rows["crown"] == {"curved": False, "over": "", "rise": ""}
    editor.set("flats.0.length", "150")
    before = (tmp_path / "sill.json").read_text()
    rows = json.loads(json.dumps(editor.rows))
    rows["crown"] = {"curved": True, "over": "400", "rise": "x"}
    page(editor, 1, type="profile", profile=rows)
    assert set(editor.told["refused"]) == {"crown.rise"} and editor.rows["crown"]["curved"]
    editor.set("crown.rise", "0.2")
    assert editor.told["refused"] == {}, "a patch springs to that"
    (crown,) = bench.job.panel.crowns
    assert (crown.run, crown.over, crown.rise) == (0, 400, 0.2), "level, as the bends are"
    editor.set("flats.1.length", "95")
    assert bench.job.panel.crowns == (crown,)
    steep = json.loads(json.dumps(editor.rows))
    steep["bends"][0]["angle"], steep["start"] = "60", "-20"
    page(editor, 2, type="profile", profile=steep)
    kept = (tmp_path / "sill.json").read_text()
    editor.set("crown.rise", "40")
    why = editor.told["refused"]["crown.rise"]
    assert "would stretch or shrink by" in why and "draw smaller pieces" in why
    assert (tmp_path / "sill.json").read_text() == kept and kept != before
    editor.set("crown.curved", False)
    assert bench.job.panel.crowns == () and "crowns" not in bench.job.data["panel"]
