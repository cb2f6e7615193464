"""The button that writes the pages, pressed in a real JupyterLab."""

from __future__ import annotations

from pad_pages import open_lab, run_all, watched, write_notebook

CELL = """\
import sheetkit
from sheetkit.widgets import Pages
Pages(sheetkit.estimate(sheetkit.Job.from_data({
    "format": "sheetkit-job/1", "title": "Small patch", "sheet": {"thickness": "0.9 mm"},
    "rust": [{"ring": [[0, 0], [60, 0], [60, 40], [0, 40]]}],
})))
"""


def test_pages_are_shown_written_and_never_overwritten_unasked(lab, browser):
    write_notebook(lab.folder / "pages.ipynb", CELL)
    page, watch = watched(browser)
    open_lab(page, lab, "pages.ipynb")
    run_all(page)
    page.get_by_role("button", name="Show a preview").click()
    picture = page.locator("img[alt^='the first template page']")
    picture.wait_for()
    assert picture.evaluate("(img) => img.complete && img.naturalWidth > 500")
    folder = lab.folder / "for the bench"
    page.get_by_role("textbox", name="Folder").fill("for the bench")
    page.get_by_role("button", name="Write the pages").click()
    page.get_by_text("Written into").wait_for()
    page.locator(".skd button", has_text="quote.pdf").wait_for()
    listed = page.locator(".skd button").all_inner_texts()
    written = [path for path in folder.rglob("*") if path.is_file()]
    assert sorted(listed) == sorted(path.name for path in written)
    assert {"template.pdf", "worksheet.pdf", "quote.html", "phone.html"} <= set(listed)
    before = {path: path.read_bytes() for path in written}
    page.get_by_role("button", name="Write the pages").click()
    refused = page.get_by_role("alert")
    refused.wait_for()
    assert "template.pdf" in refused.inner_text()
    assert {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()} == before
    watch.check()
    page.context.close()
