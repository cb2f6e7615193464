"""The job book on screen: rows, the form that judges while one types, and what the log teaches at once."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from sheetkit.widgets import JobBook
from sheetkit.widgets.book import fields
from sheetkit.workshop.log import Entry, add, read_log

DATA = Path(__file__).parents[2] / "data" / "job_book"
NEXT = "07_next"


@pytest.fixture
def folder(tmp_path):
    return Path(shutil.copytree(DATA, tmp_path / "winter"))


@pytest.fixture
def book(folder):
    made = JobBook(folder)
    made.wait()
    return made


def row(book, name):
    book.wait()
    return next(row for row in book.table.rows if row["name"] == name)


def typed(form, **texts):
    for name, text in texts.items():
        form._receive(None, {"name": name, "text": text, "job": form.job}, [])


def pressed(form):
    form._receive(None, {"press": form.job}, [])
    return form.said["text"]


def test_every_job_has_a_picture_a_state_hours_and_cost(book):
    assert [one["name"][:2] for one in book.table.rows] == [
        "01",
        "02",
        "03",
        "04",
        "05",
        "06",
        "07",
    ]
    for one in book.table.rows:
        assert one["marks"] and not one["why"]
        assert "…" not in one["cells"]
    assert row(book, NEXT)["cells"][0] == "estimated"
    assert row(book, "01_trunk_floor")["cells"][0] == "logged 2024-02-10"
    assert book.table.heads[1] == "hours, your own" and "6 logged jobs" in book.factors.value


def test_the_first_job_not_logged_is_chosen_and_its_figures_are_the_hints(book):
    assert book.table.chosen == NEXT and book.form.job == book.by_book.job.title
    for name, figure in (
        ("welding_h", "welding_h"),
        ("wire_g", "wire_bought_g"),
        ("flap_discs",) * 2,
    ):
        span, told = book.by_book.range(figure), book.form.rows[name]
        assert float(told["hint"]) == pytest.approx(span.likely, rel=0.06)
        low, high = told["note"].split(";")[0].removeprefix("by the book ").split(" to ")
        assert float(low) == pytest.approx(span.low, rel=0.06)
        assert float(high) == pytest.approx(span.high, rel=0.06)
    assert "guess" in book.form.rows["access_h"]["note"]


def test_hints_and_units_follow_the_switch(book):
    grams = float(book.form.rows["wire_g"]["hint"])
    book.display = "in"
    told = book.form.rows
    assert told["wire_g"]["unit"] == "oz"
    assert float(told["wire_g"]["hint"]) == pytest.approx(grams / 28.35, rel=0.06)
    assert told["pressure_before_bar"]["unit"] == "psi" and told["bottle_after_c"]["unit"] == "°F"
    typed(
        book.form, wire_g="0.5", bottle_before_c="50", pressure_before_bar="150 bar", welding_h="1"
    )
    entry, faults = book.form._entry()
    assert not faults
    assert entry.measured["wire_g"] == pytest.approx(14.17, abs=0.01)
    assert entry.measured["bottle_before_c"] == pytest.approx(10)
    assert entry.measured["pressure_before_bar"] == 150


@pytest.mark.parametrize(
    ("text", "hours"),
    [("1.5", 1.5), ("1,5", 1.5), ("1:30", 1.5), ("1 h 30", 1.5), ("1h30 min", 1.5), ("90 min", 1.5),
     ("1 1/2", 1.5), ("1 1/2 h", 1.5), (" 2 ", 2.0), ("0", 0.0)],
)  # fmt: skip
def test_hours_are_read_as_people_write_them(text, hours):
    assert fields.read("welding_h", text, "mm") == pytest.approx(hours)


@pytest.mark.parametrize(
    ("texts", "field", "words"),
    [
        ({"welding_h": "two"}, "welding_h", "must be"),
        ({"welding_h": "-2"}, "welding_h", "not negative"),
        ({"welding_h": "300"}, "welding_h", "at most 200 h"),
        ({"wire_g": "30 mm"}, "wire_g", "unit of something else"),
        ({"date": "31.5.2024", "welding_h": "1"}, "date", "write it as 2024-05-31"),
        (
            {"pressure_before_bar": "140", "pressure_after_bar": "150"},
            "pressure_after_bar",
            "swap them",
        ),
        ({"cutting_discs": "a few"}, "cutting_discs", "must be a number"),
        ({"bottle_before_c": "-30", "welding_h": "1"}, "bottle_before_c", "at least -10"),
    ],
)
def test_a_slip_is_told_at_its_field_and_not_logged(book, folder, texts, field, words):
    before = (folder / "log.csv").read_bytes()
    typed(book.form, **texts)
    assert words in book.form.rows[field]["fault"]
    assert not book.form.ready
    said = pressed(book.form)
    assert fields.ASKED[field].label in said and "_" not in said
    assert book.form.said["kind"] == "fault"
    assert (folder / "log.csv").read_bytes() == before
    assert book.form.rows[field]["text"] == texts[field], "nothing typed is lost"


def test_every_slip_is_told_at_once_and_goes_when_it_is_mended(book):
    typed(book.form, welding_h="-1", wire_g="much", flap_discs="-3")
    wrong = {name for name, told in book.form.rows.items() if told["fault"]}
    assert wrong >= {"wire_g"} and len(wrong) == 3
    typed(book.form, welding_h="1", wire_g="20", flap_discs="")
    assert not any(told["fault"] for told in book.form.rows.values()) and book.form.ready


def test_an_empty_form_is_no_fault_and_no_entry(book, folder):
    before = (folder / "log.csv").read_bytes()
    assert not any(told["fault"] for told in book.form.rows.values())
    assert not book.form.ready
    assert "must hold at least one measured thing" in pressed(book.form)
    assert (folder / "log.csv").read_bytes() == before


def test_what_would_teach_nothing_is_remarked_beside_its_field(book):
    typed(book.form, welding_h="60", pressure_before_bar="143")
    assert "times the book's" in book.form.rows["welding_h"]["remark"]
    assert "before and after" in book.form.rows["pressure_after_bar"]["remark"]
    assert book.form.ready, "it may be true: who logs it knows"


def test_the_gauge_after_is_hinted_from_the_gauge_before(book):
    typed(book.form, pressure_before_bar="100")
    told = book.form.rows["pressure_after_bar"]
    litres = book.by_book.range("gas_real_l").likely
    drop = 100 - float(told["hint"])
    assert drop == pytest.approx(litres / book.by_book.job.shop.cylinder.water_volume, rel=0.25)
    assert "l less" in told["note"]


def test_without_gas_the_gauge_is_not_asked(folder):
    from sheetkit import load
    from sheetkit.base.files import write_text_atomically
    from sheetkit.job.job import dumps

    for gas, process, words in (("C1", "135", "weigh the bottle"), (None, "114", "no gas")):
        job = load(folder / f"{NEXT}.json").changed(weld__process=process, weld__gas=gas, weld__wire=None,
                                                    weld__flow=None)  # fmt: skip
        write_text_atomically(folder / f"{NEXT}.json", dumps(job))
        form = JobBook(folder).form
        assert form.rows["pressure_before_bar"]["off"]
        assert words in form.rows["pressure_after_bar"]["note"]


def test_a_logged_job_is_in_the_log_and_everything_follows(book, folder):
    first, hours = book.result, row(book, NEXT)["cells"][1]
    typed(book.form, date="2024-07-06", access_h="8", welding_h="2:00", dressing_h="3", wire_g="30",
          pressure_before_bar="143", pressure_after_bar="136", note="no  surprise")  # fmt: skip
    assert book.form.total.startswith("13.00 h in 3 steps; the book says ")
    assert "Logged for" in pressed(book.form)
    entry = read_log(folder / "log.csv").entries[-1]
    assert (entry.job, entry.date, entry.note) == (f"{NEXT}.json", "2024-07-06", "no surprise")
    assert entry.measured == {"access_h": 8, "welding_h": 2, "dressing_h": 3, "wire_g": 30,
                              "pressure_before_bar": 143, "pressure_after_bar": 136}  # fmt: skip
    assert book.result.hours.likely > first.hours.likely
    assert row(book, NEXT)["cells"][0] == "logged 2024-07-06"
    assert row(book, NEXT)["cells"][1] != hours and row(book, NEXT)["cells"][2] == "13.0"
    assert "learnt from 7 logged jobs" in book.factors.value
    assert book.table.chosen == NEXT and book.form.rows["welding_h"]["text"] == ""


def test_a_job_is_not_logged_twice_by_a_second_press(book, folder):
    for said in ("Logged for", "the same as one in the log"):
        typed(book.form, date="2024-07-06", welding_h="2")
        assert said in pressed(book.form)
    assert sum(e.job == f"{NEXT}.json" for e in read_log(folder / "log.csv").entries) == 1


def test_what_was_typed_for_one_job_waits_while_another_is_looked_at(book):
    typed(book.form, welding_h="1.25")
    book.choose("02_footwell")
    assert book.form.rows["welding_h"]["text"] == ""
    book.choose(NEXT)
    assert book.form.rows["welding_h"]["text"] == "1.25"


def test_a_message_for_the_job_before_never_reaches_the_next(book):
    former = book.form.job
    book.choose("02_footwell")
    book.form._receive(None, {"name": "welding_h", "text": "9", "job": former}, [])
    assert book.form.rows["welding_h"]["text"] == ""


def test_a_refused_write_is_told_and_loses_nothing(book, monkeypatch):
    from sheetkit.base.errors import Fault, NotWritten

    def full(*_):
        raise NotWritten(Fault("log.csv", "it can't be written (disk full)", "stays", "make room"))

    monkeypatch.setattr("sheetkit.workshop.log.append", full)
    typed(book.form, welding_h="1")
    assert "disk full" in pressed(book.form) and book.form.rows["welding_h"]["text"] == "1"


def test_what_others_wrote_is_there_after_reading_again(book, folder):
    add(folder / "log.csv", Entry("07_next.json", "2024-08-01", {"welding_h": 1.0}))
    (folder / "08_bad.json").write_text('{"format": "sheetkit-job/1"}')
    book.renew()
    assert row(book, NEXT)["cells"][0] == "logged 2024-08-01"
    assert row(book, "08_bad")["why"]
    book.choose("08_bad")
    assert book.result is None and book.form.rows == {} and "must" in book.factors.value


def test_a_row_opens_on_a_bench_and_closes_with_new_figures(book):
    book.table._receive(None, {"do": "open", "name": "02_footwell"}, [])
    assert book.bench in book.children and book.table.chosen == "02_footwell"
    hours = row(book, "02_footwell")["cells"][1]
    book.bench.form.set("patch__margin", 60)
    book._close()
    assert row(book, "02_footwell")["cells"][1] != hours


@pytest.mark.parametrize("message", [None, {}, {"do": "open"}, {"do": "open", "name": "../x"},
                                     {"do": [], "name": []}, {"press": []}, {"name": 3, "text": 3}])  # fmt: skip
def test_a_strange_message_does_nothing(book, folder, message):
    names = sorted(path.name for path in folder.iterdir())
    book.table._receive(None, message, [])
    book.form._receive(None, message, [])
    assert book.bench is None and sorted(path.name for path in folder.iterdir()) == names


def test_what_a_user_typed_is_escaped(folder):
    from sheetkit import load
    from sheetkit.base.files import write_text_atomically
    from sheetkit.job.job import dumps

    job = load(folder / f"{NEXT}.json").changed(title="<script>x</script>")
    write_text_atomically(folder / f"{NEXT}.json", dumps(job))
    add(folder / "log.csv", Entry("<b>.json", "2024-08-01", {"welding_h": 1.0}))
    book = JobBook(folder)
    book.wait()
    stored = book._repr_mimebundle_()
    assert all("<script" not in text and "<b>." not in text
               for text in (book.factors.value, book.aside.value, stored["text/html"]))  # fmt: skip
    assert repr(book) == "JobBook('winter')"


def test_an_empty_folder_is_an_empty_book(tmp_path):
    book = JobBook(tmp_path)
    book.wait()
    assert book.table.rows == [] and book.form.job == "" and book.result is None
    assert "choose one" in pressed(book.form)
