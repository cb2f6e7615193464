"""What is said and drawn of a seam's pull."""

import matplotlib
import numpy as np
import pytest

import sheetkit as sk
from sheetkit.base.showing import Range
from sheetkit.repair.pull import pull, times
from sheetkit.views import lessons, pull_questions
from sheetkit.views.pull_chart import buckle
from sheetkit.views.pull_words import against, pull_lines, pull_listing, reasons, spoken

DATA = {
    "format": "sheetkit-job/1",
    "sheet": {"thickness": 1.0},
    "panel": {
        "outline": [[0, 0], [500, 0], [500, 400], [0, 400]],
        "edges": "held",
        "stiff": [{"line": [[0, 330], [500, 330]]}],
    },
    "rust": [{"ring": [[200, 150], [300, 150], [300, 220], [200, 220]]}],
}


def made(**changes):
    return pull(sk.estimate(sk.Job.from_data(DATA).changed(**changes)))


@pytest.fixture(scope="module")
def first():
    return made()


def test_every_figure_has_its_origin_and_limits_are_said(first):
    rows = pull_listing(first).texts()
    assert all(row[-1] for row in rows)
    told = " ".join(" ".join(row) for row in rows)
    for source in ("White", "Blodgett", "Spraragen", "EN 10130", "common practice"):
        assert source in told, source
    lines = " ".join(pull_lines(first))
    for words in ("No order", "not a verdict", "stays flat", "dents", "could be found"):
        assert words in lines, words
    inches = " ".join(pull_lines(first, "in"))
    assert "in a foot" in inches and " mm" not in inches.replace("0.8 to 2 mm", "")


def test_a_closed_back_is_told():
    assert "the pull stays" in " ".join(pull_lines(made(sheet__back_access=False)))


def test_against_the_first(first):
    assert against(first, first) == "about the same as the first design"
    quick = made(weld__travel="700 mm/min")
    assert "less" in against(quick, first) and "more" in against(first, quick)
    assert reasons(quick, first)[0].startswith("heat input")
    by = times(quick, first)
    assert by.low <= by.likely <= by.high < 1
    assert by.likely == pytest.approx(quick.index.likely / first.index.likely)
    loose = made(panel__stiff=[])
    assert reasons(loose, first) == ["0 lines that stay straight instead of 1"]
    thick = made(sheet__thickness="1.5 mm")
    assert any(one.startswith("sheet 1.50 mm") for one in reasons(thick, first))


def test_spoken():
    assert spoken(Range(0.61, 5.36, 18.8)) == "5.4 (0.61 to 19)"
    assert spoken(Range(1.0, 1.0, 1.0)) == "1"


def test_the_picture_shows_height_without_millimetres(first):
    ax = buckle(first, display="in")
    legend = [text.get_text() for text in ax.get_legend().get_texts()]
    for words in ("edge: held", "stays straight", "seam", "middle of the flat"):
        assert words in " ".join(legend).replace("\n", " "), words
    assert any(isinstance(one, matplotlib.tri.TriContourSet) for one in ax.collections)
    assert np.abs(first.shape.height).max() == pytest.approx(1.0)
    assert "in" in ax.get_xlabel()
    assert "first buckling" in first.plot()._repr_html_()


def test_five_questions_are_answered_with_their_range():
    rows = pull_questions.pull_questions().rows
    assert len(rows) == 5
    answers = {row[0]: row[-1] for row in rows}
    assert answers["The same settings, led a quarter quicker?"] == "the second pulls less"
    fold = next(answer for question, answer in answers.items() if "beside a fold" in question)
    assert fold == "the second pulls less"
    assert all(" to " in row[3] for row in rows)


def test_orders_pull_alike_and_the_rest_less():
    job = sk.Job.from_data(DATA)
    rows = lessons.what_order_cannot_do(job).rows
    orders, ways = rows[:2], rows[2:]
    assert orders[0][1] != orders[1][1] and orders[0][2:] == orders[1][2:]
    assert len(ways) == 4
    assert all(float(row[3].split()[0]) < 1 for row in ways)
