"""The form is read off the job's model: nothing a job holds is left without a control."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated, get_args

import pytest
from pydantic import Field
from pydantic.fields import FieldInfo

from sheetkit import load
from sheetkit.job import titles
from sheetkit.job.field_types import Quantity
from sheetkit.job.formed import Swage
from sheetkit.job.job import Job
from sheetkit.job.model import FoldLine, Panel, Part, Sheet
from sheetkit.job.titles import CHOICES
from sheetkit.repair.inputs import PRICES
from sheetkit.sketch.shape_kinds import BEND_RADIUS_MM, KINDS, SWAGE_DEPTH_MM, TOWARD
from sheetkit.widgets import Bench
from sheetkit.widgets.form import fields, rows

DATA = Path(__file__).parents[2] / "data"
DRAWN = {"rust", "panel", "patch.folds", "patch.lips"}
"""What is drawn on the pad, or set beside it."""
DRAWN_PARTS = {"rust", "patch.folds"} | {f"panel.{name}" for name in Panel.model_fields}
DRAWN_PARTS |= {f"patch.folds.{name}" for name in FoldLine.model_fields}
FILE_S_OWN = {"format", "drawn_in"}


def leaves(model, above=""):
    for name, info in model.model_fields.items():
        kinds, _ = fields._looked_into(info.annotation)
        inner = [k for k in kinds if isinstance(k, type) and issubclass(k, Part)]
        if f"{above}{name}" in DRAWN | FILE_S_OWN:
            continue
        if inner:
            yield from leaves(inner[0], f"{above}{name}.")
        else:
            yield f"{above}{name}"


def test_everything_a_job_holds_has_a_control():
    there = {entry.field for entry in fields.entries()}
    wanted = set(leaves(Job)) - {"shop.prices"}
    wanted |= {f"shop.prices.{item}" for item, *_ in PRICES.values()}
    assert wanted - there == set()
    assert {"customer", "shop.tax", "shop.cylinder.pressure", "sheet.beneath"} <= there


def test_a_field_new_in_the_model_has_a_control_at_once(monkeypatch):
    class MoreSheet(Sheet):
        still_air: Annotated[float, Quantity("temperature", -20, 45)] = 15.0
        bracing: Annotated[int, Field(ge=0, le=9)] = 2

    monkeypatch.setitem(Job.model_fields, "sheet", FieldInfo(annotation=MoreSheet))
    found = {entry.path: entry for entry in fields.entries()}
    air, bracing = found["sheet__still_air"], found["sheet__bracing"]
    assert (air.label, air.group, air.kind) == ("Still air", fields.SHEET, "quantity")
    assert (air.low, air.high) == (-20, 45)
    assert (bracing.kind, bracing.low, bracing.high) == ("number", 0, 9)


def test_words_stand_for_fields_that_are_there():
    there = {entry.path for entry in fields.entries()}
    assert set(fields._PLACE) <= there
    assert set(fields._TOPS) | set(fields._UNITS) <= there
    named = {entry.field for entry in fields.entries()} | DRAWN_PARTS
    assert set(titles.TITLES) - {"shop.prices", "shop.cylinder"} <= named
    assert set(titles.CHOICES) <= named


@pytest.mark.parametrize("name", ["trunk_floor", "footwell", "wheel_arch"])
@pytest.mark.parametrize("display", ["mm", "in"])
def test_what_the_form_shows_read_back_says_the_same(name, display):
    """Every box's own text, typed anew, leaves the job's value where it is shown the same."""
    bench = Bench(load(DATA / f"{name}.json"))
    bench.display = display
    for entry in fields.entries():
        shown = bench.form.row(entry.path)
        if shown["off"] or not shown["given"]:
            continue
        before = rows.value_of(bench.job, entry.path)
        text = str(shown["choice"]) if entry.kind == "choice" else shown["text"]
        bench.form._changed(entry.path, text)
        assert bench.form.refused == {}, entry.path
        after = rows.value_of(bench.job, entry.path)
        if isinstance(before, float):
            assert after == pytest.approx(before, rel=0.02)
        else:
            assert after == before


def test_assumed_values_say_so_with_range_and_origin(job):
    form = Bench(job()).form
    assert form.row("shop__cylinder__water_volume")["text"] == "10"
    assert form.row("shop__cylinder__pressure")["text"] == "200"
    assert form.row("shop__cylinder__pressure")["note"] == "assumed, our guess"
    assert form.row("patch__margin")["note"] == "assumed: 12 to 40, common practice"
    assert form.row("weld__current")["note"].startswith("assumed: ")
    assert form.row("sheet__thickness")["note"] == "yours"
    for path, row in form.rows.items():
        entry = form.entry(path)
        if entry.kind in ("quantity", "number") and not row["given"]:
            assert row["note"].startswith(("assumed", "not said")), path


@pytest.mark.parametrize(
    ("path", "text", "value"),
    [
        (
            "shop__sheet_stock",
            "1000 x 500, 600x400 mm",
            [["1000 mm", "500 mm"], ["600 mm", "400 mm"]],
        ),
        ("shop__exclusions", "paint; ; trim ", ["paint", "trim"]),
        ("shop__valid_days", "14", 14),
        ("shop__labour_rate", "72,50", 72.5),
        ("weld__flow", "12", "12 l/min"),
        ("weld__flow", "25 ft^3/h", "25 ft^3/h"),
        ("patch__gap", " ", None),
    ],
)
def test_what_is_typed_is_read_as_the_job_takes_it(job, path, text, value):
    form = Bench(job()).form
    assert rows.read(form.entry(path), text, "mm") == value


def test_stock_and_exclusions_reach_the_job(job):
    bench = Bench(job())
    bench.form.set("shop__sheet_stock", "1000 x 500, 600 x 400")
    bench.form.set("shop__exclusions", "paint; trim")
    assert bench.job.shop.sheet_stock == ((1000, 500), (600, 400))
    assert bench.job.shop.exclusions == ("paint", "trim")
    assert bench.form.row("shop__sheet_stock")["text"] == "1000 x 500 mm, 600 x 400 mm"
    bench.form.set("shop__sheet_stock", "a big one")
    assert "shop__sheet_stock" in bench.form.refused


def test_a_joggle_is_set_where_the_joint_is_a_lap(job):
    bench = Bench(job())
    form, on, run = bench.form, "patch__joggle__on", "patch__joggle__run"
    assert form.row(on)["off"] and form.row(run)["off"]
    form.set("patch__joint", "lap")
    assert not form.row(on)["off"] and form.row(run)["off"], "there is none yet"
    plain = bench.result.patches[0].blank.area
    form.set(on, "patch")
    assert bench.job.patch.joggle.on == "patch" and not form.row(run)["off"]
    assert form.row(run)["note"].startswith("assumed: ")
    assert bench.result.patches[0].blank.area > plain, "the step takes up sheet"
    form.set(run, "1")
    assert "must be at least" in form.refused[run] and bench.job.patch.joggle.run > 1
    form.set(run, "16")
    form.set("patch__joggle__radius", "1.5")
    assert bench.job.data["patch"]["joggle"] == {"on": "patch", "run": "16 mm", "radius": "1.5 mm"}
    form.set("patch__joint", "butt")
    assert "a joggle in a butt joint" in form.refused["patch__joint"]
    form.set(on, None)
    assert bench.job.patch.joggle is None and "joggle" not in bench.job.data["patch"]
    assert bench.job.patch.joint == "butt", "what was refused before it is taken over with it"


def test_a_choice_goes_back_to_the_usual(job):
    """As its button does: an empty text is sent."""
    form = (bench := Bench(job(patch={"joint": "lap", "joggle": {}, "shape": "box"}))).form
    for path in ("patch__shape", "patch__joggle__on", "patch__joint"):
        form._changed(path, "")
    assert form.refused == {}
    assert (bench.job.patch.shape, bench.job.patch.joggle, bench.job.patch.joint) == (
        "follow",
        None,
        "butt",
    )


def test_a_bottle_goes_back_to_the_assumed_one_whole(job):
    bench = Bench(job())
    bench.form.set("shop__cylinder__pressure", "90")
    assert bench.job.shop.cylinder.pressure == 90
    bench.form.set("shop__cylinder__pressure", "")
    assert "cylinder" not in bench.job.data.get("shop", {})


def test_a_page_is_answered_in_order_whatever_it_sends(job):
    bench = Bench(job())
    form = bench.form
    form._receive(None, {"client": "a", "number": 2, "path": "patch__margin", "text": "31"}, [])
    assert bench.job.patch.margin == 25, "the first message isn't there yet"
    form._receive(None, {"client": "a", "number": 1, "path": "patch__margin", "text": "40"}, [])
    assert bench.job.patch.margin == 31
    assert form.answer["acks"] == {"a": 2}
    form._receive(None, {"client": "a", "number": 3, "path": "no__such", "text": "1"}, [])
    form._receive(None, {"client": "a", "number": 4, "path": "patch__shape", "text": "17"}, [])
    assert form.answer["acks"] == {"a": 4}
    assert "patch__shape" in form.answer["refused"]
    form._receive(None, {"client": "a", "number": 5, "path": "patch__shape", "text": None}, [])
    assert form.answer["refused"] == {}
    form._receive(None, "nonsense", [])


def test_refusals_speak_of_the_fields_as_the_form_does(job):
    bench = Bench(job())
    bench.form.set("weld__spacing", 20)
    why = bench.form.refused["weld__spacing"]
    assert "“Part”" in why and "sheet.role" not in why
    assert (
        titles.in_words("weld.flow and weld.other, e.g. 1.5")
        == "“Gas flow” and weld.other, e.g. 1.5"
    )


def test_a_fold_has_its_inner_radius_on_screen(tmp_path, job_data):
    line = {"line": [[-20, 30], [120, 30]], "angle": 30}
    data = job_data(patch={"folds": [line, line | {"line": [[-20, 40], [120, 40]], "radius": 2}]})
    path = tmp_path / "folded.json"
    path.write_text(json.dumps(data))
    for bench in (Bench(Job.from_data(data)), Bench(path, draw=True)):
        drawn = [p for p in bench.form.rows if p.startswith("drawn__") and p.endswith("__radius")]
        rows_of = {p: bench.form.row(p) for p in drawn}
        first, second = rows_of
        assert [(row["text"], row["note"]) for row in rows_of.values()] == [
            ("1", "assumed, our guess"),
            ("2", "yours"),
        ]
        bench.form.set(first, "3.5")
        assert [fold.radius for fold in bench.job.patch.folds] == [3.5, 2]
        assert [fold.angle for fold in bench.job.patch.folds] == [30, 30]
        bench.form.set(second, "200")
        assert "must be 0.1 to 100 mm" in bench.form.refused[second]
    folds = json.loads(path.read_text())["patch"]["folds"]
    assert folds[0] == line | {"radius": "3.5 mm"} and folds[1]["radius"] == 2
    again = Bench(path, draw=True)
    assert [again.form.row(p)["text"] for p in (first, second)] == ["3.5", "2"]


def test_a_fold_says_on_screen_where_it_is_bent_to(tmp_path, job_data):
    line = {"line": [[-20, 30], [120, 30]], "angle": 30}
    data = job_data(
        patch={"folds": [line, line | {"line": [[-20, 40], [120, 40]], "toward": "back"}]}
    )
    path = tmp_path / "folded.json"
    path.write_text(json.dumps(data))
    for bench in (Bench(Job.from_data(data)), Bench(path, draw=True)):
        first, second = (p for p in bench.form.rows if p.endswith("__toward"))
        assert [bench.form.row(p)["note"] for p in (first, second)] == ["not said", "yours"]
        assert bench.form.entry(first).options[0][1] == ""
        bench.form.set(first, "face")
        assert [fold.toward for fold in bench.job.patch.folds] == ["face", "back"]
        assert {bend.toward for bend in bench.result.patches[0].bends} == {"face", "back"}
        bench.form.set(second, "sideways")
        assert "face, back" in bench.form.refused[second]
        bench.form.set(second, "")
        assert [fold.toward for fold in bench.job.patch.folds] == ["face", None]
    assert json.loads(path.read_text())["patch"]["folds"] == [
        line | {"toward": "face"}, line | {"line": [[-20, 40], [120, 40]]},
    ]  # fmt: skip


def test_the_faces_a_fold_can_be_bent_to_are_those_of_the_model():
    choices = CHOICES["patch.folds.toward"]
    in_file, nothing = get_args(FoldLine.model_fields["toward"].annotation)
    assert get_args(in_file) == TOWARD and nothing is type(None)
    assert set(choices) == {*TOWARD, None}


def test_the_bend_radius_is_that_of_the_model():
    (mark,) = (m for m in FoldLine.model_fields["radius"].metadata if isinstance(m, Quantity))
    low, usual, high = BEND_RADIUS_MM
    assert (mark.low, FoldLine.model_fields["radius"].default, mark.high) == (low, usual, high)


def test_a_swage_has_its_width_and_depth_on_screen(job_data):
    swage = {"line": [[-200, 90], [220, 90]], "width": 24, "depth": 5}
    bench = Bench(Job.from_data(job_data(panel={"swages": [swage]})))
    width, depth = (p for p in bench.form.rows if p.startswith("drawn__"))
    assert [bench.form.row(p)["text"] for p in (width, depth)] == ["24", "5"]
    bench.form.set(depth, "0.25 in")
    assert bench.job.panel.swages[0].depth == pytest.approx(6.35)
    bench.form.set(depth, "25")
    assert "at most its width" in bench.form.refused[depth]
    bench.form.set(width, "30")
    assert bench.job.panel.swages[0].width == 30


def test_a_swage_s_numbers_are_those_of_the_model():
    def ends(name):
        (mark,) = (m for m in Swage.model_fields[name].metadata if isinstance(m, Quantity))
        return mark.low, mark.high

    assert ends("width") == (KINDS["swage"].low, KINDS["swage"].high)
    assert ends("depth") == SWAGE_DEPTH_MM[::2]
