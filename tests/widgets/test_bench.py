"""The bench without a browser: its controls change the job, its texts follow."""

import re
from pathlib import Path

import pytest

from sheetkit import Job, JobRefused, estimate, load
from sheetkit.widgets import Bench, cards

DATA = Path(__file__).parents[2] / "data"
DEMOS = ("trunk_floor", "footwell", "wheel_arch")


@pytest.fixture
def bench():
    return Bench(DATA / "trunk_floor.json")


@pytest.mark.parametrize("name", DEMOS)
def test_untouched_bench_shows_the_job_as_it_is(name):
    job = load(DATA / f"{name}.json")
    bench = Bench(job)
    assert bench.job.data == job.data
    assert bench.result.values == pytest.approx(estimate(job).values)


@pytest.mark.parametrize(
    ("control", "value", "figure"),
    [
        ("patch__margin", 35.0, "seam_length_mm"),
        ("patch__shape", "box", "seam_length_mm"),
        ("sheet__thickness", 1.5, "heat_input_kj_per_mm"),
        ("patch__joint", "lap", "seam_length_mm"),
        ("patch__gap", 1.8, "wire_g"),
        ("weld__process", "114", "deposition_efficiency"),
        ("weld__current", 80, "arc_energy_kj_per_mm"),
        ("weld__fill", "dots", "gas_real_l"),
        ("weld__stitch", 50.0, "starts"),
    ],
)
def test_each_control_changes_its_figure_and_the_page(bench, control, value, figure):
    before = bench.result.values[figure]
    texts = bench.picture.value, bench.cards.value, bench.amounts.value
    bench.controls[control].value = value
    assert bench.message.value == ""
    assert bench.result.values[figure] != before
    assert (bench.picture.value, bench.cards.value, bench.amounts.value) != texts


def test_current_follows_the_sheet_until_it_is_moved(bench):
    current = bench.controls["weld__current"]
    bench.controls["sheet__thickness"].value = 1.2
    suggested = current.value
    assert not bench.job.given("weld.current")
    current.value = suggested + 7
    bench.controls["sheet__thickness"].value = 0.8
    assert bench.result.values["current_a"] == suggested + 7


def test_a_refused_choice_keeps_the_last_result_and_says_why(bench):
    bench.controls["weld__process"].value = "141"
    kept = bench.result
    bench.controls["weld__fill"].value = "dots"
    assert "weld.fill" in bench.message.value
    assert bench.result is kept
    bench.controls["weld__fill"].value = "stitch"
    assert bench.message.value == ""


def test_inches_are_shown_and_sent_as_inches():
    bench = Bench(DATA / "footwell.json")
    assert bench.controls["patch__margin"].value == pytest.approx(1.0)
    bench.controls["patch__margin"].value = 1.5
    assert bench.job.patch.margin == pytest.approx(38.1)
    assert " in</div>" in bench.cards.value


def test_what_a_user_typed_is_escaped():
    data = load(DATA / "footwell.json").data
    data["panel"]["mountings"][0]["name"] = "<script>alert(1)</script>"
    data["shop"]["currency"] = "<b>"
    bench = Bench(Job.from_data(data))
    page = bench.picture.value + bench.cards.value + bench.cautions.value + bench.amounts.value
    assert "<script" not in page
    assert "<b> <" not in page
    assert "&lt;script&gt;" in bench.cautions.value


def test_picture_says_what_it_shows_to_a_screen_reader(bench):
    label = re.search(r'role="img" aria-label="([^"]+)"', bench.picture.value).group(1)
    assert "2 patches" in label
    assert f"{bench.result.values['seam_length_mm']:.0f} mm" in label


def test_the_repr_is_stable_and_a_still_picture_is_kept(bench):
    assert repr(bench) == "Bench('Trunk floor, two rust-outs by the rear edge')"
    assert bench._repr_mimebundle_()["image/png"].startswith("iVBOR")


def test_scale_bar_is_as_long_as_it_says(bench):
    bar = re.search(r'd="M([\d.-]+) [\d.-]+V[\d.-]+H([\d.-]+)V', bench.picture.value)
    words = re.search(r">([\d.]+) mm</text>", bench.picture.value)
    assert float(bar.group(2)) - float(bar.group(1)) == pytest.approx(
        float(words.group(1)), abs=0.2
    )


def test_live_faults_list_every_fault():
    with pytest.raises(ValueError) as refused:
        Job.from_data({"format": "sheetkit-job/1", "sheet": {"thickness": -1}, "rust": []})
    assert cards.faults(refused.value).count("<li>") == len(refused.value.faults) == 2


RING = {"op": "add", "id": "a", "kind": "rust_holed", "done": True,
        "points": [[100, 100], [200, 100], [200, 180], [100, 180]]}  # fmt: skip


def test_drawing_on_the_bench_is_kept_and_worked_out(tmp_path):
    path = tmp_path / "job.json"
    bench = Bench(path, draw=True)
    assert bench.result is None and "Draw a ring" in bench.message.value
    bench.pad.edit(**RING)
    # two lengths, two heights and a full circle of 25 mm less half the gap
    by_hand = 2 * 100 + 2 * 80 + 2 * 3.14159265 * (25 - 0.45)
    assert bench.result.values["seam_length_mm"] == pytest.approx(by_hand, rel=1e-3)
    assert {overlay["kind"] for overlay in bench.pad.overlays} == {
        "patch_outline", "seam", "cut_line"}  # fmt: skip
    bench.controls["patch__margin"].value = 30.0
    kept = load(path)
    assert kept.patch.margin == 30
    assert estimate(kept).values["seam_length_mm"] == bench.result.values["seam_length_mm"]
    assert Bench(path, draw=True).result.values == pytest.approx(bench.result.values)


def test_a_crossing_ring_takes_the_answer_off_the_pad(tmp_path):
    bench = Bench(tmp_path / "job.json", draw=True)
    bench.pad.edit(**RING)
    bench.pad.edit(op="move_point", id="a", index=0, to=[300, 170])
    assert bench.pad.overlays == []
    bench.pad.undo()
    assert bench.pad.overlays


DEMO = DATA / "photo" / "floor.json"


def test_a_new_job_starts_from_another_and_leaves_it_alone(tmp_path):
    path, before = tmp_path / "mine.json", DEMO.read_bytes()
    bench = Bench(path, draw=True, like=DEMO)
    assert bench.result.values["seam_length_mm"] > 700
    assert "rectangle 297 x 210 mm" in bench.pad.photo.word
    assert "from the first change" in bench.pad.state["word"]
    assert list(tmp_path.iterdir()) == []
    bench.controls["patch__margin"].value = 30.0
    assert load(path).patch.margin == 30
    assert DEMO.read_bytes() == before
    again = Bench(path, draw=True, like=DEMO)
    assert again.job.patch.margin == 30
    assert again.pad.photo.word == bench.pad.photo.word


def test_a_photo_taken_away_before_the_first_change_stays_away(tmp_path):
    path = tmp_path / "mine.json"
    Bench(path, draw=True, like=DEMO).pad.set_photo(None)
    again = Bench(path, draw=True, like=DEMO)
    assert again.pad.photo is None
    assert len(again.job.rust) == len(load(DEMO).rust)


def test_a_job_to_start_from_that_is_not_there_is_named(tmp_path):
    with pytest.raises(JobRefused, match=r"gone\.json: got no such file"):
        Bench(tmp_path / "mine.json", draw=True, like=tmp_path / "gone.json")
