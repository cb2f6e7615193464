"""Tables for learners: what they show follows from the model and its rules."""

import json

import pytest

import sheetkit as sk
from sheetkit.heat.closed_forms import instantaneous_line_source
from sheetkit.views import lessons


def test_a_tack_is_warmest_nearby_and_later_further_off():
    frame = lessons.one_tack(350, 0.9).table().set_index("after, s")
    assert (frame.loc[2].diff().dropna() < 0).all()
    assert frame["30 mm away, °C"].idxmax() > frame["15 mm away, °C"].idxmax()
    alone = instantaneous_line_source(350, 5, 2, thickness_mm=0.9)
    assert frame.loc[2, "5 mm away, °C"] == pytest.approx(20 + float(alone))


@pytest.mark.parametrize("name", ["strip", "small_patch", "full_patch"])
def test_the_practice_jobs_are_sound_and_say_they_are_invented(data_folder, name):
    path = data_folder / "practice" / f"{name}.json"
    assert "Invented" in json.loads(path.read_text(encoding="utf-8"))["notes"]
    assert len(sk.estimate(sk.load(path)).welds) >= 8


@pytest.mark.parametrize(("energy", "thickness"), [(350, -1), (350, 0), (0, 1), (float("nan"), 1)])
def test_a_tack_that_can_not_be_is_refused(energy, thickness):
    with pytest.raises(sk.base.errors.OutOfRange, match="must be"):
        lessons.one_tack(energy, thickness)


def test_laps_and_closed_backs_wait_longer(data_folder):
    frame = lessons.other_waits(sk.load(data_folder / "practice" / "small_patch.json")).table()
    assert list(frame["how it lies"]) == list(lessons.LIES)

    def seconds(text):
        minutes, _, rest = text.rpartition("min")
        return 60 * int(minutes or 0) + int(rest.replace("s", "") or 0)

    for column in ("wait beside a fresh stitch", "fill, once round", "fill, every third"):
        butt_open, butt_closed, lap_open, lap_closed = map(seconds, frame[column])
        assert butt_open < butt_closed < lap_closed and butt_open < lap_open < lap_closed
    assert (frame["fill, once round"].map(seconds) > frame["fill, every third"].map(seconds)).all()
