"""What is said of places that must stay cool: how hot, the limit, and what to do."""

from dataclasses import replace

import pytest
from matplotlib.text import Text

import sheetkit
from sheetkit.__main__ import main
from sheetkit.paper import heat_map, order_pages, stitch_map, work_sheet
from sheetkit.paper.blocks import Paragraph, Picture
from sheetkit.sequence.hot_strips import reached
from sheetkit.sequence.places import PlacePeak
from sheetkit.views.json_objects import sequence_object
from sheetkit.views.lines import sequence_lines
from sheetkit.views.place_words import hot_lines, place_lines, told_apart
from sheetkit.views.words import minutes
from sheetkit.widgets import Lesson, Planning, Player

pytestmark = pytest.mark.usefixtures("brief_search")

HOT = PlacePeak("fuel line", 92.4, 60.0, 71.0, held=False)
OFF = PlacePeak("brake pipe", 66.0, 60.0, 40.0, held=False)
LATE = PlacePeak("wiring", 83.0, 80.0, 50.0, held=True)
FINE = PlacePeak("sealer", 70.0, 80.0, 50.0, held=True)
LOST = PlacePeak("clip", 1560.0, 80.0, 900.0, held=False)


def with_places(plan, *places, excess=0.0):
    return replace(plan, protected=places, verified_excess_c=excess)


@pytest.mark.parametrize(
    ("place", "words"),
    [
        (HOT, ["TOO HOT", "92 °C", "limit of 60 °C", "71 °C", "no wait can help", "Take it off"]),
        (OFF, ["TOO HOT", "66 °C", "60 °C", "don't allow for it", "Take it off before welding"]),
        (LATE, ["TOO HOT", "83 °C", "80 °C", "move it or shield it"]),
        (LOST, ["TOO HOT", "over 400 °C", "no wait can help"]),
        (FINE, ["70 °C", "limit 80 °C", "measure there"]),
    ],
)
def test_each_place_is_told_with_figures_and_remedy(small_plan, place, words):
    (line,) = place_lines(with_places(small_plan, place))
    for word in words:
        assert word in str(line)
    assert line.hot == (place is not FINE)
    assert "no wait" not in str(line) or place.beyond_waiting
    assert line.hot == ("One weld alone takes it to" in str(line))
    inch = str(place_lines(with_places(small_plan, place), display="in")[0])
    assert "°C" not in inch and "°F" in inch


def test_what_the_waits_for_places_cost_is_told(small_plan):
    plan = replace(with_places(small_plan, FINE), unheld_total_s=small_plan.total_s / 3)
    (line,) = place_lines(plan)
    assert f"this order takes {minutes(plan.unheld_total_s)}" in str(line)


def test_names_are_told_apart():
    names = ["a", "b", "a", "a (2)", "a"]
    told = told_apart(names)
    assert told == ["a", "b", "a (3)", "a (2)", "a (4)"]


def test_the_text_and_the_json_tell_every_place(small_estimate, small_plan):
    plan = with_places(small_plan, HOT, FINE, replace(HOT, peak_c=20.0), excess=2.4)
    text = " ".join(" ".join(sequence_lines(small_estimate, plan)).split())
    assert "TOO HOT: fuel line: 92 °C" in text and "sealer: 70 °C" in text
    assert "fuel line (2): 20 °C" in text
    assert "2 °C over the limit" in text
    told = sequence_object(small_estimate, plan)
    assert told["protected_peak_c"] == {
        "fuel line": {"peak": 92.4, "limit": 60.0},
        "sealer": {"peak": 70.0, "limit": 80.0},
        "fuel line (2)": {"peak": 20.0, "limit": 60.0},
    }
    assert [one["over"] for one in told["protected"]] == [True, False, False]
    assert told["protected"][0] | {} == {
        "name": "fuel line", "peak_c": 92.4, "limit_c": 60.0, "over": True, "alone_c": 71.0,
        "waited_for": False,
    }  # fmt: skip


@pytest.fixture(scope="module")
def near():
    """An estimate with a pipe beside its seam, and its order."""
    job = sheetkit.Job.from_data({
        "format": "sheetkit-job/1", "sheet": {"thickness": 0.9},
        "rust": [{"ring": [[0, 0], [50, 0], [50, 30], [0, 30]]}],
        "patch": {"margin": 20, "corner_radius": 20}, "weld": {"stitch": 40},
        "panel": {"protect": [{"name": "fuel <b>line</b>", "at": [25, -30], "limit": 60},
                              {"name": "wiring", "at": [25, 58], "limit": 60}]},
    })  # fmt: skip
    result = sheetkit.estimate(job)
    return result, sheetkit.plan(result)


def test_what_is_taken_off_and_what_is_beyond_help_hold_no_plan(near, small_plan):
    _, plan = near
    assert [place.held for place in plan.protected] == [False, False]
    assert all(place.over for place in plan.protected)
    assert plan.total_s < 2 * small_plan.total_s


def test_paper_tells_it_beside_the_order_and_on_the_map(near):
    result, plan = near
    blocks = list(work_sheet.worksheet(result, plan, paper="a4", display="mm"))
    bold = [block.text for block in blocks if isinstance(block, Paragraph) and block.bold]
    assert sum("TOO HOT" in text for text in bold) == 2
    pages = list(stitch_map.map_pages(result, plan, paper="a4"))
    for page in pages:
        texts = [text.get_text() for text in page.figure.findobj(Text)]
        assert sum("TOO HOT" in text for text in texts) == 2


def test_the_orders_file_tells_what_to_heed_before_its_first_turn(near):
    result, plan = near
    table = order_pages.order_file(result, plan, "mm")
    printed = order_pages.order_table(result, plan, "mm")
    assert [row[0].value for row in table.rows] == [row[0].value for row in printed.rows]
    assert table.columns[-1].startswith("Heed")
    assert table.rows[0][-1] == " ".join(hot_lines(plan)) and "TOO HOT" in table.rows[0][-1]
    assert all(row[-1] == "" for row in table.rows[1:])


def test_the_peak_map_prints_in_greys_with_figures_for_both_faces(near):
    result, plan = near
    page = heat_map.heat_page(plan, paper="a4", display="mm")
    (axes,) = (one for one in page.figure.axes if one.get_legend())
    fills = [c for one in axes.collections for c in one.get_facecolor()]
    assert len(fills) >= 4 and all(max(c[:3]) - min(c[:3]) < 1e-6 for c in fills)
    keys = [line.get_markerfacecolor() for line in axes.get_legend().get_lines()]
    shades = [key[0] for key in keys]
    assert shades == sorted(shades, reverse=True) and len(set(shades)) == 4
    table = heat_map.strips_table(result, plan, "mm")
    for row, strip in zip(table.rows, reversed(reached(plan).strips), strict=True):
        assert row[2] == row[3] == f"{strip.mean_mm:.0f} mm, at most {strip.widest_mm:.0f} mm"
    pictures = [
        block
        for block in work_sheet.worksheet(result, plan, paper="a4", display="mm")
        if isinstance(block, Picture)
    ]
    assert any("how hot" in one.words for one in pictures)


def test_widgets_tell_it_escaped(near):
    result, plan = near
    player = Player(plan, frames=10)
    assert player.too_hot == hot_lines(plan) and len(player.too_hot) == 3
    lesson = Lesson(plan)
    # once round, which nobody searched for: no case of a nearer edge was reckoned for it
    assert len(lesson.too_hot) == 2 and all("TOO HOT" in line for line in lesson.too_hot)
    lesson.judge(list(range(len(plan.order))))
    assert len(lesson.too_hot) == 2 and all("TOO HOT" in line for line in lesson.too_hot)
    planning = Planning(result)
    planning.wait()
    assert "TOO HOT" in planning.message.value
    assert "fuel &lt;b&gt;line&lt;/b&gt;" in planning.message.value


def test_a_notebook_shows_it_above_the_order(near, small_plan):
    _, plan = near
    page = plan._repr_html_()
    assert page.count("TOO HOT: ") == 2 and "fuel &lt;b&gt;line&lt;/b&gt;" in page
    assert page.index("TOO HOT: ") < page.index("<table")
    assert "2 places TOO HOT" in repr(plan)
    assert "TOO HOT" not in repr(small_plan) + small_plan._repr_html_()


def test_writing_the_pages_says_it_on_the_terminal(near, tmp_path, monkeypatch, capsys):
    result, plan = near
    path = tmp_path / "near.json"
    sheetkit.save(result.job, path)
    monkeypatch.setattr("sheetkit.command_line._planned", lambda result, own: plan)
    assert main(["sheets", str(path), "--out", str(tmp_path / "out")]) == 0
    said = capsys.readouterr()
    assert said.err.count("TOO HOT") == 2 and "TOO HOT" not in said.out
    assert "worksheet.pdf" in said.out
