"""The bench in a real JupyterLab: to look at it changes nothing, to move one control that one."""

from __future__ import annotations

import json

import pytest
from pad_pages import PadPage, open_lab, run_all, watched, write_notebook

JOB = {
    "format": "sheetkit-job/1",
    "sheet": {"thickness": 0.93},
    "panel": {"outline": [[0, 0], [900, 0], [900, 700], [0, 700]]},
    "rust": [{"ring": [[300, 300], [500, 300], [500, 400], [300, 400]]}],
    "patch": {"margin": 62.35, "gap": 0.456},
    "weld": {"stitch": 133.3, "current": 43.75},
}
CELL = """\
from sheetkit.widgets import Bench
bench = Bench("bench.json", draw=True)
bench
"""


@pytest.fixture
def bench(lab, browser):
    """The page, its pad, and a function: what the kernel prints of an expression."""
    job = lab.folder / "bench.json"
    for old in lab.folder.glob("bench.json*"):
        old.unlink()
    job.write_text(json.dumps(JOB))
    write_notebook(lab.folder / "bench.ipynb", CELL)
    page, watch = watched(browser)
    open_lab(page, lab, "bench.ipynb")
    run_all(page)
    pad = PadPage(page, job)
    page.locator(".skt b", has_text="mm").first.wait_for()
    yield page, pad
    watch.check()
    page.context.close()


def told(page, expression: str):
    """Return the value the kernel gives, once all that the page sent before is dealt with."""
    text = page.evaluate(
        """async (code) => {
            const kernel = window.jupyterapp.shell.currentWidget.sessionContext.session.kernel;
            const asked = kernel.requestExecute({code, store_history: false});
            let text = "";
            asked.onIOPub = message => { text += message.content.text ?? ""; };
            await asked.done;
            return text;
        }""",
        f"import json; print(json.dumps({expression}))",
    )
    return json.loads(text)


def field(page, path):
    """Return a field's slider and box."""
    row = page.locator(f'[data-path="{path}"]')
    return row.locator(".skf-range"), row.locator(".skf-box")


def unfold(page, group):
    page.locator(".skf summary", has_text=group).click()


def test_looking_at_a_bench_changes_nothing(bench):
    page, pad = bench
    pad.settled()
    assert told(page, "bench.job.data") == JOB
    units = page.locator(".skt").get_by_label("Units")
    box = field(page, "patch__margin")[1]
    for unit, margin in (("in", "2.455"), ("mm", "62.4"), ("in", "2.455"), ("mm", "62.4")):
        units.select_option(unit)
        pad.until(lambda margin=margin: box.input_value() == margin)
        assert told(page, "bench.job.data") == JOB
    for group in ("Welding", "The job", "Hours and money", "Prices", "The offer"):
        unfold(page, group)
    assert told(page, "bench.job.data") == JOB
    assert pad.data() == JOB


def test_one_control_moved_changes_that_one(bench):
    page, pad = bench
    unfold(page, "Welding")
    handle, box = field(page, "weld__stitch")
    assert box.input_value() == "133.3"
    box.fill("140,5")
    box.press("Enter")
    pad.until(lambda: pad.data()["weld"]["stitch"] == "140.5 mm")
    handle.focus()
    page.keyboard.press("ArrowLeft")
    pad.until(lambda: pad.data()["weld"]["stitch"] != "140.5 mm")
    changed = pad.data()
    assert abs(float(changed["weld"].pop("stitch").split()[0]) - 140) <= 1
    assert changed == JOB | {"weld": {"current": 43.75}}
    box.fill("a hand")
    box.press("Enter")
    page.get_by_text("must be one number with a unit of length").wait_for()
    box.fill("700")
    box.press("Enter")
    page.locator(".skf-refused", has_text="must be 3 to 500 mm").wait_for()
    assert pad.data()["weld"]["stitch"] != "700 mm"


def test_a_box_left_as_it_was_sends_nothing(bench):
    page, _ = bench
    unfold(page, "Welding")
    for path in ("patch__margin", "weld__current", "weld__stitch", "patch__gap"):
        _, box = field(page, path)
        box.focus()
        box.press("Enter")
    page.keyboard.press("Tab")
    assert told(page, "bench.job.data") == JOB


def test_figures_stay_in_view_and_a_ring_left_out_is_shown_at_a_click(bench):
    page, pad = bench
    top = "() => document.querySelector('.skt').getBoundingClientRect().top"
    place = "() => [...document.querySelectorAll('.skp-stage, .skf')].map((n) => n.getBoundingClientRect().top)"
    pad.settled()
    before = page.evaluate(place)
    told(page, "bool(bench.pad.edit(op='add', id='z', kind='rust_holed', done=True, "
               "points=[[700, 500], [800, 600], [800, 500], [700, 600]]))")  # fmt: skip
    page.get_by_text("1 drawn ring is not in these figures").wait_for()
    pad.settled()
    assert page.evaluate(place) == before, "a word moves nothing"
    page.get_by_role("button", name="Show me").click()
    pad.until(lambda: abs(float(pad.svg.get_attribute("data-x")) - 750) < 1)
    assert pad.root.locator('.skp-list [data-shape="z"]').get_attribute("aria-pressed") == "true"
    page.get_by_text("Two ways side by side").scroll_into_view_if_needed()
    seen = page.locator(".jp-WindowedPanel-outer").bounding_box()
    assert seen["y"] <= page.evaluate(top) < seen["y"] + 60


def test_a_job_is_begun_named_and_found_again_on_screen(lab, browser):
    (lab.folder / "shelf").mkdir(exist_ok=True)
    cell = "from sheetkit.widgets import Bench\nBench('shelf/none.json')"
    write_notebook(lab.folder / "shelf.ipynb", cell)
    page, watch = watched(browser)
    open_lab(page, lab, "shelf.ipynb")
    run_all(page)
    page.get_by_text("none isn't here yet.").wait_for()
    page.get_by_role("textbox", name="Name of the new job").fill("left wing")
    page.keyboard.press("Enter")
    pad = PadPage(page, lab.folder / "shelf" / "left wing.json")
    assert "Draw a ring" in page.locator(".skt-text").inner_text()
    pad.draw_ring([(100, 100), (300, 100), (300, 250)])
    pad.until(lambda: len(pad.rings()) == 1)
    page.get_by_role("button", name="Rename").click()
    page.get_by_role("textbox", name="New name").fill("front wing")
    page.keyboard.press("Enter")
    page.locator(".skj-at", has_text="front wing").wait_for()
    page.get_by_role("button", name="Open", exact=True).click()
    page.get_by_role("button", name="Duplicate front wing").click()
    page.get_by_text("front wing copy").first.wait_for()
    page.get_by_role("button", name="Open left wing").first.click()
    page.locator(".skj-list").wait_for(state="hidden")
    kept = {path.name for path in (lab.folder / "shelf").glob("*.json")}
    assert kept == {"front wing.json", "front wing copy.json"}
    watch.check()
    page.context.close()
