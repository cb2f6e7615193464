"""The job: read, changed, saved in one piece; inch and metric files mean the same."""

import copy
import json
import math
import os
import string

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import sheetkit
from sheetkit import Job, JobRefused, SheetkitError, load, save
from sheetkit.job import file
from sheetkit.job.job import dumps


def test_small_job_gets_its_defaults(job):
    small = job()
    assert small.sheet.thickness == 1.0
    assert (small.patch.margin, small.patch.shape, small.patch.joint) == (25, "follow", "butt")
    assert (small.patch.corner_radius, small.patch.overlap, small.gap) == (25, 20, 0.5)
    assert (small.weld.process, small.weld.fill, small.weld.stitch) == ("135", "stitch", 25)
    assert small.weld.current is None
    assert small.weld.interpass_limit == 60


def test_job_is_frozen(job):
    small = job()
    with pytest.raises(Exception, match="frozen"):
        small.title = "other"


def test_data_is_a_copy(job):
    small = job()
    small.data["title"] = "changed"
    small.data["sheet"]["thickness"] = 3
    assert "title" not in small.data
    assert small.data["sheet"]["thickness"] == 1.0


def test_the_given_mapping_is_not_kept(job_data):
    data = job_data()
    one = Job.from_data(data)
    data["sheet"]["thickness"] = 3
    assert one.data["sheet"]["thickness"] == 1.0


def test_changed_gives_a_new_job(job):
    small = job(patch={"margin": 30})
    wider = small.changed(patch__margin="2 in", weld__process="141", title="t")
    assert wider.patch.margin == pytest.approx(50.8)
    assert wider.weld.process == "141"
    assert small.patch.margin == 30 and small.title == ""
    assert wider.changed(patch__margin=None).patch.margin == 25
    with pytest.raises(JobRefused, match=r"patch\.margin"):
        small.changed(patch__margin=-1)


def test_given_knows_what_the_user_wrote(job):
    small = job(patch={"gap": 0.9})
    assert small.given("patch.gap") and small.given("sheet.thickness")
    assert not small.given("patch.margin") and not small.given("weld.current")


def test_only_what_was_given_is_called_given(job):
    """Origins: the small job gives the sheet's thickness and nothing else that is an input."""
    result = sheetkit.estimate(job())
    given = {n for n, row in result.inputs.items() if row.status == "given by the user"}
    assert given == {"thickness_mm"}


@pytest.mark.parametrize("gauge", ["18 gauge", "18 ga", "18 MSG"])
def test_gauge_text(job, gauge):
    """Manufacturers' Standard Gauge 18: 0.0478 in."""
    assert job(sheet={"thickness": gauge}).sheet.thickness == pytest.approx(0.0478 * 25.4, abs=1e-4)


@pytest.mark.parametrize("gauge", ["9 gauge", "29 gauge", "0 gauge", "99 ga"])
def test_gauge_outside_the_table(job, gauge):
    with pytest.raises(JobRefused, match=r"sheet\.thickness.*10 to 28"):
        job(sheet={"thickness": gauge})


def test_gauge_is_named_in_the_text(cli):
    assert "18 gauge, Manufacturers' Standard" in cli("estimate", "data/footwell.json").stdout


def in_inches(data):
    """Return a metric job drawn again in inches."""
    scaled = copy.deepcopy(data) | {"drawn_in": "in"}
    scaled["sheet"]["thickness"] /= 25.4
    for rust in scaled["rust"]:
        rust["ring"] = [[x / 25.4, y / 25.4] for x, y in rust["ring"]]
    panel = scaled["panel"]
    panel["outline"] = [[x / 25.4, y / 25.4] for x, y in panel["outline"]]
    panel["holes"] = [[[x / 25.4, y / 25.4] for x, y in ring] for ring in panel["holes"]]
    for item in panel["protect"]:
        item["line"] = [[x / 25.4, y / 25.4] for x, y in item["line"]]
    for part, keys in (("patch", ("margin", "corner_radius", "gap")), ("weld", ("stitch", "tack"))):
        for key in keys:
            scaled[part][key] /= 25.4
    return scaled


def test_inch_file_equals_metric_file(demo):
    metric = demo("trunk_floor")
    one, other = (sheetkit.estimate(Job.from_data(d)) for d in (metric, in_inches(metric)))
    for name, value in one.values.items():
        assert other.values[name] == pytest.approx(value, rel=1e-6), name
    assert len(one.tacks) == len(other.tacks) and len(one.welds) == len(other.welds)
    assert [str(c) for c in one.cautions()] == [str(c) for c in other.cautions()]


def test_texts_with_units_mean_what_they_say(job):
    texts = job(
        sheet={"thickness": "1/25 in"},
        patch={"margin": "1 in", "corner_radius": "2 cm", "gap": "0.9 mm"},
        weld={"travel": "16 in/min", "flow": "25 cfh", "interpass_limit": "140 degF"},
        shop={"cylinder": {"water_volume": "10 l", "pressure": "2200 psi"}, "spool": "10 lb"},
    )
    assert texts.sheet.thickness == pytest.approx(1.016)
    assert texts.patch.margin == pytest.approx(25.4) and texts.patch.corner_radius == 20
    assert texts.weld.travel == pytest.approx(406.4)
    assert texts.weld.flow == pytest.approx(11.799, abs=1e-3)
    assert texts.weld.interpass_limit == pytest.approx(60)
    assert texts.shop.cylinder.pressure == pytest.approx(151.68, abs=0.01)
    assert texts.shop.spool == pytest.approx(4535.9, abs=0.1)


# Files -------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["trunk_floor", "wheel_arch", "footwell"])
def test_save_and_load_keep_what_the_user_wrote(demo, name, tmp_path):
    data = demo(name)
    path = tmp_path / "job.json"
    save(Job.from_data(data), path)
    assert load(path).data == data
    assert json.loads(path.read_text(encoding="utf-8")) == data


def test_the_version_before_stays_beside(job, tmp_path):
    path = tmp_path / "job.json"
    save(job(title="first"), path)
    assert not (tmp_path / "job.json.bak").exists()
    save(job(title="second"), path)
    save(job(title="third"), path)
    assert load(path).title == "third"
    assert load(tmp_path / "job.json.bak").title == "second"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["job.json", "job.json.bak"]


@pytest.mark.parametrize("failing", ["replace", "fsync"])
def test_a_crash_while_saving_leaves_the_old_file(job, tmp_path, monkeypatch, failing):
    path = tmp_path / "job.json"
    save(job(title="old"), path)

    def crash(*_):
        raise OSError("no space left")

    monkeypatch.setattr(os, failing, crash)
    with pytest.raises(OSError, match="no space"):
        save(job(title="new"), path)
    monkeypatch.undo()
    assert load(path).title == "old"
    assert not list(tmp_path.glob("*.part")) and not list(tmp_path.glob(".*"))


def test_saving_keeps_the_file_s_mode(job, tmp_path):
    path = tmp_path / "job.json"
    save(job(), path)
    path.chmod(0o640)
    save(job(), path)
    assert path.stat().st_mode & 0o777 == 0o640


def test_text_of_a_job_is_json_without_nan(job):
    text = dumps(job(title="Ölwanne – 3 °C"))
    assert "Ölwanne – 3 °C" in text
    assert json.loads(text)["title"] == "Ölwanne – 3 °C"


def test_file_with_a_byte_order_mark(job, tmp_path):
    path = tmp_path / "job.json"
    path.write_bytes(b"\xef\xbb\xbf" + dumps(job(title="bom")).encode())
    assert load(path).title == "bom"


# Anything at all ---------------------------------------------------------------------------

SCALARS = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.text(max_size=12),
    st.sampled_from(["1 mm", "18 gauge", "135", "butt", "box", "M21", "in", "-1 mm", "1e9 in"]),
)
KEYS = st.one_of(
    st.sampled_from(
        [
            *("format", "sheet", "thickness", "panel", "outline", "holes", "rust", "ring", "patch"),
            *("margin", "gap", "joint", "folds", "line", "at", "weld", "gas", "shop", "prices"),
            *("mountings", "protect", "drawn_in", "spacing", "cylinder", "sheet_stock", "grade"),
        ]
    ),
    st.text(string.printable, max_size=8),
)
JSON_LIKE = st.recursive(
    SCALARS,
    lambda inner: st.one_of(st.lists(inner, max_size=5), st.dictionaries(KEYS, inner, max_size=6)),
    max_leaves=25,
)


@settings(
    max_examples=150,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow],
)
@given(st.dictionaries(KEYS, JSON_LIKE, max_size=8))
def test_random_data_is_refused_in_words(data):
    with pytest.raises(SheetkitError) as refusal:
        Job.from_data(data)
    for fault in refusal.value.faults:
        assert fault.field and fault.value and fault.limit and fault.remedy
        assert "\n" not in str(fault) and str(fault).isprintable()


@settings(
    max_examples=150,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow],
)
@given(st.data())
def test_sound_job_with_one_part_replaced_is_read_or_refused(job_data, data):
    whole = job_data(
        panel={"outline": [[-99, -99], [300, -99], [300, 300]], "holes": [], "protect": []},
        patch={"margin": 20, "joint": "butt", "folds": []},
        weld={"process": "135", "current": 50},
        shop={"prices": {"gas": 50}, "cylinder": {"pressure": 100}},
    )
    part = whole
    for _ in range(data.draw(st.integers(0, 2))):
        inner = [v for v in part.values() if isinstance(v, dict)]
        if inner:
            part = data.draw(st.sampled_from(inner))
    part[data.draw(st.sampled_from(sorted(part)))] = data.draw(JSON_LIKE)
    try:
        made = Job.from_data(whole)
    except SheetkitError as error:
        assert all(fault.field for fault in error.faults)
    else:
        assert 0.4 <= made.sheet.thickness <= 4


@pytest.mark.parametrize("value", [[], "text", None, 5, 1.5, True])
def test_anything_but_an_object_is_refused(value):
    with pytest.raises(SheetkitError):
        Job.from_data(value)


def test_lists_nested_deep_in_the_data_are_refused(job_data):
    deep = []
    for _ in range(3000):
        deep = [deep]
    for key in ("title", "sheet", "rust", "panel"):
        with pytest.raises(SheetkitError):
            Job.from_data(job_data() | {key: deep})


def test_numbers_beyond_any_measure_are_refused(job_data):
    for value in (10**400, 10**5000, -(10**400), 1e308, math.nan, math.inf):
        with pytest.raises(SheetkitError, match=r"sheet\.thickness"):
            Job.from_data(job_data(sheet={"thickness": value}))


def test_a_job_shows_itself_in_a_line(job, demo):
    assert repr(job()) == "Job(1 mm sheet, 1 rust ring, butt joint, process 135)"
    for name in ("trunk_floor", "footwell", "wheel_arch"):
        assert len(repr(Job.from_data(demo(name)))) < 600
    long = repr(job(title="t" * 19_000 + "\x1b[2J"))
    assert len(long) < 600 and long.isprintable()


def test_the_plug_hole_that_must_fit_the_overlap_is_that_of_the_sheet(job_data):
    """8 mm is usual in 2 mm sheet, 6.4 mm in 1 mm (the table "plug_holes")."""
    plug = {"joint": "plug", "overlap": 9}
    assert Job.from_data(job_data(patch=plug)).patch.overlap == 9
    with pytest.raises(JobRefused, match=r"weld\.plug_hole: got 8 mm"):
        Job.from_data(job_data(patch=plug, sheet={"thickness": 2}))


def test_a_file_that_is_none_is_refused_in_its_own_words(tmp_path):
    """Not in the words of a file that can't be read."""
    (tmp_path / "large.json").write_bytes(b" " * (file.LARGEST_BYTES + 1))
    for path, words in ((tmp_path, "a folder"), (tmp_path / "large.json", "20000001 bytes")):
        with pytest.raises(JobRefused, match=words) as refused:
            load(path)
        (fault,) = refused.value.faults
        assert fault.value == words and "permissions" not in str(fault)
