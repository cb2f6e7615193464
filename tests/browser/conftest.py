"""Real servers and a real Chromium for the tests (see pad_pages); nothing is skipped."""

import shutil
import uuid
from pathlib import Path

import pytest
from pad_pages import (
    TOKEN,
    browser,
    lab,
    notebook,
    pad,
    second,
    surroundings,
    voila,
    watched,
)

__all__ = ["browser", "lab", "notebook", "pad", "second", "surroundings", "voila"]
ROOT = Path(__file__).parents[2]


def pytest_configure(config):
    config.addinivalue_line("markers", "job: what the pad of a browser test starts from")
    config.addinivalue_line("markers", "storage: whether a phone's page may store anything")


@pytest.fixture(scope="session")
def workspace(surroundings) -> Path:
    """The servers' folder with a copy of notebooks and data: tests never write to the project's."""
    folder = surroundings[1]
    for name in ("notebooks", "data"):
        shutil.copytree(ROOT / name, folder / name)
    return folder


@pytest.fixture
def page(browser):
    """A page that fails its test on an error in it or a request that leaves the machine."""
    opened, watch = watched(browser)
    yield opened
    opened.context.close()
    # a test that ends the kernel on purpose leaves the page nothing to send to
    watch.errors[:] = [error for error in watch.errors if "Error: Cannot send" not in error]
    watch.check()


@pytest.fixture
def open_notebook(page, lab, workspace):
    """Return a function: open one of the project's notebooks in JupyterLab and run all of it."""

    def open_and_run(path: str, *, run: bool = True):
        page.goto(f"{lab.url}/lab/workspaces/{uuid.uuid4().hex}/tree/{path}?token={TOKEN}")
        page.wait_for_selector(".jp-Notebook .jp-Cell")
        page.wait_for_function(
            """() => {
                const panel = window.jupyterapp?.shell.currentWidget;
                return panel?.sessionContext?.session?.kernel?.status === "idle";
            }""",
        )
        if run:
            page.evaluate("() => window.jupyterapp.commands.execute('notebook:run-all-cells')")
        return page

    return open_and_run
