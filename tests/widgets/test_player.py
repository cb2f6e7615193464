"""The player and the planning bar without a browser."""

import pytest

from sheetkit.sequence.cooling_curve import Reading, learned
from sheetkit.sequence.thermometer import paced
from sheetkit.views import heat_frames
from sheetkit.widgets import Planning, Player
from sheetkit.workshop.heat_log import read_heat_log


@pytest.fixture
def player(small_plan):
    return Player(small_plan, mode="step", frames=20)


def report(player, kind, **more):
    player.event = {"n": player.echo + 1, "kind": kind, **more}


def end_of(plan, count):
    return plan.start_s[count - 1] + plan.model.stitches[plan.order[count - 1]].duration_s


def test_repr_is_stable_and_a_still_picture_is_kept(player):
    assert repr(player) == "Player(8 stitches)"
    data, _ = player._repr_mimebundle_()
    assert data["text/plain"] == repr(player)
    assert data["image/png"].startswith("iVBOR")


def test_the_page_gets_frames_and_stitches_in_welding_order(player, small_plan):
    scene = player.view
    frames = heat_frames.unpack(player.frames, scene["columns"], scene["rows"])
    assert len(frames) == len(scene["times_s"])
    assert [one["stitch"] - 1 for one in scene["stitches"]] == list(small_plan.order)
    assert len(player.colours) == 768
    assert player.sound is False


def test_every_event_is_echoed(player):
    report(player, "start", at_s=0.0, starts_s=[])
    assert player.echo == 1
    report(player, "hot", at_s=5.0, starts_s=[])
    assert player.echo == 2


def test_work_as_planned_keeps_the_starts(player, small_plan):
    count = 3
    report(player, "done", at_s=end_of(small_plan, count), starts_s=small_plan.start_s[:count])
    assert player.due_s == pytest.approx(small_plan.start_s, abs=0.5)


def test_a_reading_rescales_the_following_waits(player, small_plan):
    count = 3
    now, starts = end_of(small_plan, count), list(small_plan.start_s[:count])
    report(player, "done", at_s=now, starts_s=starts)
    before = list(player.due_s)
    warm = 20 + 1.5 * (paced(small_plan, starts, now).expected_c - 20)
    report(player, "reading", at_s=now, starts_s=starts, reading_c=warm)
    assert player.ratio == pytest.approx(1.5)
    assert player.due_s[:count] == pytest.approx(starts)
    assert player.due_s[count] > before[count] + 10
    assert player.due_s[-1] - before[-1] > player.due_s[count] - before[count]
    assert "was expected" in player.note["text"] and "longer" in player.note["text"]
    report(player, "restart", at_s=0.0, starts_s=[])
    assert player.ratio == 1 and player.due_s == pytest.approx(small_plan.start_s)


def test_a_slip_is_said_and_not_used(player, small_plan):
    now, starts = end_of(small_plan, 3), list(small_plan.start_s[:3])
    for celsius, words in (
        (2.0, "no colder than the air"),
        (23.0, "not used"),
        (1500.0, "not used"),
    ):
        report(player, "reading", at_s=now, starts_s=starts, reading_c=celsius)
        assert player.ratio == 1 and words in player.note["text"]
        assert "shorter" not in player.note["text"]
        assert "easure again" in player.note["text"]


def test_two_readings_that_agree_shorten_the_waits(player, small_plan):
    now, starts = end_of(small_plan, 4), list(small_plan.start_s[:4])
    cool = 20 + 0.6 * (paced(small_plan, starts, now).expected_c - 20)
    report(player, "reading", at_s=now, starts_s=starts, reading_c=cool)
    assert player.ratio == 0.8 and "second reading" in player.note["text"]
    report(player, "reading", at_s=now, starts_s=starts, reading_c=cool)
    assert player.ratio == pytest.approx(0.6) and "shorter" in player.note["text"]


@pytest.mark.parametrize(
    "event",
    [
        {},
        {"kind": "done"},
        {"kind": "done", "at_s": 5.0},
        {"kind": "done", "at_s": float("nan"), "starts_s": []},
        {"kind": "done", "at_s": 10**400, "starts_s": []},
        {"kind": "done", "at_s": 5.0, "starts_s": [3.0, 1.0]},
        {"kind": "done", "at_s": 5.0, "starts_s": ["x"]},
        {"kind": "done", "at_s": 5.0, "starts_s": [1.0] * 99},
        {"kind": "done", "at_s": 5.0, "starts_s": [-5.0]},
        {"kind": "done", "at_s": 5.0, "starts_s": [1e11]},
        {"kind": "reading", "at_s": 5.0, "starts_s": []},
        {"kind": "reading", "at_s": 5.0, "starts_s": [], "reading_c": float("nan")},
        {"kind": "reading", "at_s": 5.0, "starts_s": [], "reading_c": "70"},
        {"kind": "reading", "at_s": 5.0, "starts_s": [], "reading_c": True},
        {"kind": ["done"], "at_s": 5.0, "starts_s": []},
        {"kind": "explode", "at_s": 5.0, "starts_s": []},
    ],
)
def test_a_malformed_report_changes_nothing_and_is_said(player, event):
    due = list(player.due_s)
    player.event = event | {"n": 3}
    assert player.echo == 3 and player.due_s == due
    assert "could not be read" in player.note["text"]


@pytest.mark.parametrize("number", [None, "1", -1, 2.5, True, 10**400])
def test_an_event_without_its_number_is_left(player, number):
    player.event = {"n": number, "kind": "restart"}
    assert player.echo == 0


def test_a_time_far_beyond_the_plan_counts_as_a_day_after_it(player, small_plan):
    report(player, "done", at_s=1e11, starts_s=[])
    assert player.due_s[0] <= small_plan.total_s + 25 * 3600
    report(player, "done", at_s=-1e11, starts_s=[])
    assert player.due_s[0] >= 0


def test_a_reading_after_the_last_stitch_is_no_fault(player, small_plan):
    count = len(small_plan.order)
    now = end_of(small_plan, count)
    report(player, "reading", at_s=now, starts_s=list(small_plan.start_s), reading_c=80.0)
    assert player.echo == 1 and player.due_s == pytest.approx(small_plan.start_s)


def test_inches_go_with_fahrenheit(small_plan):
    player = Player(small_plan, display="in", frames=20)
    report(player, "reading", at_s=30.0, starts_s=[], reading_c=100.0)
    assert player.unit == "F"
    assert "212 °F" in player.note["text"]


def test_the_page_is_told_to_keep_the_labs_shortcuts_off(player):
    assert '"data-lm-suppress-shortcuts": "true"' in player._esm
    assert "contextmenu" in player._esm


def test_planning_keeps_progress_and_plan(small_estimate, small_plan):
    planning = Planning(small_estimate)
    assert repr(planning) == "Planning('Small patch')"
    found = planning.wait()
    assert planning.plan is found and found.order == small_plan.order
    assert planning.bar.value == 1 and not planning.button.disabled
    assert planning.stop_button.disabled
    assert "once round" in planning.message.value


def test_stopping_keeps_the_best_so_far(small_estimate):
    planning = Planning(small_estimate, start=True)
    planning.stop()
    found = planning.wait()
    assert sorted(found.order) == list(range(8))


def test_a_job_that_cannot_be_planned_is_explained(small_estimate):
    planning = Planning(
        type(small_estimate)(
            **{
                **{
                    name: getattr(small_estimate, name)
                    for name in small_estimate.__dataclass_fields__
                },
                "welds": (),
            }
        )
    )
    with pytest.raises(ValueError):
        planning.wait()
    assert "stitches" in planning.message.value
    assert not planning.button.disabled


def test_planning_shows_a_first_look_until_the_plan_is_there(small_estimate, monkeypatch):
    from sheetkit.sequence import warm

    monkeypatch.setattr(warm, "compiling", lambda: True)
    planning, seen = Planning(small_estimate), []
    planning.message.observe(lambda change: seen.append(change["new"]), "value")
    found = planning.wait()
    looks = [words for words in seen if "first look" in words]
    assert len(looks) == 1 and "not checked" in looks[0] and "<table" in looks[0]
    assert planning.plan is found and "first look" not in planning.message.value


@pytest.fixture
def finished(small_plan, tmp_path):
    """A player whose last stitch is in, with a heat log of its own."""
    return Player(small_plan, mode="step", frames=5, log=tmp_path, job="small.json")


def after_last(player, kind, **more):
    report(player, kind, turn=8, at_s=0.0, starts_s=list(player.plan.start_s), **more)
    return player.after_last


def test_readings_after_the_last_stitch_teach_and_are_kept(finished, small_plan, tmp_path):
    assert finished.after_last["lines"] == [] and not finished.after_last["kept"]
    book = learned(small_plan, [Reading(60, 80.0)]).book_c[0]
    shown = after_last(finished, "cooling", after_s=60.0, reading_c=20 + 1.2 * (book - 20))
    assert len(shown["lines"]) == 1 and "by the book" in shown["lines"][0]
    assert "from 1 reading" in shown["words"]
    shown = after_last(finished, "strip", width_mm=40.0)
    assert "40 mm" in shown["lines"][1] and "from 2 readings" in shown["words"]
    shown = after_last(finished, "keep")
    assert shown["kept"] and "heat.csv" in shown["said"]
    (entry,) = read_heat_log(tmp_path).entries
    assert entry.job == "small.json" and entry.heat.heat > 1.05
    assert entry.read.startswith("60 s ") and "strip 40.0 mm" in entry.read
    after_last(finished, "cooling", after_s=180.0, reading_c=50.0)
    after_last(finished, "keep")
    (again,) = read_heat_log(tmp_path).entries
    assert again.entry == entry.entry and again.heat.readings == 3


def test_a_line_left_out_counts_no_more_and_a_restart_forgets_all(finished):
    after_last(finished, "cooling", after_s=60.0, reading_c=80.0)
    one = dict(finished.after_last)
    after_last(finished, "strip", width_mm=90.0)
    assert finished.after_last["words"] != one["words"]
    assert after_last(finished, "forget", line=1)["words"] == one["words"]
    assert after_last(finished, "forget", line=0)["lines"] == []
    assert "nothing to keep" in after_last(finished, "keep")["said"]
    after_last(finished, "cooling", after_s=60.0, reading_c=80.0)
    report(finished, "restart", at_s=0.0, starts_s=[])
    assert finished.after_last["lines"] == []


@pytest.mark.parametrize(
    ("event", "words"),
    [
        ({"kind": "cooling", "after_s": 2.0, "reading_c": 80.0}, "after_s"),
        ({"kind": "cooling", "after_s": 60.0, "reading_c": 1e9}, "celsius"),
        ({"kind": "cooling", "after_s": "soon", "reading_c": 80.0}, "after_s"),
        ({"kind": "cooling", "after_s": 60.0, "reading_c": 10**400}, "celsius"),
        ({"kind": "strip", "width_mm": -4}, "strip_mm"),
        ({"kind": "strip"}, "strip_mm"),
        ({"kind": "forget", "line": "all"}, ""),
        ({"kind": "forget", "line": 99}, ""),
    ],
)
def test_what_cannot_be_a_reading_is_told_and_changes_nothing(finished, event, words):
    after_last(finished, "cooling", after_s=180.0, reading_c=50.0)
    before = finished.after_last["words"]
    shown = after_last(finished, **event)
    assert words in shown["said"] and shown["words"] == before and len(shown["lines"]) == 1


def test_nothing_is_learned_before_the_last_stitch(finished, small_plan):
    report(finished, "cooling", at_s=0.0, starts_s=list(small_plan.start_s[:3]), after_s=60.0,
           reading_c=80.0)  # fmt: skip
    assert finished.after_last["lines"] == [] and "could not be read" in finished.note["text"]


def test_a_log_that_cannot_be_written_is_told(finished, tmp_path):
    (tmp_path / "heat.csv").write_text("entry,date,job,welding_h\n")
    after_last(finished, "cooling", after_s=60.0, reading_c=80.0)
    shown = after_last(finished, "keep")
    assert "heat_ratio" in shown["said"] and not shown["kept"]


def test_with_inches_the_strip_is_typed_and_shown_in_them(small_plan):
    player = Player(small_plan, display="in", frames=5)
    assert player.after_last["length"] == "in" and player.after_last["mm_per_unit"] == 25.4
    shown = after_last(player, "strip", width_mm=38.1)
    assert "in wide" in shown["lines"][0]
