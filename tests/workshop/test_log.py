"""The log: what it refuses, sets aside, and never loses."""

import csv
import multiprocessing
import os
import signal
import time

import pytest

from sheetkit.base.errors import SheetkitError
from sheetkit.workshop import log as job_log
from sheetkit.workshop.log import Entry

HEAD = ",".join(job_log.COLUMNS)


def line(**cells):
    return ",".join(str(cells.get(name, "")) for name in job_log.COLUMNS)


GOOD = {"entry": "a1", "date": "2024-05-01", "job": "floor.json", "welding_h": 1.5, "wire_g": 20}


def test_round_trip(tmp_path):
    path = tmp_path / "log.csv"
    first = Entry(
        "floor.json", "2024-05-01", {"welding_h": 1.5, "wire_g": 20.0}, 'said "ok", twice\nor so'
    )
    job_log.add(path, first)
    job_log.add(path, Entry("wing.json", "2024-05-02", {"dressing_h": 0.0}))
    log = job_log.read_log(path)
    assert log.entries[0] == first and log.entries[1].measured == {"dressing_h": 0.0}
    assert log.set_aside == ()


@pytest.mark.parametrize(
    "note", ['=HYPERLINK("http://x")', "+1", "-2 sills", "@a", "\tb", "'=c", "''+d", "'quoted'"]
)
def test_no_note_is_a_formula_in_a_spreadsheet_and_all_come_back(tmp_path, note):
    path = tmp_path / "log.csv"
    entry = Entry("floor.json", "2024-05-01", {"welding_h": 1.0}, note)
    job_log.add(path, entry)
    assert job_log.read_log(path).entries == (entry,)
    with path.open(encoding="utf-8", newline="") as file:
        (row,) = csv.DictReader(file)
    assert not row["note"].startswith(("=", "+", "-", "@", "\t"))


def test_an_absent_log_is_empty(tmp_path):
    assert job_log.read_log(tmp_path / "log.csv").entries == ()


BAD = {
    "job": (line(**GOOD | {"job": ""}), "job"),
    "date missing": (line(**GOOD | {"date": ""}), "date"),
    "date wrong": (line(**GOOD | {"date": "1.5.24"}), "date"),
    "nothing measured": (line(entry="x", date="2024-05-01", job="floor.json"), "entry"),
    "negative": (line(**GOOD | {"welding_h": -1}), "welding_h"),
    "absurd": (line(**GOOD | {"wire_g": 1e6}), "wire_g"),
    "not a number": (line(**GOOD | {"welding_h": "1 1/2"}), "welding_h"),
    "nan": (line(**GOOD | {"welding_h": "nan"}), "welding_h"),
    "infinite": (line(**GOOD | {"welding_h": "inf"}), "welding_h"),
    "gauge rose": (line(**GOOD | {"pressure_before_bar": 50, "pressure_after_bar": 90}), "pressure_after_bar"),
    "too many cells": (line(**GOOD) + ",1,2", "row"),
}  # fmt: skip


@pytest.mark.parametrize("kind", BAD)
def test_a_bad_row_is_named_set_aside_and_stays_in_the_file(tmp_path, kind):
    row, field = BAD[kind]
    path = tmp_path / "log.csv"
    path.write_text(f"{HEAD}\n{row}\n{line(**GOOD | {'entry': 'a2'})}\n")
    log = job_log.read_log(path)
    assert [e.entry for e in log.entries] == ["a2"]
    (aside,) = log.set_aside
    assert aside.line == 2 and aside.faults[0].field == field and aside.text in row
    job_log.add(path, Entry("wing.json", "2024-06-01", {"cutting_h": 1}))
    assert row in path.read_text()


def test_every_fault_of_a_row_is_named(tmp_path):
    path = tmp_path / "log.csv"
    path.write_text(f"{HEAD}\n{line(entry='x', date='?', welding_h=-2, wire_g='much')}\n")
    fields = {f.field for f in job_log.read_log(path).set_aside[0].faults}
    assert fields == {"job", "date", "welding_h", "wire_g"}


@pytest.mark.parametrize("again", [GOOD, GOOD | {"entry": "other"}, GOOD | {"welding_h": 2}])
def test_a_duplicate_is_set_aside_and_says_of_what(tmp_path, again):
    """The same entry twice: by its key, or by what it holds."""
    path = tmp_path / "log.csv"
    path.write_text(f"{HEAD}\n{line(**GOOD)}\n{line(**again)}\n")
    log = job_log.read_log(path)
    assert len(log.entries) == 1
    assert "already at line 2" in str(log.set_aside[0])


def test_two_like_jobs_on_other_days_are_no_duplicates(tmp_path):
    path = tmp_path / "log.csv"
    path.write_text(
        f"{HEAD}\n{line(**GOOD)}\n{line(**GOOD | {'entry': 'b', 'date': '2024-05-02'})}\n"
    )
    assert len(job_log.read_log(path).entries) == 2


def test_adding_refuses_with_every_fault_and_writes_nothing(tmp_path):
    path = tmp_path / "log.csv"
    with pytest.raises(SheetkitError) as caught:
        job_log.add(path, Entry("", "today", {"welding_h": -1, "polishing_h": 2}))
    assert {f.field for f in caught.value.faults} == {"job", "date", "welding_h", "polishing_h"}
    assert not path.exists()


def test_a_file_of_another_kind_is_left_alone(tmp_path):
    path = tmp_path / "log.csv"
    path.write_text("name,price\nwire,15\n")
    with pytest.raises(SheetkitError, match="unknown column"):
        job_log.add(path, Entry("floor.json", "2024-05-01", {"welding_h": 1}))
    assert path.read_text() == "name,price\nwire,15\n"


def _write(path, writer, count, gate):
    gate.wait()
    for i in range(count):
        job_log.add(path, Entry(f"{writer}_{i}.json", "2024-05-01", {"welding_h": 1 + i / 100}))


def test_two_writers_lose_no_row(tmp_path):
    path, context = tmp_path / "log.csv", multiprocessing.get_context("spawn")
    gate = context.Event()
    writers = [context.Process(target=_write, args=(path, name, 40, gate)) for name in "ab"]
    for writer in writers:
        writer.start()
    gate.set()
    for writer in writers:
        writer.join()
        assert writer.exitcode == 0
    log = job_log.read_log(path)
    assert {e.job for e in log.entries} == {f"{w}_{i}.json" for w in "ab" for i in range(40)}
    assert log.set_aside == ()


def _write_for_ever(path):
    for i in range(100_000):
        job_log.add(path, Entry(f"{i}.json", "2024-05-01", {"welding_h": 1}))


@pytest.mark.skipif(os.name == "nt", reason="there is no SIGKILL there")
def test_a_killed_writer_leaves_a_whole_log_and_no_lock(tmp_path):
    path, context = tmp_path / "log.csv", multiprocessing.get_context("spawn")
    job_log.add(path, Entry("first.json", "2024-04-01", {"welding_h": 1}))
    writer = context.Process(target=_write_for_ever, args=(path,))
    writer.start()
    while len(job_log.read_log(path).entries) < 4 and writer.is_alive():
        time.sleep(0.01)  # readers see whole files all the while
    os.kill(writer.pid, signal.SIGKILL)
    writer.join()
    log = job_log.read_log(path)
    assert log.set_aside == () and len(log.entries) >= 4
    assert [e.job for e in log.entries] == [
        "first.json",
        *(f"{i}.json" for i in range(len(log.entries) - 1)),
    ]
    job_log.add(path, Entry("last.json", "2024-06-01", {"welding_h": 1}))
    assert job_log.read_log(path).entries[-1].job == "last.json"


def test_a_write_that_fails_leaves_the_old_log(tmp_path, monkeypatch):
    path = tmp_path / "log.csv"
    job_log.add(path, Entry("floor.json", "2024-05-01", {"welding_h": 1}))
    old = path.read_bytes()

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", full)
    with pytest.raises(OSError, match="No space"):
        job_log.add(path, Entry("wing.json", "2024-05-02", {"welding_h": 1}))
    assert path.read_bytes() == old
    assert not list(tmp_path.glob("*.part"))


# As spreadsheets save it ------------------------------------------------------------------

ROWS = [
    GOOD,
    {"entry": "a2", "date": "2024-05-02", "job": "wing.json", "dressing_h": 0.25, "wire_g": 12.5,
     "note": 'said "ok", twice; or é'},
]  # fmt: skip


def saved(separator=",", comma=False, end="\r\n", head=job_log.COLUMNS, before=""):
    """Return a log as a spreadsheet saves it."""

    def cell(value):
        text = str(value).replace(".", ",") if comma and isinstance(value, float) else str(value)
        quoted = '"' + text.replace('"', '""') + '"'
        return quoted if any(c in text for c in f'{separator}"') else text

    rows = [
        separator.join(cell(row.get(name.strip().lower(), "")) for name in head) for row in ROWS
    ]
    return before + end.join([separator.join(head), *rows]) + end


EXTRA = (*job_log.COLUMNS[:4], "", *job_log.COLUMNS[4:], "")
LOUD = tuple(f" {name.upper()} " for name in job_log.COLUMNS)
SPREADSHEETS = {
    "commas": saved().encode(),
    "semicolons": saved(";").encode(),
    "semicolons, decimal commas": saved(";", comma=True).encode(),
    "with a mark": b"\xef\xbb\xbf" + saved().encode(),
    "tabs, UTF-16": b"\xff\xfe" + saved("\t", comma=True).encode("utf-16-le"),
    "tabs, UTF-16, the other way": b"\xfe\xff" + saved("\t").encode("utf-16-be"),
    "UTF-16 without a mark": saved("\t").encode("utf-16-le"),
    "old line ends": saved(end="\r").encode(),
    "columns without a head": saved(head=EXTRA).encode(),
    "capitals and blanks in the head": saved(head=LOUD).encode(),
    "blank lines on top": saved(before="\r\n,,,,\r\n").encode(),
    "a hint at the separator": saved(";", comma=True, before="sep=;\r\n").encode(),
    "blank cells behind": saved().replace("\r\n", ",,\r\n").encode(),
}


@pytest.mark.parametrize("kind", SPREADSHEETS)
def test_a_log_saved_by_a_spreadsheet_is_read_and_added_to_in_its_own_way(tmp_path, kind):
    path, content = tmp_path / "log.csv", SPREADSHEETS[kind]
    path.write_bytes(content)
    log = job_log.read_log(path)
    assert log.set_aside == ()
    assert [(e.entry, e.measured) for e in log.entries] == [
        ("a1", {"welding_h": 1.5, "wire_g": 20}),
        ("a2", {"dressing_h": 0.25, "wire_g": 12.5}),
    ]
    assert log.entries[1].note == ROWS[1]["note"]
    job_log.add(path, Entry("sill.json", "2024-05-03", {"welding_h": 0.75, "wire_g": 8}, "ß; x,y"))
    assert path.read_bytes().startswith(content)
    again = job_log.read_log(path)
    assert again.set_aside == () and again.entries[:2] == log.entries
    assert again.entries[2].measured == {"welding_h": 0.75, "wire_g": 8}
    assert again.entries[2].note == "ß; x,y"
    if kind == "semicolons, decimal commas":
        assert ";0,75;" in path.read_text(encoding="utf-8")


def test_a_column_no_log_has_is_told_once_and_its_rows_are_used(tmp_path):
    path = tmp_path / "log.csv"
    path.write_text(saved(head=(*job_log.COLUMNS, "colour", "wire_g")))
    log = job_log.read_log(path)
    assert len(log.entries) == 2
    (aside,) = log.set_aside
    assert [f.value for f in aside.faults] == ['unknown column "colour"', 'column "wire_g" twice']
    job_log.add(path, Entry("sill.json", "2024-05-03", {"welding_h": 1}))
    assert len(job_log.read_log(path).entries) == 3


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("2024-02-10 00:00:00", "2024-02-10"),
        ("2024-02-10T07:30", "2024-02-10"),
        ("2024-02-10T07:30:00.5Z", "2024-02-10"),
        ("2024/2/9", "2024-02-09"),
        ("02/10/2024", None),
        ("10.02.2024", None),
        ("10-2-24 0:00", None),
        ("2024-02-30", None),
        ("45332", None),
    ],
)
def test_dates_as_spreadsheets_rewrite_them(tmp_path, text, day):
    path = tmp_path / "log.csv"
    path.write_text(f"{HEAD}\n{line(**GOOD | {'date': text})}\n")
    log = job_log.read_log(path)
    if day:
        assert [entry.date for entry in log.entries] == [day]
    else:
        (aside,) = log.set_aside
        assert aside.faults[0].field == "date" and "write it as 2024-05-31" in str(aside)
        assert ("a spreadsheet rewrote it" in str(aside)) == (text[2:3] in "/.-")


@pytest.mark.parametrize(
    ("separator", "number", "read"),
    [(";", "1,500", 1.5), ("\t", "1,5", 1.5), ("\t", "1,500", None), (",", '"1,5"', None)],
)
def test_a_comma_that_may_part_thousands_is_not_guessed_at(tmp_path, separator, number, read):
    path = tmp_path / "log.csv"
    cells = separator.join(["date", "job", "wire_g"]), separator.join(["2024-05-01", "a", number])
    path.write_text("\n".join(cells) + "\n")
    log = job_log.read_log(path)
    assert [e.measured["wire_g"] for e in log.entries] == ([] if read is None else [read])
    assert len(log.set_aside) == (read is None)


def test_a_new_entry_has_a_name_no_spreadsheet_takes_for_a_number():
    assert all(Entry("a", "2024-05-01", {}).entry[0].isalpha() for _ in range(50))


OLD = tuple(name for name in job_log.COLUMNS if name not in job_log.COLDEST)
WARM = Entry("last.json", "2024-06-01", {"welding_h": 1.5, "bottle_before_c": -4.5}, entry="last")


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf", b"\xff\xfe"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("before", ["", "\n\n"])
@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_an_old_log_gets_the_column_it_lacks(tmp_path, mark, end, before, separator):
    """Its head grows; every row stays as it was, byte for byte."""
    path = tmp_path / "log.csv"
    encoding = "utf-16-le" if mark == b"\xff\xfe" else "utf-8"
    head = separator.join([*OLD[:-1], '"note"'])
    rows = saved(separator, separator == ";", end, head=OLD).partition(end)[2]
    path.write_bytes(mark + f"{before}{head}{end}{rows}".encode(encoding))
    old = job_log.read_log(path)
    job_log.add(path, WARM)
    text = path.read_bytes()[len(mark) :].decode(encoding)
    assert text.startswith(f"{before}{head}{separator}bottle_before_c{end}{rows}")
    new = job_log.read_log(path)
    assert new.entries == (*old.entries, WARM) and new.set_aside == old.set_aside
    assert len(old.entries) > 1
    job_log.add(path, Entry("cold.json", "2024-06-02", {"bottle_after_c": -9.0}))
    assert job_log.read_log(path).entries[:-1] == new.entries


@pytest.mark.parametrize("end", ["", "\n"])
def test_a_head_alone_gets_its_columns(tmp_path, end):
    path = tmp_path / "log.csv"
    path.write_text(f"date,job,welding_h{end}")
    job_log.add(path, WARM)
    assert job_log.read_log(path) == job_log.Log((WARM,), ())


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("date,job,welding_h\n2024-05-01,a.json,1,24\n", "line 2 of 4 cells"),
        ("date,job,colour\n2024-05-01,a.json,red\n", 'unknown column "colour"'),
        ("date,welding_h\n2024-05-01,1\n", "no column"),
    ],
)
def test_no_cell_comes_to_mean_what_it_never_meant(tmp_path, text, why):
    """A cell beyond the head would stand under the new column; a log is no other list."""
    path = tmp_path / "log.csv"
    path.write_text(text)
    with pytest.raises(SheetkitError, match=why):
        job_log.add(path, WARM)
    assert path.read_text() == text
