"""A board: orders judged at once, the planner's order searched once for a whole class."""

import json
import threading
from dataclasses import replace

import numpy as np
import pytest

import sheetkit as sk
from sheetkit.lesson.board import ORDERS, Board
from sheetkit.lesson.card import Best, card
from sheetkit.lesson.records import Mark
from sheetkit.sequence.orders import loop_order, skip_order
from sheetkit.sequence.plan import retimed

pytestmark = pytest.mark.usefixtures("brief_search")


@pytest.fixture(scope="module")
def strip(data_folder):
    return sk.estimate(sk.load(data_folder / "practice" / "strip.json"))


def test_a_board_is_there_without_a_search_and_judges_like_the_plan(strip):
    board = Board(strip)
    assert board.planner == () and board.count == 10 and board.name == "Practice strip"
    before = board.judged(skip_order(10, 2)).plan.total_s
    board.search()
    assert board.planner and sorted(board.planner) == loop_order(10)
    after = board.judged(skip_order(10, 2)).plan.total_s
    assert after == pytest.approx(before, rel=0.1) and after >= before - 0.5
    best = board.judged(board.planner).plan.total_s
    assert best == pytest.approx(board.plan.total_s, abs=0.5)
    assert best < after < board.once_round().plan.total_s


def test_a_class_searches_once(strip, tmp_path):
    first, second = Board(strip), Board(strip)
    at_work = [threading.Thread(target=one.search, args=(tmp_path,)) for one in (first, second)]
    for thread in at_work:
        thread.start()
    for thread in at_work:
        thread.join()
    (laid,) = (tmp_path / ORDERS).glob("*.json")
    stamp = laid.stat().st_mtime_ns
    third = Board(strip)
    third.search(tmp_path, progress=lambda *_: pytest.fail("it searched"))
    assert first.planner == second.planner == third.planner
    assert laid.stat().st_mtime_ns == stamp
    times = {round(one.judged(skip_order(10, 3)).plan.total_s, 3) for one in (first, second, third)}
    assert len(times) == 1, "everybody is judged alike"


@pytest.mark.parametrize(
    "change",
    [{"order": [0, 1]}, {"order": "no"}, {"less_k": [1]}, {"less_k": [float("nan")] * 16}, {"less_k": [500.0] * 16},
     {"loop_total_s": 5.0}, {"order": None}],
)  # fmt: skip
def test_an_order_that_does_not_hold_is_searched_again(strip, tmp_path, change):
    Board(strip).search(tmp_path)
    (laid,) = (tmp_path / ORDERS).glob("*.json")
    good = json.loads(laid.read_text())
    laid.write_text(json.dumps(good | change))
    searched = []
    board = Board(strip)
    board.search(tmp_path, progress=lambda *told: searched.append(told))
    assert searched and list(board.planner) == good["order"]
    assert json.loads(laid.read_text()) == good


def test_an_order_that_was_laid_is_timed_by_what_it_was_held_to(strip, tmp_path):
    Board(strip).search(tmp_path)
    (laid,) = (tmp_path / ORDERS).glob("*.json")
    board = Board(strip)
    before_s = board.once_round().plan.total_s
    held = replace(board.plan.held, less_k=np.full_like(board.plan.held.less_k, 6.0))
    loop_s = retimed(replace(board.plan, held=held), loop_order(10)).total_s
    told = json.loads(laid.read_text()) | {"less_k": held.less_k.tolist(), "loop_total_s": loop_s}
    laid.write_text(json.dumps(told))
    board.search(tmp_path, progress=lambda *_: pytest.fail("it searched"))
    assert board.once_round().plan.total_s == pytest.approx(loop_s)
    assert loop_s > 1.02 * before_s


def test_a_try_says_where_it_waits_longest_and_why(small_plan):
    board = Board(small_plan)
    loop = board.once_round().longest
    assert loop.mistake == "goes on beside the stitch just made" and loop.near == loop.turn - 1
    assert loop.wait_s == max(board.once_round().plan.wait_s)
    back = board.judged([0, 4, 1, 5, 2, 6, 3, 7]).longest
    assert back.mistake == "comes back too soon to a place that is still hot"
    assert back.ago_s > 0


def test_the_card_is_a_picture_or_a_page(small_plan):
    board = Board(small_plan)
    best = Best.of(board, board.judged(small_plan.order))
    assert Best.of(board, None) is None
    for name in ("", "Anna $x_1$ <b> \\frac"):
        assert card(name, [best] * 5, Mark(1, 12, 15)).startswith(b"\x89PNG")
    assert card("Ben", [], None, "pdf").startswith(b"%PDF")
