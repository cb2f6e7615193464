"""The bench without a browser: its controls change the job, everything on it follows."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from sheetkit import Job, JobRefused, estimate, load
from sheetkit.widgets import Bench, cards

DATA = Path(__file__).parents[2] / "data"
DEMOS = ("trunk_floor", "footwell", "wheel_arch")
RING = {"op": "add", "id": "a", "kind": "rust_holed", "done": True,
        "points": [[100, 100], [200, 100], [200, 180], [100, 180]]}  # fmt: skip


@pytest.fixture
def bench():
    return Bench(DATA / "trunk_floor.json")


@pytest.fixture
def drawn(tmp_path):
    """A bench that draws on a file of its own, with one sound ring."""
    bench = Bench(tmp_path / "job.json", draw=True)
    bench.pad.edit(**RING)
    return bench


def amount(bench, label):
    return next(f["amount"] for f in bench.strip.figures if f["label"] == label)


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
        ("sheet__thickness", "1.5 mm", "heat_input_kj_per_mm"),
        ("sheet__thickness", "16 gauge", "heat_input_kj_per_mm"),
        ("patch__joint", "lap", "seam_length_mm"),
        ("patch__gap", "1,8", "wire_g"),
        ("weld__process", "114", "deposition_efficiency"),
        ("weld__current", 80, "arc_energy_kj_per_mm"),
        ("weld__fill", "dots", "gas_real_l"),
        ("weld__stitch", 50.0, "starts"),
        ("shop__labour_rate", 95, "cost"),
        ("shop__tax", "19 %", "cost"),
        ("shop__skill", "first", "hours_h"),
        ("shop__prices__wire_spool", 25, "wire_price_per_kg"),
    ],
)
def test_each_control_changes_its_figure_and_the_page(bench, control, value, figure):
    before = bench.result.values[figure]
    texts = (
        bench.picture.value,
        bench.details.cards.value,
        bench.details.amounts.value,
        bench.strip.figures,
    )
    bench.form.set(control, value)
    assert bench.form.refused == {}
    assert bench.result.values[figure] != before
    assert (
        bench.picture.value,
        bench.details.cards.value,
        bench.details.amounts.value,
        bench.strip.figures,
    ) != texts


def test_current_follows_the_sheet_until_it_is_set(bench):
    bench.form.set("sheet__thickness", "1.2")
    suggested = bench.result.values["current_a"]
    assert not bench.job.given("weld.current")
    assert float(bench.form.row("weld__current")["text"]) == pytest.approx(suggested, abs=0.01)
    assert "assumed" in bench.form.row("weld__current")["note"]
    bench.form.set("weld__current", suggested + 7)
    bench.form.set("sheet__thickness", "0.8")
    assert bench.result.values["current_a"] == suggested + 7
    bench.form.set("weld__current", "")
    assert not bench.job.given("weld.current")


def test_a_refused_choice_keeps_the_last_result_and_says_why_at_the_field(bench):
    bench.form.set("weld__process", "141")
    kept = bench.result
    bench.form.set("weld__fill", "dots")
    assert "wire-feed process" in bench.form.refused["weld__fill"]
    assert bench.result is kept
    bench.form.set("weld__fill", "stitch")
    assert bench.form.refused == {}


def test_what_is_refused_alone_is_taken_once_it_fits(bench):
    bench.form.set("weld__process", "141")
    bench.form.set("weld__fill", "dots")
    bench.form.set("weld__process", "135")
    assert bench.job.weld.fill == "dots"


def test_a_number_beyond_its_limits_is_refused_with_limit_and_remedy(bench):
    before = bench.job
    bench.form.set("patch__margin", 300)
    assert "must be 0 to 200 mm" in bench.form.refused["patch__margin"]
    bench.form.set("patch__margin", "a hand")
    assert "25 mm" in bench.form.refused["patch__margin"]
    assert bench.job is before
    bench.form.set("shop__labour_rate", "much")
    assert "shop__labour_rate" in bench.form.refused


def test_inches_are_shown_and_sent_as_inches():
    bench = Bench(DATA / "footwell.json")
    row = bench.form.row("patch__margin")
    assert (row["text"], row["unit"]) == ("1", "in")
    bench.form.set("patch__margin", "1 1/2")
    assert bench.job.patch.margin == pytest.approx(38.1)
    assert amount(bench, "Seam").endswith(" in")


def test_what_a_user_typed_is_escaped():
    data = load(DATA / "footwell.json").data
    data["panel"]["mountings"][0]["name"] = "<script>alert(1)</script>"
    data["shop"]["currency"] = "<b>"
    bench = Bench(Job.from_data(data))
    bench.details.two_ways.compare()
    page = (
        bench.picture.value
        + bench.details.cards.value
        + bench.details.cautions.value
        + bench.details.amounts.value
    )
    page += bench.details.two_ways.pictures.value + bench.details.two_ways.table.value
    assert "<script" not in page
    assert "<b> <" not in page
    assert "&lt;script&gt;" in bench.details.cautions.value


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


def test_drawing_on_the_bench_is_kept_and_worked_out(tmp_path):
    path = tmp_path / "job.json"
    bench = Bench(path, draw=True)
    assert bench.result is None and "Draw a ring" in bench.strip.word["text"]
    assert amount(bench, "Seam") == "–"
    bench.pad.edit(**RING)
    # two lengths, two heights and a full circle of 25 mm less half the gap
    by_hand = 2 * 100 + 2 * 80 + 2 * 3.14159265 * (25 - 0.25)
    assert bench.result.values["seam_length_mm"] == pytest.approx(by_hand, rel=1e-3)
    assert amount(bench, "Seam") == f"{by_hand:.0f} mm"
    assert {overlay["kind"] for overlay in bench.pad.overlays} == {
        "patch_outline", "seam", "cut_line"}  # fmt: skip
    bench.form.set("patch__margin", 30)
    kept = load(path)
    assert kept.patch.margin == 30
    assert estimate(kept).values["seam_length_mm"] == bench.result.values["seam_length_mm"]
    assert Bench(path, draw=True).result.values == pytest.approx(bench.result.values)


def test_a_crossing_ring_takes_the_answer_off_the_pad(drawn):
    drawn.pad.edit(op="move_point", id="a", index=0, to=[300, 170])
    assert drawn.pad.overlays == []
    drawn.pad.undo()
    assert drawn.pad.overlays


DEMO = DATA / "photo" / "floor.json"


def test_a_new_job_starts_from_another_and_leaves_it_alone(tmp_path):
    path, before = tmp_path / "mine.json", DEMO.read_bytes()
    bench = Bench(path, draw=True, like=DEMO)
    assert bench.result.values["seam_length_mm"] > 700
    assert "card 1, in its plane" in bench.pad.photo.word
    assert "from the first change" in bench.pad.state["word"]
    assert list(tmp_path.iterdir()) == []
    bench.form.set("patch__margin", 30)
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


def test_a_job_in_the_place_of_a_path_to_draw_on_is_refused_in_words(job):
    with pytest.raises(JobRefused, match="must be a path to draw on"):
        Bench(job(), draw=True)


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
        scale = 1 if name == "weld__current" or drawn_in == "mm" else 25.4
        at, low, high, _ = bench.form.row(name)["slider"]
        assert at * scale == pytest.approx(value, rel=1e-3) and low <= at <= high
        assert float(bench.form.row(name)["text"]) * scale == pytest.approx(value, rel=0.02)
    assert bench.job.data == sound.data
    bench.form.set("sheet__role", "skin")
    assert bench.job.data == sound.changed(sheet__role="skin").data
    bench.form.set("patch__margin", float(bench.form.row("patch__margin")["text"]) + 1)
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
    bench.form.set("weld__process", "141")
    assert not bench.job.given("patch.gap")
    shown = float(bench.form.row("patch__gap")["text"])
    assert shown == pytest.approx(bench.job.gap, abs=0.005) != Bench(job()).job.gap


def test_controls_follow_a_job_that_was_changed_elsewhere(drawn):
    path = drawn.shelf.path
    Bench(path, draw=True).form.set("patch__margin", 40)
    drawn.pad.load_newer()
    assert drawn.form.row("patch__margin")["text"] == "40"
    drawn.form.set("sheet__role", "skin")
    assert load(path).patch.margin == 40


def test_units_are_switched_for_everything_at_once(drawn):
    path = drawn.shelf.path
    drawn.form.set("patch__margin", 38)
    kept = path.read_bytes()
    drawn.strip.units = "in"
    assert drawn.pad.units == drawn.display == "in"
    row = drawn.form.row("patch__margin")
    assert row["unit"] == "in" and float(row["text"]) == pytest.approx(38 / 25.4, abs=0.001)
    assert amount(drawn, "Seam").endswith(" in") and amount(drawn, "Wire").endswith(" oz")
    assert " in</div>" in drawn.details.cards.value and " mm" not in drawn.details.cards.value
    assert drawn.pad.overlays[2]["label"].endswith(" in")
    assert any("in" in option for option in drawn.details.two_ways.first.options)
    assert path.read_bytes() == kept
    drawn.form.set("patch__margin", 1.75)
    assert drawn.job.patch.margin == pytest.approx(44.45)
    drawn.pad.units = "mm"
    assert drawn.strip.units == "mm"
    assert float(drawn.form.row("patch__margin")["text"]) == pytest.approx(44.45, abs=0.06)


def test_units_are_switched_before_anything_is_drawn(tmp_path):
    bench = Bench(tmp_path / "job.json", draw=True)
    bench.pad.units = "in"
    assert bench.form.row("weld__stitch")["unit"] == "in"
    assert bench.result is None


def test_a_bench_without_a_pad_is_switched_too(bench):
    bench.display = "in"
    assert "in</text>" in bench.picture.value
    assert amount(bench, "Seam").endswith(" in")


def test_a_drawn_ring_that_is_left_out_is_told_over_the_figures_and_shown(drawn):
    assert drawn.strip.word["kind"] == "ok"
    drawn.pad.edit(**RING | {"id": "b", "points": [[300, 0], [400, 0], [300, 80], [400, 80]]})
    seam = drawn.result.values["seam_length_mm"]
    word = drawn.strip.word
    assert word["text"].startswith("1 drawn ring is not in these figures.")
    assert "crosses" in word["text"] and word["id"] == "b"
    drawn.strip._receive(None, {"show": "b"}, [])
    assert drawn.pad.look["id"] == "b"
    drawn.strip._receive(None, {"show": "nothing"}, [])
    assert drawn.pad.look["id"] == "b"
    drawn.pad.edit(op="add", id="c", kind="fold", points=[[0, 0]])
    assert "2 drawn shapes are not in these figures" in drawn.strip.word["text"]
    drawn.pad.edit(op="delete", id="c")
    drawn.pad.edit(op="move_point", id="b", index=2, to=[400, 81])
    drawn.pad.edit(op="move_point", id="b", index=3, to=[300, 80])
    assert "All 2 drawn shapes are in these figures" in drawn.strip.word["text"]
    assert drawn.result.values["seam_length_mm"] > seam


def test_rust_drawn_but_not_sound_is_not_called_undrawn(tmp_path):
    bench = Bench(tmp_path / "job.json", draw=True)
    bench.pad.edit(**RING | {"points": [[0, 0], [100, 0], [0, 80], [100, 80]]})
    assert "No figures yet" in bench.strip.word["text"] and bench.strip.word["id"] == "a"
    assert "Draw a ring" not in bench.strip.word["text"]


def test_a_process_chosen_anew_drops_what_suited_the_old_one_only(job):
    bench = Bench(job(weld={"current": 90, "stitch": 30}))
    bench.form.set("weld__process", "141")
    assert not bench.job.given("weld.current")
    assert bench.job.weld.stitch == 30
    bench.form.set("weld__current", 77)
    assert bench.job.weld.current == 77


def test_settings_made_before_anything_is_drawn_are_kept(tmp_path):
    path = tmp_path / "job.json"
    bench = Bench(path, draw=True)
    bench.form.set("customer", "A. Miller (invented)")
    bench.form.set("shop__labour_rate", "85")
    bench.form.set("patch__margin", "300")
    assert "must be 0 to 200 mm" in bench.form.refused["patch__margin"]
    again = Bench(path, draw=True)
    assert again.form.row("customer")["text"] == "A. Miller (invented)"
    again.pad.edit(**RING)
    assert load(path).customer == "A. Miller (invented)"
    assert again.result.values["labour_rate_per_h"] == 85
    assert len(json.loads(path.read_text())["rust"]) == 1


def test_names_and_numbers_of_drawn_things_have_rows(drawn):
    drawn.pad.edit(op="add", id="p_1__x", kind="protect_line", points=[[0, 0]])
    drawn.pad.edit(op="insert", id="p_1__x", index=1, at=[300, 0])
    drawn.pad.edit(op="finish", id="p_1__x")
    drawn.form.set("drawn__p_1__x__name", "brake pipe")
    drawn.form.set("drawn__p_1__x__value", "50")
    assert (drawn.job.panel.protect[0].name, drawn.job.panel.protect[0].limit) == ("brake pipe", 50)
    drawn.form.set("drawn__p_1__x__value", "900")
    assert "must be 25 to 400" in drawn.form.refused["drawn__p_1__x__value"]
    drawn.display = "in"
    assert drawn.form.row("drawn__p_1__x__value")["unit"] == "°F"
    drawn.form.set("drawn__p_1__x__value", "140")
    assert drawn.job.panel.protect[0].limit == pytest.approx(60)


def test_things_drawn_in_a_job_without_a_pad_can_be_changed_too(bench):
    bench.form.set("drawn__job-3__value", 55)
    assert bench.job.panel.protect[0].limit == 55
    assert bench.job.panel.protect[0].name == "fuel line"
