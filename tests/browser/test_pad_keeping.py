"""What is drawn outlives reloads and kernels, and two tabs never overwrite each other."""

from __future__ import annotations

import json

from pad_pages import PadPage, open_lab, voila_page, watched
from test_pad_drawing import RING, START, close_to


def test_second_tab_is_told_and_overwrites_nothing(notebook, second, tmp_path):
    job = tmp_path / "job.json"
    job.write_text(json.dumps(START))
    notebook.told(job)
    second.told(job)
    one, two = notebook.run(job), second.run(job)
    one.click(100, 150)
    one.drag((200, 200), (230, 240))
    moved = [[100, 100], [200, 100], [230, 240], [100, 200]]
    one.until(lambda: close_to(one.rings()[0], moved))
    two.click(150, 150)  # being looked at is enough to be told
    banner = two.root.locator(".skp-banner")
    banner.wait_for()
    assert "Nothing was overwritten" in banner.inner_text()
    file = two.root.locator("input[type=file]")
    two.until(file.is_disabled)
    seen = file.evaluate("(file) => getComputedStyle(file).opacity")
    assert seen == "0", "the browser's own file button shows through"
    two.drag((200, 200), (150, 160))
    two.button("Load the newer drawing").click()
    banner.wait_for(state="hidden")
    assert close_to(one.rings()[0], moved)
    two.click(150, 150)
    two.drag((230, 240), (200, 250))
    two.until(lambda: close_to(one.rings()[0], [*moved[:2], [200, 250], moved[3]]))
    notebook.watch.check()
    second.watch.check()


def test_same_notebook_in_two_tabs_shows_one_drawing(notebook, browser, tmp_path):
    job = tmp_path / "job.json"
    notebook.told(job)
    pad = notebook.run(job)
    pad.draw_ring(RING)
    pad.until(lambda: pad.rings())
    notebook.page.evaluate("() => window.jupyterapp.commands.execute('docmanager:save')")
    page, watch = watched(browser)
    open_lab(page, notebook.lab, "pad.ipynb")
    twin = PadPage(page, job)
    twin.click(180, 180)
    twin.drag((240, 260), (300, 300))
    moved = [*RING[:2], (300, 300), RING[3]]
    pad.until(lambda: close_to(pad.rings()[0], moved))
    page.context.close()
    pad.until(lambda: "round 669" in pad.root.locator(".skp-list").inner_text())
    watch.check()
    notebook.watch.check()


def test_killed_kernel_is_told_and_loses_nothing(second, tmp_path):
    job = tmp_path / "job.json"
    second.told(job)
    pad = second.run(job)
    pad.button("Draw new shapes").click()  # a screen that is touched has no tool at first
    pad.draw_ring(RING)
    for point in ((400, 100), (450, 100)):
        pad.click(*point)
    pad.until(lambda: len(pad.draft()) == 2 and len(pad.draft()[1]["points"]) == 2)
    second.page.evaluate(
        "() => window.jupyterapp.shell.currentWidget.context.sessionContext.session.kernel.restart()"
    )
    pad.click(450, 200)
    banner = pad.root.locator(".skp-banner")
    banner.wait_for()
    assert "Not connected, run the cell again" in banner.inner_text()
    open_lab(second.page, second.lab, "second.ipynb")
    again = second.run(job)
    again.until(lambda: len(again.root.locator(".skp-item").all()) == 2)
    assert close_to(again.rings()[0], RING)
    again.button("Draw new shapes").click()
    again.click(450, 200)  # drawing goes on where it stopped
    again.page.keyboard.press("Enter")
    again.until(lambda: len(again.rings()) == 2)
    assert close_to(again.rings()[1], [(400, 100), (450, 100), (450, 200)])


def test_reload_shows_the_drawing_again_and_a_still_picture_is_stored(notebook, tmp_path):
    job = tmp_path / "job.json"
    notebook.told(job)
    pad = notebook.run(job)
    pad.draw_ring(RING)
    pad.until(lambda: pad.rings())
    notebook.page.evaluate("() => window.jupyterapp.commands.execute('docmanager:save')")
    notebook.page.reload()
    open_lab(notebook.page, notebook.lab, "pad.ipynb")
    again = PadPage(notebook.page, job)
    assert "188.0 cm²" in again.root.locator(".skp-list").inner_text()
    stored = json.loads((notebook.lab.folder / "pad.ipynb").read_text())
    output = stored["cells"][0]["outputs"][0]["data"]
    assert output["text/plain"] == ['Pad("job.json", units="mm")']
    assert len(output["image/png"]) > 5000
    notebook.watch.check()


def test_pad_works_in_voila(voila, browser, tmp_path):
    job = tmp_path / "job.json"
    (voila.folder / "voila.txt").write_text(f"job={job}")
    page, watch = voila_page(voila, browser, "voila.ipynb")
    pad = PadPage(page, job)
    pad.draw_ring(RING)
    pad.until(lambda: pad.rings())
    assert close_to(pad.rings()[0], RING)
    watch.check()
    page.reload()
    again = PadPage(page, job)
    assert "188.0 cm²" in again.root.locator(".skp-list").inner_text()
    page.context.close()
