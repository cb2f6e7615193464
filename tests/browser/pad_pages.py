"""A real JupyterLab, a real Voila, a real Chromium, and a pad in a page to point at in mm."""

from __future__ import annotations

import json
import os
import re
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from dataclasses import dataclass
from pathlib import Path

import nbformat
import pytest
from playwright.sync_api import Browser, Page, sync_playwright

from sheetkit.sketch.beside import DRAFT, Beside

CHROMIUM_FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
TOKEN = "pad-tests"
PATIENCE_S = 180.0
"""For what comes at once on a quick machine: no test is about time."""
PATIENCE_MS = 1000 * PATIENCE_S
SETUP = """\
from pathlib import Path
from sheetkit.widgets import Pad
told = dict(line.split("=", 1) for line in Path("pad.txt").read_text().splitlines())
pad = Pad(told.pop("job"), **told)
pad
"""


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def wait_for(url: str, seconds: float = PATIENCE_S) -> None:
    end = time.monotonic() + seconds
    while True:
        try:
            urllib.request.urlopen(url, timeout=30).close()
            return
        except OSError:
            if time.monotonic() > end:
                raise
            time.sleep(0.2)


@dataclass(frozen=True)
class Server:
    url: str
    folder: Path


@pytest.fixture(scope="session")
def surroundings(tmp_path_factory):
    """Environment and folder of servers that touch nothing of the user's own."""
    home = tmp_path_factory.mktemp("home")
    folder = tmp_path_factory.mktemp("notebooks")
    settings = home / "lab-settings" / "@jupyterlab" / "apputils-extension"
    settings.mkdir(parents=True)
    (settings / "notification.jupyterlab-settings").write_text(
        json.dumps({"fetchNews": "false", "checkForUpdates": False})
    )
    environment = os.environ | {
        "HOME": str(home),
        "JUPYTER_CONFIG_DIR": str(home / "config"),
        "JUPYTER_DATA_DIR": str(home / "data"),
        "JUPYTER_RUNTIME_DIR": str(home / "runtime"),
        "IPYTHONDIR": str(home / "ipython"),
        "JUPYTERLAB_SETTINGS_DIR": str(home / "lab-settings"),
        "JUPYTERLAB_WORKSPACES_DIR": str(home / "workspaces"),
        "NO_PROXY": "127.0.0.1",
    }
    return environment, folder


def _server(surroundings, arguments: list[str], ready: str):
    environment, folder = surroundings
    log = (folder.parent / f"{arguments[1]}.log").open("w")
    process = subprocess.Popen(
        [sys.executable, *arguments], cwd=folder, env=environment, stdout=log, stderr=log
    )
    try:
        wait_for(ready)
        yield
    finally:
        process.terminate()
        try:
            process.wait(60)
        except subprocess.TimeoutExpired:
            process.kill()
        log.close()


@pytest.fixture(scope="session")
def lab(surroundings):
    port = free_port()
    url = f"http://127.0.0.1:{port}"
    arguments = [
        "-m",
        "jupyterlab",
        "--no-browser",
        "--allow-root",
        "--ip=127.0.0.1",
        f"--port={port}",
        f"--IdentityProvider.token={TOKEN}",
        "--LabApp.expose_app_in_browser=True",
        "--ServerApp.port_retries=0",
    ]
    starting = _server(surroundings, arguments, f"{url}/api")
    next(starting)
    yield Server(url, surroundings[1])
    starting.close()


def serving(surroundings, *options: str):
    """Serve the folder's notebooks as pages without code; give the server, then end it."""
    port = free_port()
    url = f"http://127.0.0.1:{port}"
    arguments = ["-m", "voila", "--no-browser", f"--port={port}", *options]
    starting = _server(surroundings, arguments, f"{url}/voila/static/voila.js")
    next(starting)
    yield Server(f"{url}/voila/render", surroundings[1])
    starting.close()


@pytest.fixture(scope="session")
def voila(surroundings):
    """A Voila that serves the folder's notebooks; voila.ipynb makes a pad."""
    write_notebook(surroundings[1] / "voila.ipynb", SETUP.replace("pad.txt", "voila.txt"))
    yield from serving(surroundings)


@pytest.fixture(scope="session")
def browser():
    chromium = shutil.which("chromium")
    if not chromium:
        pytest.fail("chromium is not installed; these tests need it")
    with sync_playwright() as playwright:
        running = playwright.chromium.launch(executable_path=chromium, args=list(CHROMIUM_FLAGS))
        yield running
        running.close()


def write_notebook(path: Path, *cells: str) -> None:
    notebook = nbformat.v4.new_notebook(
        cells=[nbformat.v4.new_code_cell(cell) for cell in cells],
        metadata={"kernelspec": {"name": "python3", "display_name": "Python 3"}},
    )
    nbformat.write(notebook, path)


@dataclass
class Watch:
    """What a page must not do: log an error, or ask another machine for anything."""

    errors: list[str]
    strangers: list[str]

    def check(self) -> None:
        assert self.errors == []
        assert self.strangers == []


def watched(browser: Browser, *, allowed: str = "", **options) -> tuple[Page, Watch]:
    """Return a new page and what is watched in it; `allowed` starts addresses that may be asked."""
    context = browser.new_context(**({"viewport": {"width": 1280, "height": 900}} | options))
    context.set_default_timeout(PATIENCE_MS)
    page = context.new_page()
    watch = Watch([], [])

    def on_console(message):
        if message.type == "error":
            watch.errors.append(f"{message.text} {message.location.get('url', '')}")

    def on_request(request):
        ours = re.match(r"(https?|wss?)://127\.0\.0\.1[:/]|data:|blob:", request.url)
        if not ours and not (allowed and request.url.startswith(allowed)):
            watch.strangers.append(request.url)

    page.on("console", on_console)
    page.on("pageerror", lambda error: watch.errors.append(str(error)))
    page.on("request", on_request)
    return page, watch


def voila_page(voila: Server, browser: Browser, name: str, **options: object) -> tuple[Page, Watch]:
    """Open a notebook as a page without code."""
    # Voila's own page template asks a public server for icons; nothing of sheetkit's does
    icons = "https://cdn.jsdelivr.net/npm/@fortawesome/"
    page, watch = watched(browser, allowed=icons, **options)
    page.route(f"{icons}**", lambda route: route.fulfill(body=""))
    page.goto(f"{voila.url}/{name}")  # every cell runs before it is there
    return page, watch


def choose_name(page: Page, name: str) -> None:
    """Say who draws, on a page without code, and wait until they do."""
    page.locator(".skv").get_by_label("Your name").fill(name)
    page.keyboard.press("Enter")
    page.get_by_text(f"You draw as {name}").wait_for()


def open_lab(page: Page, lab: Server, name: str) -> None:
    page.goto(f"{lab.url}/lab/workspaces/{Path(name).stem}/tree/{name}?token={TOKEN}")
    page.wait_for_function(
        """() => {
          const panel = window.jupyterapp?.shell?.currentWidget;
          return panel?.context?.sessionContext?.session?.kernel?.status === "idle";
        }""",
    )


def run_all(page: Page) -> None:
    page.evaluate("() => { window.jupyterapp.commands.execute('notebook:run-all-cells') }")


def cell_count(page: Page) -> int:
    return page.evaluate("() => window.jupyterapp.shell.currentWidget.content.widgets.length")


class PadPage:
    """One pad in a page, pointed at in millimetres."""

    def __init__(self, page: Page, job: Path):
        self.page, self.job = page, job
        self.root = page.locator(".skp").last
        self.svg = self.root.locator("svg.skp-canvas")
        self.svg.wait_for()
        self.svg.scroll_into_view_if_needed()
        page.wait_for_function("(svg) => svg.dataset.scale", arg=self.svg.element_handle())

    def px(self, x: float, y: float) -> tuple[float, float]:
        """Where a point in mm lies in the page, px."""
        box = self.svg.bounding_box()
        view = self.svg.evaluate("(svg) => ({...svg.dataset})")
        scale = float(view["scale"])
        return (
            box["x"] + (x - float(view["x"])) * scale + box["width"] / 2,
            box["y"] + box["height"] / 2 - (y - float(view["y"])) * scale,
        )

    def settled(self) -> None:
        """Return once the page has drawn what it was told so far."""
        self.page.evaluate(
            "() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))"
        )

    def click(self, x: float, y: float) -> None:
        self.page.mouse.click(*self.px(x, y))

    def touch_twice(self, x: float, y: float) -> None:
        """Click twice at one spot, a tenth of a second apart however late the page gets to it."""
        left, top = self.px(x, y)
        channel, begun = self.page.context.new_cdp_session(self.page), time.time()
        for moment in (begun, begun + 0.1):
            for kind in ("mousePressed", "mouseReleased"):
                click = {"type": kind, "x": left, "y": top, "button": "left", "clickCount": 1}
                channel.send("Input.dispatchMouseEvent", {**click, "timestamp": moment})

    def drag(self, start: tuple[float, float], end: tuple[float, float]) -> None:
        self.page.mouse.move(*self.px(*start))
        self.page.mouse.down()
        self.page.mouse.move(*self.px(*end), steps=4)
        self.page.mouse.up()

    def draw_ring(self, points) -> None:
        for point in [*points, points[0]]:
            self.click(*point)

    def button(self, name: str):
        return self.root.get_by_role("button", name=name, exact=True)

    @property
    def status(self) -> str:
        return self.root.locator(".skp-status").inner_text()

    def data(self) -> dict:
        return json.loads(self.job.read_text()) if self.job.exists() else {}

    def rings(self) -> list[list[list[float]]]:
        return [rust["ring"] for rust in self.data().get("rust", [])]

    def draft(self) -> list[dict]:
        path = Beside(self.job).found(DRAFT)
        return json.loads(path.read_text())["shapes"] if path.exists() else []

    def until(self, condition, seconds: float = PATIENCE_S) -> None:
        """Wait until `condition()` is true; fail with the pad's own words."""
        end = time.monotonic() + seconds
        while not condition():
            if time.monotonic() > end:
                raise AssertionError(f"not within {seconds} s; {self.status!r}; {self.data()}")
            self.page.wait_for_timeout(30)


@dataclass
class Notebook:
    """A page with one notebook open, whose only cell makes a pad."""

    page: Page
    watch: Watch
    lab: Server
    name: str

    def told(self, job: Path, **options) -> None:
        lines = [f"job={job}", *(f"{key}={value}" for key, value in options.items())]
        (self.lab.folder / f"{self.name}.txt").write_text("\n".join(lines))

    def run(self, job: Path) -> PadPage:
        """Run the cell and return the pad it makes."""
        pads = self.page.locator(".skp")
        old = pads.last.get_attribute("data-client") if pads.count() else ""
        run_all(self.page)
        self.page.wait_for_function(
            "(old) => { const pads = document.querySelectorAll('.skp');"
            " return pads.length && pads[pads.length - 1].dataset.client !== old }",
            arg=old,
        )
        return PadPage(self.page, job)


def opened(lab: Server, browser: Browser, name: str, **options) -> Notebook:
    write_notebook(lab.folder / f"{name}.ipynb", SETUP.replace("pad.txt", f"{name}.txt"))
    page, watch = watched(browser, **options)
    open_lab(page, lab, f"{name}.ipynb")
    return Notebook(page, watch, lab, name)


@pytest.fixture(scope="session")
def notebook(lab, browser):
    """A notebook shared by all tests that don't harm it."""
    made = opened(lab, browser, "pad")
    yield made
    made.page.context.close()


@pytest.fixture(scope="session")
def second(lab, browser):
    """Another notebook with a kernel of its own, on a screen that is touched."""
    made = opened(lab, browser, "second", has_touch=True)
    yield made
    made.page.context.close()


@pytest.fixture
def pad(notebook, request, tmp_path):
    """A fresh pad on a job of its own; checks errors, strangers and cells at the end."""
    mark = request.node.get_closest_marker("job")
    options = dict(mark.kwargs) if mark else {}
    job = tmp_path / "job.json"
    if "start" in options:
        job.write_text(json.dumps(options.pop("start")))
    notebook.told(job, **options)
    yield notebook.run(job)
    assert cell_count(notebook.page) == 1
    notebook.watch.check()
