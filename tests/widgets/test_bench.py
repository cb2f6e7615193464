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
    by_hand = 2 * 100 + 2 * 80 + 2 * 3.14159265 * (25 - 0.25)
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


FAR_OUT = {
    "patch": {"margin": 120, "overlap": 90, "gap": 8, "corner_radius": 5},
    "weld": {"stitch": 400, "current": 350},
}


@pytest.mark.parametrize(
    ("changes", "shown"),
    [
        ({"weld": {"current": 90}}, {"weld__current": 90}),
        ({"weld": {"current": 90.5}}, {"weld__current": 90.5}),
        ({"weld": {"current": 5}}, {"weld__current": 5}),
        ({"patch": {"gap": 0.84}}, {"patch__gap": 0.84}),
        (
            FAR_OUT,
            {
                "patch__margin": 120,
                "patch__overlap": 90,
                "patch__gap": 8,
                "weld__stitch": 400,
                "weld__current": 350,
            },
        ),
    ],
)
@pytest.mark.parametrize("drawn_in", ["mm", "in"])
def test_controls_start_at_the_jobs_own_values_and_change_none(job, changes, shown, drawn_in):
    rust = [{"ring": [[0, 0], [600, 0], [600, 500], [0, 500]]}]
    sheet = {"thickness": "1 mm"}
    sound = job(rust=rust, sheet=sheet, drawn_in=drawn_in, **_with_units(changes))
    bench = Bench(sound)
    for name, value in shown.items():
        in_mm = value if name == "weld__current" or drawn_in == "mm" else value / 25.4
        assert bench.controls[name].value == pytest.approx(in_mm)
    assert bench.job.data == sound.data
    bench.controls["sheet__role"].value = "skin"
    assert bench.job.data == sound.changed(sheet__role="skin").data
    bench.controls["patch__margin"].value += 1
    for name, value in shown.items():
        part, key = name.split("__")
        if name != "patch__margin":
            assert getattr(getattr(bench.job, part), key) == value


def _with_units(changes):
    return {
        part: {key: value if key == "current" else f"{value} mm" for key, value in of.items()}
        for part, of in changes.items()
    }


def test_a_gap_nobody_gave_is_shown_as_it_is_worked_out(job):
    bench = Bench(job())
    bench.controls["weld__process"].value = "141"
    assert not bench.job.given("patch.gap")
    assert bench.controls["patch__gap"].value == bench.job.gap != Bench(job()).job.gap


def test_a_slider_keeps_its_room_while_it_is_moved(job):
    margin = Bench(job(patch={"margin": 120})).controls["patch__margin"]
    margin.value = 60.0
    assert margin.max == 120


def test_controls_follow_a_job_that_was_changed_elsewhere(tmp_path):
    path = tmp_path / "job.json"
    bench = Bench(path, draw=True)
    bench.pad.edit(**RING)
    Bench(path, draw=True).controls["patch__margin"].value = 120 / 3
    bench.pad.load_newer()
    assert bench.controls["patch__margin"].value == 40
    bench.controls["sheet__role"].value = "skin"
    assert load(path).patch.margin == 40


def test_units_switched_on_the_pad_are_the_whole_benchs(tmp_path):
    path = tmp_path / "job.json"
    bench = Bench(path, draw=True)
    bench.pad.edit(**RING)
    bench.controls["patch__margin"].value = 38.0
    kept = path.read_bytes()
    bench.pad.units = "in"
    assert bench.controls["patch__margin"].description == "Margin, in"
    assert bench.controls["patch__margin"].value == pytest.approx(38 / 25.4)
    assert " in</div>" in bench.cards.value and " mm" not in bench.cards.value
    assert " oz" in bench.amounts.value and " g<" not in bench.amounts.value
    assert bench.pad.overlays[2]["label"].endswith(" in")
    assert "in" in bench.controls["sheet__thickness"].label
    assert path.read_bytes() == kept
    bench.controls["patch__margin"].value = 1.75
    assert bench.job.patch.margin == pytest.approx(44.45)
    bench.pad.units = "mm"
    assert bench.controls["patch__margin"].value == pytest.approx(44.45)
    assert " mm</div>" in bench.cards.value


def test_units_are_switched_before_anything_is_drawn(tmp_path):
    bench = Bench(tmp_path / "job.json", draw=True)
    bench.pad.units = "in"
    assert bench.controls["weld__stitch"].description == "Stitch length, in"
    assert bench.result is None


def test_a_bench_without_a_pad_is_switched_too(bench):
    bench.display = "in"
    assert "in</text>" in bench.picture.value
    assert " in</div>" in bench.cards.value


def test_a_drawn_ring_that_is_left_out_is_told_over_the_figures(tmp_path):
    bench = Bench(tmp_path / "job.json", draw=True)
    bench.pad.edit(**RING)
    assert "not in these" not in bench.left_out.value
    bench.pad.edit(**RING | {"id": "b", "points": [[300, 0], [400, 0], [300, 80], [400, 80]]})
    seam = bench.result.values["seam_length_mm"]
    assert "1 drawn shape is not in these figures" in bench.left_out.value
    assert "crosses" in bench.left_out.value
    bench.pad.edit(op="add", id="c", kind="fold", points=[[0, 0]])
    assert "2 drawn shapes are not in these figures" in bench.left_out.value
    bench.pad.edit(op="delete", id="c")
    bench.pad.edit(op="move_point", id="b", index=2, to=[400, 81])
    bench.pad.edit(op="move_point", id="b", index=3, to=[300, 80])
    assert "All 2 drawn shapes are in these figures" in bench.left_out.value
    assert bench.result.values["seam_length_mm"] > seam
    parts = [bench.message, bench.left_out]
    assert bench.children[0] is bench.pad, "nothing comes and goes above the pad"
    assert all(part not in bench.children for part in parts)


def test_rust_drawn_but_not_sound_is_not_called_undrawn(tmp_path):
    bench = Bench(tmp_path / "job.json", draw=True)
    bench.pad.edit(**RING | {"points": [[0, 0], [100, 0], [0, 80], [100, 80]]})
    assert "No figures yet" in bench.message.value
    assert "Draw a ring" not in bench.message.value


def test_names_of_shapes_left_out_are_escaped(tmp_path):
    bench = Bench(tmp_path / "job.json", draw=True)
    bench.pad.edit(**RING)
    bench.pad.edit(op="add", id="p", kind="protect_line", points=[[0, 0]])
    bench.pad.edit(op="describe", id="p", name="<script>alert(1)</script>")
    assert "<script" not in bench.left_out.value
    assert "&lt;script&gt;" in bench.left_out.value


def test_a_job_in_the_place_of_a_path_to_draw_on_is_refused_in_words(job):
    with pytest.raises(JobRefused, match="must be a path to draw on"):
        Bench(job(), draw=True)


def test_a_process_chosen_anew_drops_what_suited_the_old_one_only(job):
    bench = Bench(job(weld={"current": 90, "stitch": 30}))
    bench.controls["weld__process"].value = "141"
    assert not bench.job.given("weld.current")
    assert bench.job.weld.stitch == 30
    suggested = bench.controls["weld__current"].value
    assert suggested == pytest.approx(bench.result.values["current_a"])
    bench.controls["weld__current"].value = 77.0
    assert bench.job.weld.current == 77
