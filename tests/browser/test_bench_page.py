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
    page.get_by_text("Seam to weld").wait_for()
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


def slider(page, name):
    part = page.locator(".sks", has_text=name)
    return part.locator(".sks-range"), part.locator(".sks-box")


def test_looking_at_a_bench_changes_nothing(bench):
    page, pad = bench
    pad.settled()
    assert told(page, "bench.job.data") == JOB
    units = pad.root.get_by_label("Units")
    for unit, margin in (("in", "2.45"), ("mm", "62.4"), ("in", "2.45"), ("mm", "62.4")):
        units.select_option(unit)
        label = page.locator(".sks-label", has_text=f"Margin, {unit}")
        label.wait_for()
        assert slider(page, "Margin")[1].input_value() == margin
        assert told(page, "bench.job.data") == JOB
    assert pad.data() == JOB


def test_one_control_moved_changes_that_one(bench):
    page, pad = bench
    handle, box = slider(page, "Stitch length")
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
    assert box.input_value() in ("139", "140")
    box.fill("700")
    box.press("Enter")
    page.get_by_text("must be 3 to 500 mm").wait_for()
    assert pad.data()["weld"]["stitch"] != "700 mm"


def test_a_box_left_as_it_was_sends_nothing(bench):
    page, _ = bench
    for name in ("Margin", "Current", "Stitch length", "Gap"):
        _, box = slider(page, name)
        box.focus()
        box.press("Enter")
    page.keyboard.press("Tab")
    assert told(page, "bench.job.data") == JOB
