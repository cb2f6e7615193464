"""Visitors of one server: a folder each, one page a name at a time, no name out of the folder."""

from __future__ import annotations

import multiprocessing
import os

import pytest

from sheetkit.base.errors import JobRefused
from sheetkit.sketch import visitors
from sheetkit.sketch.visitors import SILENT_S, NameTaken, called, enter, place


@pytest.fixture
def clock():
    class Clock:
        now = 1e9

        def __call__(self) -> float:
            return self.now

    return Clock()


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("  Anna ", "Anna"),
        ("Anna   B", "Anna B"),
        ("Zoe\u0308", "Zo\u00eb"),
        ("李", "李"),
        ("7", "7"),
    ],
)
def test_a_name_is_kept_as_people_write_it(typed, name):
    assert called(typed) == name


@pytest.mark.parametrize(
    "typed",
    ["", "  ", "..", ".here", "a/b", "..\\up", "/etc", "con", "a:b", "a" * 41, "a\0b", ".json"],
)
def test_a_name_that_no_folder_can_have_is_refused_with_a_remedy(tmp_path, typed):
    with pytest.raises(JobRefused) as refused:
        enter(tmp_path / "visitors", typed, tab="t", kernel="k")
    fault = refused.value.faults[0]
    assert fault.field == "name" and fault.remedy
    assert not (tmp_path / "visitors").exists()


def test_every_visitor_has_a_folder_of_their_own(tmp_path, clock):
    stays = [
        enter(tmp_path / "v", f"pupil {n}", tab=f"t{n}", kernel=f"k{n}", clock=clock)
        for n in range(10)
    ]
    assert len({stay.folder for stay in stays}) == 10
    assert all(stay.folder.is_dir() and stay.folder.parent == tmp_path / "v" for stay in stays)
    assert all(stay.renew() for stay in stays)


def test_the_second_of_a_name_is_told_and_the_first_goes_on(tmp_path, clock):
    first = enter(tmp_path, "Anna", tab="a", kernel="1", clock=clock)
    for name in ("Anna", "anna ", "ANNA"):
        with pytest.raises(NameTaken) as taken:
            enter(tmp_path, name, tab="b", kernel="2", clock=clock)
        assert "another page" in str(taken.value) and "look on" in str(taken.value)
    assert first.renew()
    assert [path.name for path in tmp_path.iterdir()] == ["Anna"]


def test_a_tab_that_is_loaded_again_goes_on_and_its_former_page_is_told(tmp_path, clock):
    former = enter(tmp_path, "Anna", tab="a", kernel="1", clock=clock)
    again = enter(tmp_path, "Anna", tab="a", kernel="2", clock=clock)
    assert again.folder == former.folder
    assert not former.renew() and again.renew()
    former.leave()
    assert again.renew(), "a page that went away takes nothing with it"


def test_pages_without_a_word_of_their_own_are_no_one_tab(tmp_path, clock):
    enter(tmp_path, "Anna", tab="", kernel="1", clock=clock)
    with pytest.raises(NameTaken):
        enter(tmp_path, "Anna", tab="", kernel="2", clock=clock)


def test_a_page_that_fell_silent_is_gone_and_told_when_it_wakes(tmp_path, clock):
    first = enter(tmp_path, "Anna", tab="a", kernel="1", clock=clock)
    clock.now += SILENT_S - 1
    with pytest.raises(NameTaken):
        enter(tmp_path, "Anna", tab="b", kernel="2", clock=clock)
    clock.now += 2
    second = enter(tmp_path, "Anna", tab="b", kernel="2", clock=clock)
    assert not first.renew() and second.renew()


def test_a_page_that_slept_finds_its_name_again_if_nobody_took_it(tmp_path, clock):
    first = enter(tmp_path, "Anna", tab="a", kernel="1", clock=clock)
    clock.now += 10 * SILENT_S
    assert first.renew()
    with pytest.raises(NameTaken):
        enter(tmp_path, "Anna", tab="b", kernel="2", clock=clock)


def test_who_leaves_lets_the_name_go(tmp_path, clock):
    enter(tmp_path, "Anna", tab="a", kernel="1", clock=clock).leave()
    assert enter(tmp_path, "Anna", tab="b", kernel="2", clock=clock).renew()


@pytest.mark.parametrize("text", ["", "{", "[1]", '{"at_s": "now", "tab": 3}', "\0\xff"])
def test_a_damaged_word_of_who_is_there_locks_nobody_out(tmp_path, clock, text):
    (tmp_path / "Anna").mkdir()
    (tmp_path / "Anna" / ".here").write_text(text, encoding="latin-1")
    assert enter(tmp_path, "Anna", tab="a", kernel="1", clock=clock).renew()


def test_a_folder_that_is_no_folder_is_told_in_words(tmp_path):
    (tmp_path / "v").write_text("")
    with pytest.raises(visitors.SheetkitError) as refused:
        enter(tmp_path / "v", "Anna", tab="a", kernel="1")
    assert "can't be written" in str(refused.value)


def _race(folder, number, start, found):
    start.wait()
    try:
        enter(folder, "Anna", tab=f"t{number}", kernel=f"k{number}")
        found.put("in")
    except NameTaken:
        found.put("told")


@pytest.mark.skipif(os.name == "nt", reason="processes are forked here")
def test_of_many_at_once_one_gets_the_name(tmp_path):
    context = multiprocessing.get_context("fork")
    start, found = context.Event(), context.Queue()
    racers = [context.Process(target=_race, args=(tmp_path, n, start, found)) for n in range(6)]
    for racer in racers:
        racer.start()
    start.set()
    outcomes = sorted(found.get(timeout=120) for _ in racers)
    for racer in racers:
        racer.join()
    assert outcomes == ["in"] + ["told"] * 5


def test_a_name_leads_to_the_folder_that_is_there(tmp_path):
    (tmp_path / "Anna").mkdir()
    assert place(tmp_path, "aNNa") == tmp_path / "Anna"
    assert place(tmp_path, "Ben") == tmp_path / "Ben"
