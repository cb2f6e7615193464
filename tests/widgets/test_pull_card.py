"""The card of the seam's pull: beside the first design, off the page's thread, only when looked at."""

import pytest

import sheetkit as sk
from sheetkit.base.errors import Fault, OutOfRange
from sheetkit.widgets import pull_card
from sheetkit.widgets.pull_card import NOTHING, PullCard

DATA = {
    "format": "sheetkit-job/1",
    "sheet": {"thickness": 1.0},
    "panel": {
        "outline": [[0, 0], [500, 0], [500, 400], [0, 400]],
        "stiff": [{"name": "<b>brace</b>", "line": [[0, 330], [500, 330]]}],
    },
    "rust": [{"ring": [[200, 150], [300, 150], [300, 220], [200, 220]]}],
}


class Source:
    def __init__(self):
        self.result = sk.estimate(sk.Job.from_data(DATA))

    def __call__(self):
        return self.result


@pytest.fixture
def card():
    made = PullCard(Source())
    made.look(True)
    made.wait()
    return made


def test_folded_away_it_reckons_nothing():
    folded = PullCard(Source())
    folded.follow()
    folded.wait()
    assert folded.pull is None and folded.card.value == ""


def test_the_first_design_then_another(card):
    assert "the first design" in card.card.value and "<img" in card.card.value
    assert "No order of the stitches" in card.card.value
    assert "welded to the body" in card.card.value  # what nobody said
    assert "<b>brace" not in card.card.value and card.begin_button.disabled
    first = card.pull
    source = card._source
    source.result = sk.estimate(source.result.job.changed(weld__travel="700 mm/min"))
    card.follow()
    card.wait()
    assert card.first is first and card.pull.index.likely < first.index.likely
    assert "less" in card.card.value and "heat input" in card.card.value
    card.begin_button.click()
    assert card.first is card.pull and "the first design" in card.card.value


def test_units_and_nothing_drawn(card):
    card.show_in("in")
    assert " in" in card.card.value and "mm a metre" not in card.card.value
    card._source.result = None
    card.follow()
    card.wait()
    assert card.word.value == NOTHING and card.card.value == ""


def test_it_says_what_cannot_be_reckoned(card, monkeypatch):
    def refused(*_, **__):
        raise OutOfRange(Fault("sheet", "<i>", "must be smaller", "draw less"))

    monkeypatch.setattr(pull_card, "pull", refused)
    card._source.result = sk.estimate(sk.Job.from_data(DATA))
    card.follow()
    card.wait()
    assert "must be smaller" in card.word.value and "<i>" not in card.word.value


def test_stopped_it_keeps_what_was_shown(card, monkeypatch):
    shown = card.card.value
    monkeypatch.setattr(pull_card, "pull", lambda *_, **__: None)
    card._source.result = sk.estimate(sk.Job.from_data(DATA))
    card.follow()
    card.wait()
    assert "Stopped" in card.word.value and card.card.value == shown
