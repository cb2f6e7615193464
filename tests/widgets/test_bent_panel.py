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
