"""A first plan on a fresh computer: something to see at once, the plan itself no different."""

import os
import subprocess
import sys
from dataclasses import replace

import numpy as np
import pytest
from seams import SQUARE, runs_on
from shapely import Point

from sheetkit.heat.rules import Rules
from sheetkit.heat.workpiece import Workpiece
from sheetkit.sequence import warm
from sheetkit.sequence.first_look import FirstLook, look
from sheetkit.sequence.orders import tack_rounds
from sheetkit.sequence.places import CoolPlace
from sheetkit.sequence.plan import plan_sequence
from sheetkit.sequence.planner import SearchChoice

PIECE = Workpiece(None, [SQUARE], 1.0, runs_on(SQUARE, 8, 5), runs_on(SQUARE, 16))
TACKS = [n for part in tack_rounds(PIECE.tacks) for n in part]
QUICK = SearchChoice(effort=0.02)


@pytest.fixture
def fresh(monkeypatch):
    """Return a preparation that hasn't begun, in place of this process's own."""
    one = warm._Warming()
    monkeypatch.setattr(warm, "_warming", one)
    return one


@pytest.fixture(scope="module")
def first():
    return look(PIECE, [], Rules(60.0), TACKS, lambda *_: False)


def test_a_first_look_is_a_whole_order_with_waits_that_the_plan_betters(first):
    plan = plan_sequence(PIECE)
    assert sorted(first.order) == list(range(16)) and list(first.tack_order) == TACKS
    assert max(first.wait_s) > 5 and max(first.peak_before_start_c) <= 60.05
    ends = np.array(first.start_s) + [PIECE.stitches[n].duration_s for n in first.order]
    assert first.total_s == pytest.approx(ends[-1])
    assert plan.total_s < 1.05 * first.total_s
    # by the plan's own, finer reckoning the look's order takes about as long as it says
    own = plan.timed(first.order, plan.rules)
    assert own.total_s == pytest.approx(first.total_s, rel=0.1)
    assert repr(first).startswith("FirstLook(16 stitches, skip")


def test_a_first_look_waits_for_places_that_are_held(first):
    spot = CoolPlace("pipe", Point(50, -40), 52.0)
    piece = replace(PIECE, protect=[spot.place])
    waiting = look(piece, [spot], Rules(60.0), TACKS, lambda *_: False)
    assert waiting.total_s > first.total_s + 5
    taken_off = look(piece, [replace(spot, held=False)], Rules(60.0), TACKS, lambda *_: False)
    assert taken_off.total_s == pytest.approx(first.total_s, rel=1e-3)


def test_a_first_look_can_be_stopped():
    assert look(PIECE, [], Rules(60.0), TACKS, lambda *_: True) is None


def test_it_is_shown_only_while_kernels_are_compiled_and_changes_no_plan(monkeypatch):
    seen, told = [], []
    plain = plan_sequence(PIECE, choice=QUICK, first_look=seen.append)
    assert seen == []
    monkeypatch.setattr(warm, "compiling", lambda: True)
    plan = plan_sequence(PIECE, choice=QUICK, first_look=seen.append,
                         progress=lambda what, *_: told.append(what))  # fmt: skip
    assert [type(one) for one in seen] == [FirstLook] and told[0] == "first look"
    assert plan == plain


def test_nothing_is_compiled_again_once_it_is_in_the_cache(first, tmp_path):
    warm.wait()
    assert warm.missing_parts() == []
    code = "from sheetkit.sequence import warm; print(len(warm.missing_parts()))"
    asked = subprocess.run([sys.executable, "-c", code], text=True, capture_output=True, check=True,
                           env=os.environ | {"NUMBA_CACHE_DIR": str(tmp_path)})  # fmt: skip
    assert asked.stdout.strip() == "2"


def test_what_the_other_processes_run_is_sound():
    for code in (warm._HEAT, warm._SEARCH):
        exec(code, {})


def test_words_are_told_while_parts_are_made_and_taken_away_at_the_end(fresh, monkeypatch):
    monkeypatch.setattr(warm, "missing_parts", lambda: ["import time; time.sleep(0.3)", "1 / 0"])
    words, progress = [], []
    warm.begin(lambda _: 1 / 0)  # who can't be told holds nobody up
    warm.begin(words.append)
    assert warm.compiling()
    warm.wait(lambda *told: progress.append(told))
    assert words[0] == warm.WORDS and words[-1] == "" and len(words) <= 3 and not warm.compiling()
    assert all(what == warm.WORDS and done < of == 3 for what, done, of in progress) and progress
    late = []
    warm.begin(late.append)
    assert late == []


def test_without_a_python_of_its_own_this_one_compiles(fresh, monkeypatch):
    def refused(*_, **__):
        raise OSError("no processes here")

    monkeypatch.setattr(warm.subprocess, "Popen", refused)
    monkeypatch.setattr(warm, "missing_parts", lambda: ["pass"])
    warm.wait()
    assert fresh.done.is_set() and fresh.parts == (1, 2)
