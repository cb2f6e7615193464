"""The notebooks as pages without code, judged by the rules of axe-core (WCAG 2)."""

from __future__ import annotations

import pytest
from axe_playwright_python.sync_playwright import Axe
from pad_pages import voila_page

READY = {
    "sketch_patch": ".skp-labels text",
    "trunk_floor_estimate": ".skt b",
    "heat_spread_lesson": ".sk-controls",
}


@pytest.mark.parametrize("name", READY)
def test_no_serious_finding(voila, workspace, browser, name):
    page, _ = voila_page(voila, browser, f"notebooks/{name}.ipynb")
    page.locator(READY[name]).first.wait_for()
    page.wait_for_load_state("networkidle")
    found = Axe().run(page).response["violations"]
    page.context.close()
    serious = [
        f"{rule['id']}: {node['html'][:200]}"
        for rule in found
        if rule["impact"] in ("serious", "critical")
        for node in rule["nodes"]
        if node["target"] != ["#rendered_cells"]  # the frame round the page is Voila's own
    ]
    assert serious == []
