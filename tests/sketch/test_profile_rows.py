"""Rows of flats and bends, typed and read back."""

import math

import numpy as np
import pytest

from sheetkit import Job
from sheetkit.job.model import Sheet
from sheetkit.job.profile import Profile
from sheetkit.sketch import profile_rows
from sheetkit.sketch.profile_rows import (
    RowsRefused,
    first_rows,
    less,
    more,
    profile_of,
    rows_of,
    told_at,
)

SHEET = Sheet(thickness=1.0)
RUST = [[10, 10], [40, 10], [40, 40], [10, 40]]


def job(profile, drawn_in="mm", ring=RUST):
    return Job.from_data({"format": "sheetkit-job/1", "drawn_in": drawn_in, "sheet": {"thickness": "1 mm"},
                          "panel": {"profile": profile}, "rust": [{"ring": ring}]})  # fmt: skip


@pytest.mark.parametrize("kind", profile_rows.STARTS)
@pytest.mark.parametrize("display", ["mm", "in"])
def test_what_one_begins_with_is_sound_and_holds_the_drawing(kind, display):
    drawn = [np.array(RUST) + [300, 220]]
    rows = first_rows(kind, SHEET, drawn, display)
    made = job(profile_of(rows, SHEET, "mm"), ring=(np.array(RUST) + [300, 220]).tolist())
    first = made.section.flats[0]
    assert first[0] <= 230 and first[1] >= 260, "the rust lies on the first flat"
    wanted = {"one": ["face"], "channel": ["face", "face"], "step": ["face", "back"]}[kind]
    assert [bend.toward for bend in made.section.bends] == wanted


@pytest.mark.parametrize("drawn_in", ["mm", "in"])
def test_rows_give_back_the_section_they_were_made_of(drawn_in):
    draws = np.random.default_rng(3)
    for _ in range(50):
        count = int(draws.integers(1, 6))
        turns = draws.uniform(5, 80, count) * draws.choice([-1, 1], count)
        headings = np.radians(np.concatenate([[0], np.cumsum(turns)]))
        legs = draws.uniform(40, 90, count + 1)[:, None]
        steps = legs * np.column_stack([np.cos(headings), np.sin(headings)])
        points = np.vstack([[0, 0], np.cumsum(steps, axis=0)])
        profile = Profile(points=points.tolist(), radii=[float(r) for r in draws.uniform(1, 4, count)],
                          face=str(draws.choice(["left", "right"])), run="y", k=0.42,
                          measured=str(draws.choice(list(profile_rows.MEASURED))))  # fmt: skip
        before = profile.section(1.0)
        rows = rows_of(profile, SHEET, drawn_in)
        data = profile_of(rows, SHEET, drawn_in, {"face": profile.face})
        after = Profile.model_validate(data, context={"drawn_in": drawn_in}).section(1.0)
        assert after.unrolled_length_mm == pytest.approx(before.unrolled_length_mm, abs=2e-3)
        assert [b.toward for b in after.bends] == [b.toward for b in before.bends]
        assert np.allclose(after.flats, before.flats, atol=2e-3)


def test_a_turn_to_the_face_is_up():
    """One bend of 90 degrees toward the face: the second leg stands on the side the face is."""
    rows = first_rows("one", SHEET, [], "mm")
    made = job(profile_of(rows, SHEET, "mm")).section
    ends = made.in_section([made.start_mm, made.end_mm])
    assert ends[1][1] > 30, "the flange stands up from the face"
    rows["bends"][0]["toward"] = "back"
    made = job(profile_of(rows, SHEET, "mm")).section
    assert made.in_section([made.end_mm])[0][1] < -30


def test_every_fault_is_told_at_its_row():
    rows = first_rows("step", SHEET, [], "mm")
    rows["flats"][1]["length"] = "wide"
    rows["bends"][0]["angle"] = "175"
    rows["bends"][1]["radius"] = ""
    rows["start"] = "5 kg"
    rows["k"] = "0.9"
    with pytest.raises(RowsRefused) as refused:
        profile_of(rows, SHEET, "mm")
    told = told_at(refused.value)
    assert set(told) == {"flats.1.length", "bends.0.angle", "bends.1.radius", "start", "k"}
    assert "1 to 170 degrees from flat" in told["bends.0.angle"]
    assert "0.2 to 0.6" in told["k"]


def test_units_typed_and_decimal_commas_are_read():
    rows = first_rows("one", SHEET, [], "mm")
    rows["flats"][0]["length"], rows["flats"][1]["length"] = "4 in", "35,5"
    rows["bends"][0]["angle"] = "88 deg"
    points = np.array(profile_of(rows, SHEET, "mm")["points"])
    assert np.hypot(*np.diff(points, axis=0).T) == pytest.approx([101.6, 35.5], abs=1e-6)
    turn = math.atan2(*(points[2] - points[1])[::-1])
    assert math.degrees(turn) == pytest.approx(88, abs=1e-6)


def test_a_flange_too_short_for_its_bend_is_told_at_the_flange():
    rows = first_rows("one", SHEET, [], "mm")
    rows["flats"][1]["length"] = "1.5"
    with pytest.raises(Exception) as refused:
        job(profile_of(rows, SHEET, "mm"))
    told = told_at(refused.value)
    assert set(told) == {"flats.1.length"} and "bends take that much" in told["flats.1.length"]


def test_bends_are_put_and_taken():
    rows = first_rows("one", SHEET, [], "mm")
    longer = more(rows, SHEET)
    assert (len(longer["flats"]), len(longer["bends"])) == (3, 2)
    assert less(longer, 1) == rows
    assert less(rows, 0) is None, "without a bend it is flat"
    assert less(rows, 7) == rows


def test_places_and_closed_sections_are_kept_for_each_flat():
    rows = first_rows("channel", SHEET, [], "mm")
    assert "positions" not in profile_of(rows, SHEET, "mm")
    rows["flats"][0]["position"], rows["flats"][1]["closed"] = "overhead", True
    made = job(profile_of(rows, SHEET, "mm")).panel.profile
    assert made.positions == ("overhead", "flat", "flat")
    assert made.closed == (False, True, False)
    again = rows_of(made, SHEET, "mm")
    assert [flat["closed"] for flat in again["flats"]] == [False, True, False]


def test_flats_that_say_nothing_are_as_the_sheet():
    boxed = Sheet(thickness=1.0, position="overhead", back_access=False)
    rows = first_rows("channel", boxed, [], "mm")
    assert all(flat["closed"] for flat in rows["flats"])
    assert "closed" not in profile_of(rows, boxed, "mm")
    rows["flats"][2] |= {"position": "vertical", "closed": False}
    data = profile_of(rows, boxed, "mm")
    assert data["positions"] == ["overhead", "overhead", "vertical"]
    assert data["closed"] == [True, True, False]
