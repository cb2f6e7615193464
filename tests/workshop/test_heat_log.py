"""The heat log: round trips, rows set aside, writers at once, spreadsheets, and what it teaches."""

import multiprocessing

import pytest

from sheetkit.base.errors import SheetkitError
from sheetkit.sequence.burnt_strip import MeasuredStrip
from sheetkit.sequence.cooling_curve import Learned, Reading
from sheetkit.sequence.shop_heat import BOOK, ShopHeat
from sheetkit.workshop import heat_log
from sheetkit.workshop.book import Book
from sheetkit.workshop.heat_log import HeatEntry, entry_of, keep, own_heat, read_heat_log

HEAD = ",".join(heat_log.COLUMNS)
HEAT = ShopHeat(1.2, 0.6, 0.05, 0.08, 0.85, 3, 1)
GOOD = {
    "entry": "h1", "date": "2024-05-01", "job": "floor.json", "heat_ratio": 1.2, "heat_spread": 0.05,
    "loss_ratio": 0.6, "loss_spread": 0.08, "together": 0.85, "readings": 3, "read": "60 s 80 degC",
}  # fmt: skip


def line(**cells):
    return ",".join(str((GOOD | cells).get(name, "")) for name in heat_log.COLUMNS)


def test_round_trip(tmp_path):
    path = tmp_path / "heat.csv"
    first = HeatEntry("floor.json", "2024-05-01", HEAT, "60 s 80.0 degC", 'a "note", so')
    keep(path, first)
    keep(tmp_path, HeatEntry("", "2024-05-02", HEAT, "strip 30.0 mm to 200 degC"))  # its folder
    log = read_heat_log(path)
    assert log.entries[0] == first and len(log.entries) == 2 and log.set_aside == ()
    assert own_heat(tmp_path) == log.own
    assert 1.0 < log.own.heat < 1.2 and (log.own.readings, log.own.jobs) == (6, 2)


def test_the_readings_stand_in_the_entry_as_they_were():
    learned = Learned(HEAT, (), (), ())
    entry = entry_of("a.json", learned, (Reading(60, 81.25), Reading(420, 30)), MeasuredStrip(33.5))
    assert entry.read == "60 s 81.2 degC; 420 s 30.0 degC; strip 33.5 mm to 200 degC"
    assert entry.heat == HEAT and entry.entry.startswith("h")


def test_without_a_log_it_is_the_book_and_asking_for_your_own_is_refused(tmp_path):
    assert read_heat_log(tmp_path / "heat.csv").own == BOOK
    with pytest.raises(SheetkitError, match="heat log that is there"):
        own_heat(tmp_path / "heat.csv")
    (tmp_path / "heat.csv").write_text(f"{HEAD}\n{line(heat_ratio=9)}\n")
    with pytest.raises(SheetkitError, match="heat_ratio"):
        own_heat(tmp_path)


BAD = {
    "no date": ({"date": ""}, {"date"}),
    "ratio out of belief": ({"heat_ratio": 3.0}, {"heat_ratio"}),
    "no ratio": ({"loss_ratio": ""}, {"loss_ratio"}),
    "text": ({"loss_spread": "wide"}, {"loss_spread"}),
    "nan": ({"together": "nan"}, {"together"}),
    "no spread at all": ({"heat_spread": 0}, {"heat_spread"}),
    "half a reading": ({"readings": 2.5}, {"readings"}),
    "a thousand and one": ({"readings": 1001}, {"readings"}),
    "two at once": ({"date": "1.5.24", "heat_ratio": ""}, {"date", "heat_ratio"}),
}


@pytest.mark.parametrize("kind", BAD)
def test_a_bad_row_is_named_set_aside_and_stays_in_the_file(tmp_path, kind):
    cells, fields = BAD[kind]
    path = tmp_path / "heat.csv"
    path.write_text(f"{HEAD}\n{line(**cells)}\n{line(entry='h2', job='wing.json')}\n")
    log = read_heat_log(path)
    assert [entry.entry for entry in log.entries] == ["h2"]
    (aside,) = log.set_aside
    assert aside.line == 2 and {fault.field for fault in aside.faults} == fields
    keep(path, HeatEntry("x.json", "2024-06-01", HEAT, "60 s 70 degC"))
    assert line(**cells) in path.read_text()
    book = Book.open(tmp_path)
    assert "line 2" in str(book.set_aside_listing()) and len(book.heat.entries) == 2


def test_kept_again_with_more_readings_it_stands_for_the_earlier_row(tmp_path):
    path = tmp_path / "heat.csv"
    entry = HeatEntry(
        "floor.json", "2024-05-01", ShopHeat(1.3, 1.0, 0.1, 0.3, 0.5, 1, 1), "60 s 90 degC"
    )
    keep(path, entry)
    more = HeatEntry(
        "floor.json", "2024-05-01", HEAT, "60 s 90 degC; 180 s 60 degC", entry=entry.entry
    )
    keep(path, more)
    assert read_heat_log(path).entries == (more,)
    assert len(path.read_text().splitlines()) == 3  # nothing was taken out of the file


def test_the_same_readings_under_two_names_count_once(tmp_path):
    path = tmp_path / "heat.csv"
    path.write_text(f"{HEAD}\n{line()}\n{line(entry='other')}\n")
    assert [entry.entry for entry in read_heat_log(path).entries] == ["other"]


def test_what_a_spreadsheet_saved_is_read_and_added_to(tmp_path):
    path = tmp_path / "heat.csv"
    text = (
        f"{HEAD};mine\n{line()};x\n".replace(",", ";").replace("1.2", "1,2").replace("0.6;", "0,6;")
    )
    path.write_bytes("\ufeff".encode() + text.replace("\n", "\r\n").encode())
    log = read_heat_log(path)
    assert log.entries[0].heat.heat == 1.2 and log.entries[0].heat.loss == 0.6
    assert "mine" in str(log.set_aside[0])
    keep(path, HeatEntry("x.json", "2024-06-01", HEAT, "60 s 70 degC"))
    assert ";1,2;" in path.read_text(encoding="utf-8-sig").splitlines()[-1]
    assert len(read_heat_log(path).entries) == 2


def test_a_job_log_is_no_heat_log(tmp_path):
    path = tmp_path / "log.csv"
    path.write_text("entry,date,job,welding_h,note\n")
    with pytest.raises(SheetkitError, match="heat_ratio"):
        keep(path, HeatEntry("x.json", "2024-06-01", HEAT))
    assert path.read_text() == "entry,date,job,welding_h,note\n"


def test_a_faulty_entry_is_refused_and_nothing_is_written(tmp_path):
    with pytest.raises(SheetkitError, match="date"):
        keep(tmp_path / "heat.csv", HeatEntry("x.json", "yesterday", HEAT))
    assert not (tmp_path / "heat.csv").exists()


def write_some(path, who):
    for n in range(12):
        keep(path, HeatEntry(f"{who}.json", "2024-06-01", HEAT, f"{60 + n} s 70 degC"))


def test_writers_at_once_lose_nothing(tmp_path):
    path = tmp_path / "heat.csv"
    start = multiprocessing.get_context("spawn")
    writers = [start.Process(target=write_some, args=(path, who)) for who in "ab"]
    for one in writers:
        one.start()
    for one in writers:
        one.join(120)
    assert [one.exitcode for one in writers] == [0, 0]
    log = read_heat_log(path)
    assert len(log.entries) == 24 and not log.set_aside


def test_it_is_shown_beside_the_book(tmp_path):
    keep(tmp_path, HeatEntry("x.json", "2024-06-01", HEAT, "60 s 70 degC"))
    rows = Book.open(tmp_path).heat.listing()
    assert rows.texts()[0][1] == "1.00 (0.78 to 1.28)"
    assert rows.texts()[1][0] == "loss to the air" and "readings" in rows.heads
    assert [row[4] for row in rows.rows] == [3, 3]
    empty = Book.open(tmp_path / "..").heat.listing()
    assert "book alone" in str(empty)
