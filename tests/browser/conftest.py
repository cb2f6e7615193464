"""A real JupyterLab and a real Chromium for the tests; both must be there, nothing is skipped."""

import json
import os
import secrets
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.request
import uuid
from pathlib import Path

import pytest
from playwright.sync_api import sync_playwright

ROOT = Path(__file__).parents[2]
CHROMIUM_FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def wait_for(url: str, process: subprocess.Popen, seconds: float = 60) -> None:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        assert process.poll() is None, f"the server ended: {process.returncode}"
        try:
            urllib.request.urlopen(url, timeout=2)
            return
        except OSError:
            time.sleep(0.2)
    raise AssertionError(f"no answer from {url}")


@pytest.fixture(scope="session")
def workspace(tmp_path_factory) -> Path:
    """A copy of the notebooks and data, so that tests never write to the project's own."""
    folder = tmp_path_factory.mktemp("workspace")
    for name in ("notebooks", "data"):
        shutil.copytree(ROOT / name, folder / name)
    return folder


@pytest.fixture(scope="session")
def home(tmp_path_factory) -> dict:
    folder = tmp_path_factory.mktemp("home")
    settings = folder / "config/lab/user-settings/@jupyterlab/apputils-extension"
    settings.mkdir(parents=True)
    (settings / "notification.jupyterlab-settings").write_text(
        json.dumps({"fetchNews": "false", "checkForUpdates": False})
    )
    return os.environ | {
        "HOME": str(folder),
        "JUPYTER_CONFIG_DIR": str(folder / "config"),
        "JUPYTER_DATA_DIR": str(folder / "data"),
        "JUPYTER_RUNTIME_DIR": str(folder / "run"),
        "IPYTHONDIR": str(folder / "ipython"),
        "PYTHONPATH": str(ROOT),
    }


@pytest.fixture(scope="session")
def lab(workspace, home):
    """(base url, token) of a running JupyterLab whose root is the workspace."""
    token, port = secrets.token_hex(16), free_port()
    process = subprocess.Popen(
        [
            sys.executable, "-m", "jupyterlab", "--no-browser", "--ip=127.0.0.1",
            f"--port={port}", "--ServerApp.port_retries=0", "--allow-root",
            f"--IdentityProvider.token={token}", "--LabApp.expose_app_in_browser=True",
            f"--ServerApp.root_dir={workspace}",
        ],
        env=home, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True,
    )  # fmt: skip
    base = f"http://127.0.0.1:{port}"
    try:
        wait_for(f"{base}/api?token={token}", process)
        yield base, token
    finally:
        os.killpg(process.pid, signal.SIGTERM)
        process.wait(20)


@pytest.fixture(scope="session")
def browser():
    path = shutil.which("chromium")
    assert path, "these tests need Chromium: install the package chromium"
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=path, args=CHROMIUM_FLAGS)
        yield started
        started.close()


@pytest.fixture
def page(browser):
    """A page that fails its test on a script error or a request that leaves the machine."""
    context = browser.new_context(viewport={"width": 1400, "height": 1000})
    opened = context.new_page()
    errors, outside = [], []
    opened.on("pageerror", lambda error: errors.append(str(error)))
    opened.on(
        "request",
        lambda request: (
            None
            if request.url.startswith(("http://127.0.0.1", "ws://127.0.0.1", "data:", "blob:"))
            else outside.append(request.url)
        ),
    )
    yield opened
    context.close()
    assert not errors, errors
    assert not outside, outside


@pytest.fixture
def notebook(page, lab):
    """Open a notebook in JupyterLab, run all of it, and return the page."""

    def open_and_run(path: str, *, run: bool = True):
        base, token = lab
        page.goto(f"{base}/lab/workspaces/{uuid.uuid4().hex}/tree/{path}?token={token}")
        page.wait_for_selector(".jp-Notebook .jp-Cell", timeout=60_000)
        page.wait_for_function(
            """() => {
                const panel = window.jupyterapp?.shell.currentWidget;
                return panel?.sessionContext?.session?.kernel?.status === "idle";
            }""",
            timeout=60_000,
        )
        if run:
            page.evaluate("() => window.jupyterapp.commands.execute('notebook:run-all-cells')")
        return page

    return open_and_run
