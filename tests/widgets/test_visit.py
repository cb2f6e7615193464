"""Each visitor of a page without code draws on a bench of their own; where there are cells, nothing asks."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pytest

from sheetkit import load
from sheetkit.widgets import Visit
from sheetkit.widgets.print_pages import Pages

DATA = Path(__file__).parents[2] / "data"
RING = {"op": "add", "id": "mine", "kind": "rust_holed", "done": True,
        "points": [[100, 100], [200, 100], [200, 180], [100, 180]]}  # fmt: skip


@pytest.fixture
def folder(tmp_path, monkeypatch):
    shutil.copy(DATA / "trunk_floor.json", tmp_path / "demo.json")
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def served(monkeypatch):
    monkeypatch.setenv("SERVER_SOFTWARE", "voila/0.5.13")


def page(**options):
    return Visit("mine.json", like="demo.json", draw=True, **options)


def asks(visit, do, name="", tab="a"):
    """Do what a page asks, and return what it is told."""
    visit.box._receive(None, {"do": do, "name": name, "tab": tab}, [])
    return visit.box.told["text"]


def test_where_there_are_cells_it_is_the_bench_alone(folder):
    visit = page()
    assert visit.children == (visit.bench,) and visit.box is None
    visit.bench.pad.edit(**RING)
    assert (folder / "mine.json").exists() and not (folder / "visitors").exists()


def test_a_job_that_is_only_looked_at_is_never_written_and_new_ones_lie_here(folder):
    (folder / "data").mkdir()
    demo = shutil.move(folder / "demo.json", folder / "data" / "demo.json")
    before = Path(demo).read_bytes()
    visit = Visit("data/demo.json")
    visit.bench.form.set("patch__margin", 40)
    assert visit.bench.shelf.folder == folder.name and visit.bench.pad is None
    assert Path(demo).read_bytes() == before and [p.name for p in folder.iterdir()] == ["data"]


def test_before_a_name_the_demo_s_figures_stand_there_and_nothing_is_kept(folder, served):
    visit = page()
    assert visit.children == (visit.box,) and visit.box.phase == "ask"
    assert visit.bench.result is not None and visit.bench.pad is None
    assert [path.name for path in folder.iterdir()] == ["demo.json"]


def test_a_visitor_draws_on_a_copy_in_a_folder_of_their_own(folder, served):
    demo = (folder / "demo.json").read_bytes()
    visit = page()
    asks(visit, "enter", "Anna")
    assert visit.box.phase == "in" and visit.bench in visit.children
    visit.bench.pad.edit(**RING)
    kept = folder / "visitors" / "Anna" / "mine.json"
    assert len(load(kept).rust) == len(load(folder / "demo.json").rust) + 1
    assert (folder / "demo.json").read_bytes() == demo
    assert visit.bench.details.pages._folder() == str(Path("visitors/Anna/pages"))
    assert visit.bench.shelf.folder == "Anna"
    visit.bench.shelf._receive(None, {"do": "new", "name": "left wing"}, [])
    assert visit.bench.shelf.at == "left wing"
    assert not list(folder.glob("left wing*"))
    assert list((folder / "visitors" / "Anna").glob("left wing*"))


def test_what_was_drawn_is_there_again(folder, served):
    first = page()
    asks(first, "enter", "Anna", tab="a")
    first.bench.pad.edit(**RING)
    asks(first, "leave")
    assert first.children == (first.box,)
    second = page()
    asks(second, "enter", "anna", tab="b")
    assert len(second.bench.job.rust) == len(load("demo.json").rust) + 1


def test_the_second_of_a_name_is_told_and_may_look_on_or_take_another(folder, served):
    first, second = page(), page()
    asks(first, "enter", "Anna", tab="a")
    first.bench.pad.edit(**RING)
    kept = (folder / "visitors" / "Anna" / "mine.json").read_bytes()
    assert "another page" in asks(second, "enter", "Anna", tab="b")
    assert second.box.taken and second.box.phase == "ask" and second.bench.pad is None
    asks(second, "look", "Anna", tab="b")
    assert second.box.phase == "looking" and second.bench.pad is None
    assert second.bench.job.data["rust"] == first.bench.job.data["rust"]
    assert second.bench.shelf.layout.display == "none"
    assert second.bench.details.pages.write.layout.display == "none"
    second.bench.form.set("patch__margin", 33)
    assert (folder / "visitors" / "Anna" / "mine.json").read_bytes() == kept
    first.bench.form.set("patch__margin", 41)
    asks(second, "refresh", tab="b")
    assert second.bench.job.patch.margin == 41
    asks(second, "leave", tab="b")
    asks(second, "enter", "Anna 2", tab="b")
    assert second.box.phase == "in" and second.bench.shelf.layout.display is None
    assert second.bench.details.pages.write.layout.display is None
    second.bench.form.set("patch__margin", 22)
    assert load(folder / "visitors" / "Anna" / "mine.json").patch.margin == 41


def test_a_tab_loaded_again_goes_on_and_the_page_before_only_looks(folder, served):
    first, again = page(), page()
    asks(first, "enter", "Anna")
    first.bench.pad.edit(**RING)
    asks(again, "enter", "Anna")
    assert again.box.phase == "in"
    assert "goes on in another page" in asks(first, "here")
    assert first.box.phase == "looking" and first.bench.pad is None
    asks(again, "here")
    assert again.box.phase == "in"


def test_a_name_left_without_a_drawing_asks_anew(folder, served):
    first, again = page(), page()
    asks(first, "enter", "Anna")
    asks(again, "enter", "Anna")
    assert "goes on in another page" in asks(first, "here")  # there is nothing to look at yet
    assert first.box.phase == "ask"
    asks(again, "leave")
    assert "no finished ring" in asks(first, "look", "Anna")


@pytest.mark.parametrize("name", ["", "../up", "a/b", "con"])
def test_a_name_that_can_t_be_is_told_in_the_box(folder, served, name):
    visit = page()
    said = asks(visit, "enter", name)
    assert visit.box.phase == "ask" and not visit.box.taken and ": " in said
    assert {path.name for path in folder.iterdir()} <= {"demo.json", "visitors"}


def test_a_damaged_file_is_told_kept_and_the_name_let_go(folder, served):
    (folder / "visitors" / "Anna").mkdir(parents=True)
    broken = folder / "visitors" / "Anna" / "mine.json"
    broken.write_text("{")
    visit, other = page(), page()
    assert asks(visit, "enter", "Anna", tab="a")
    assert visit.box.phase == "ask" and broken.read_text() == "{"
    asks(other, "enter", "Anna", tab="b")
    assert not other.box.taken


def test_a_page_that_is_closed_lets_its_name_go(folder, served):
    first, second = page(), page()
    asks(first, "enter", "Anna", tab="a")
    first._gone()
    asks(second, "enter", "Anna", tab="b")
    assert second.box.phase == "in"


@pytest.mark.parametrize(
    "message", [None, [], {}, {"do": "enter"}, {"do": "enter", "name": 3, "tab": "a"},
                {"do": "__init__", "name": "", "tab": ""}, {"do": [], "name": "", "tab": ""}]
)  # fmt: skip
def test_a_strange_message_does_nothing(folder, served, message):
    visit = page()
    visit.box._receive(None, message, [])
    assert visit.box.phase == "ask" and repr(visit.box) == "NameBox('ask', '')"


def test_pages_kept_in_a_folder_are_written_nowhere_else(folder):
    pages = Pages(lambda: None)
    pages.keep_in(folder / "own")
    pages.folder.value = "/elsewhere"
    assert pages._folder() == str(folder / "own")


@pytest.mark.parametrize(
    "path", sorted((DATA.parent / "notebooks").glob("*.ipynb")), ids=lambda path: path.stem
)
def test_what_stands_on_a_page_without_code_speaks_of_no_cells(path):
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    told = "\n".join("".join(cell["source"]) for cell in cells if cell["cell_type"] == "markdown")
    assert not re.search(r"Shift|\b(grey|next|this|each) cell|Run All|Run →|Jupyter", told)
