"""The notebooks as pages without code, judged by the rules of axe-core (WCAG 2)."""

from __future__ import annotations

import pytest
from axe_playwright_python.sync_playwright import Axe
from pad_pages import choose_name, voila_page, write_notebook

LIST = """\
from sheetkit.widgets import Bench
Bench("data")
"""
READY = {
    "list": ".skj-open",
    "job_book": ".skb-pick",
    "sketch_patch": ".skp-labels text",
    "trunk_floor_estimate": ".skp-labels text",
    "heat_spread_lesson": ".sk-judge",
    "heat_spread_class": ".widget-html p",
}
ASKS = ("sketch_patch", "trunk_floor_estimate")
"""Pages that ask who draws."""


def serious(page) -> list[str]:
    page.wait_for_load_state("networkidle")
    return [
        f"{rule['id']}: {node['html'][:200]}"
        for rule in Axe().run(page).response["violations"]
        if rule["impact"] in ("serious", "critical")
        for node in rule["nodes"]
        if node["target"] != ["#rendered_cells"]  # the frame round the page is Voila's own
    ]


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize("name", READY)
def test_no_serious_finding(voila, workspace, browser, name, theme):
    write_notebook(workspace / "notebooks" / "list.ipynb", LIST.replace("data", "../data"))
    page, watch = voila_page(voila, browser, f"notebooks/{name}.ipynb?theme={theme}")
    if name in ASKS:
        page.locator(".skv input").wait_for()
        assert serious(page) == []
        choose_name(page, f"Berta {ASKS.index(name)} {theme}")
    page.locator(READY[name]).first.wait_for()
    assert page.locator(f"body.theme-{theme}").count() == 1
    assert serious(page) == []
    watch.check()
    page.context.close()
