"""The bench page for a phone: what is in its file, and its waits beside the notebook's player's."""

from __future__ import annotations

import base64
import dataclasses
import json
import re
import shutil
import subprocess
import zlib
from pathlib import Path

import numpy as np
import pytest
import shapely

import sheetkit as sk
from sheetkit.heat.grid import GridChoice
from sheetkit.heat.sheet_model import SheetModel
from sheetkit.heat.weld_source import WeldRun
from sheetkit.heat.workpiece import Workpiece
from sheetkit.paper.phone_heat import packed, plan_data, sheet_data
from sheetkit.paper.phone_page import phone_page
from sheetkit.repair.plan import with_plan
from sheetkit.sequence.plan import MOST_CELLS
from sheetkit.sequence.thermometer import paced
from sheetkit.views.shop_words import UNVALIDATED
from sheetkit.workshop.book import Book

DRIVER = Path(__file__).with_name("phone") / "pace_of.mjs"
MOST_BYTES = 1_500_000
HOSTILE = "</script><script>alert(1)</script><img src=x onerror=alert(1)>&\u202e\x00'\""
SQUARE = [[0, 0], [60, 0], [60, 40], [0, 40]]


def job_of(**changes) -> sk.Job:
    return sk.Job.from_data(
        {
            "format": "sheetkit-job/1",
            "title": "Small patch",
            "sheet": {"thickness": 0.9},
            "rust": [{"ring": SQUARE}],
            "weld": {"stitch": 40, "interpass_limit": "60 degC"},
        }
        | changes
    )


def worked(job: sk.Job):
    """Return estimate and plan of a job, the search cut short."""
    result = sk.estimate(job)
    plan = sk.plan(result, stop=lambda: True)
    return with_plan(result, plan), plan


def inside(page: str) -> dict:
    """Return the data a page holds."""
    found = re.search(r'<script type="application/json" id="plan">(.*?)</script>', page, re.DOTALL)
    return json.loads(found[1])


@pytest.fixture(scope="module")
def protected():
    """A job with a place beside the seam, one far off and one that burns."""
    protect = [
        {"name": "loom", "line": [[-60, 75], [120, 75]], "limit": "150 degC"},
        {"name": "seal, far away", "at": [900, 900], "limit": "100 degC"},
        {"name": f"fuel line {HOSTILE}"[:60], "at": [-40, -45], "limit": "60 degC"},
    ]
    return worked(job_of(title=HOSTILE, panel={"protect": protect}))


@pytest.fixture(scope="module")
def page(protected):
    return phone_page(*protected, front="left")


def test_the_file_stands_alone_and_is_small(page):
    head = page[: page.index("<style>")]
    assert "default-src 'none'" in head and "connect-src" not in head
    ours = re.sub(
        r"<title>.*?</title>|<script type=\"application/json\".*?</script>",
        "",
        page,
        flags=re.DOTALL,
    )
    assert "https:" not in ours
    assert set(re.findall(r"http:[^\"]*", ours)) == {
        "http://www.w3.org/2000/svg"
    }  # a name, no link
    assert not re.search(r"<(?:link|img|iframe|base|object)\b|\bsrc=|@import|url\(|\bimport ", ours)
    assert not re.search(r"\bfetch\(|XMLHttpRequest|WebSocket|EventSource|sendBeacon", ours)
    assert len(page.encode()) < MOST_BYTES / 5


def test_the_largest_sheet_still_fits(small_plan):
    """A hundred and fifty stitches on as many cells as a plan takes at most."""
    ring = shapely.Point(0, 0).buffer(500, quad_segs=64).exterior
    at = np.linspace(0, ring.length, 151)
    path = [
        shapely.get_coordinates(shapely.ops.substring(ring, a, b - 3))
        for a, b in zip(at, at[1:], strict=False)
    ]
    runs = [WeldRun(one, 900.0, 6.0) for one in path]
    panel = shapely.box(-570, -570, 570, 570)
    model = SheetModel(Workpiece(panel, [ring], 1.0, stitches=runs), GridChoice(cell_mm=4.0))
    assert model.capacity.size > 0.9 * MOST_CELLS
    data = sheet_data(dataclasses.replace(small_plan, model=model))
    assert len(json.dumps(data)) < MOST_BYTES - 200_000


def test_arrays_come_out_as_they_went_in():
    arrays = {"a": np.array([[1.5, -2.0]], np.float32), "b": np.arange(5), "none": np.zeros((0, 4))}
    told = packed(arrays)
    raw = zlib.decompress(base64.b64decode(told["deflated"]))
    assert told["arrays"] == [["a", "f4", 2], ["b", "i4", 5], ["none", "f4", 0]]
    assert np.frombuffer(raw[:8], "<f4").tolist() == [1.5, -2.0]
    assert np.frombuffer(raw[8:], "<i4").tolist() == [0, 1, 2, 3, 4]


def test_what_a_user_typed_is_never_markup(page, protected):
    assert "<script>alert" not in page and "<img" not in page
    assert page.count("<script") == page.count("</script>") == 2
    told = inside(page)["told"]
    assert told["title"].startswith("</script>") and "\x00" not in told["title"]
    assert any("fuel line" in line for line in told["hot"])


def test_the_page_says_what_it_is_worth(page):
    told = inside(page)["told"]
    assert UNVALIDATED in told["first"] and UNVALIDATED in told["about"]
    assert "start under 60 °C" in told["ask"]
    assert told["settings"] and told["heed"]
    said = json.dumps(told).lower()
    assert "stays flat" not in said and "will pass" not in said and "passes inspection" not in said


def test_each_place_is_told_of_at_its_own_turns(page, protected):
    """The loom lies along the upper side: the stitches there speak of it, those below don't."""
    _, plan = protected
    scene = inside(page)["map"]
    high = max(stitch["at"][1] for stitch in scene["stitches"])
    for stitch in scene["stitches"]:
        above = stitch["at"][1] > high - 1
        told = [words for words in stitch["near"] if words.startswith("P1")]
        assert bool(told) or not above
        if told:
            assert "loom" in told[0] and "150 °C" in told[0] and "thermometer there too" in told[0]
    assert any(not any(w.startswith("P1") for w in one["near"]) for one in scene["stitches"])
    fuel = [w for one in scene["stitches"] for w in one["near"] if w.startswith("P3")]
    assert fuel and all("Take off" in words for words in fuel)
    assert {place["name"] for place in scene["places"]} == {"P1", "P3"}  # the far one isn't drawn
    assert len(scene["stitches"]) == len(plan.order) and len(scene["tacks"]) == len(plan.tack_order)


def test_inches_go_with_fahrenheit(protected):
    data = inside(phone_page(*protected, display="in"))
    assert data["told"]["degrees"] == "F" and "140 °F" in data["told"]["ask"]
    assert "mm" not in " ".join(value for _, value in data["told"]["settings"])
    units = {field["name"]: field["unit"] for field in data["log"]["fields"]}
    assert (units["wire_g"], units["pressure_before_bar"]) == ("oz", "psi")
    warm = next(f for f in data["log"]["fields"] if f["name"] == "bottle_before_c")
    assert (100 * warm["factor"] + warm["offset"], warm["unit"]) == (pytest.approx(212), "°F")


def test_a_job_without_tacks_or_names_has_a_page(small_plan, small_estimate):
    plan = dataclasses.replace(small_plan, tack_order=(), tack_start_s=(), tack_s=0.0)
    data = plan_data(plan)
    assert (data["tackOrder"], data["lastTack"]) == ([], -1)


TEN = [
    {},
    {"sheet": {"thickness": 0.7}, "weld": {"stitch": 25, "interpass_limit": "50 degC"}},
    {"sheet": {"thickness": 1.5}, "weld": {"stitch": 30, "interpass_limit": "80 degC"}},
    {"patch": {"joint": "lap"}},
    {"patch": {"joint": "plug"}},
    {"rust": [{"ring": SQUARE}, {"ring": [[x + 260, y + 40] for x, y in SQUARE]}]},
    {"panel": {"protect": [{"name": "loom", "line": [[-60, 90], [120, 90]], "limit": "90 degC"}]}},
    {"panel": {"outline": [[-90, -90], [200, -90], [200, 130], [-90, 130]]}},
    {"surroundings": {"ambient": "5 degC"}, "weld": {"stitch": 35, "interpass_limit": "45 degC"}},
    {"rust": [{"ring": [[0, 0], [140, 0], [140, 30], [30, 30], [30, 110], [0, 110]]}]},
]


def made_up(plan, rng) -> list[dict]:
    """Return moments of somebody's work on a plan: slow and quick hands, hot and cool sheets."""
    count, cases = len(plan.order), [{"starts": [], "now": 0.0}]
    for done in sorted({1, count // 2, count - 1}):
        starts, free = [], 0.0
        for place in range(done):
            free = max(free, plan.start_s[place] + rng.uniform(-4, 30))
            starts.append(free)
            free += plan.model.stitches[plan.order[place]].duration_s
        one = {"starts": starts, "now": free + rng.uniform(0, 15)}
        expected = paced(plan, starts, one["now"]).expected_c - plan.model.ambient_c
        reading = plan.model.ambient_c + rng.choice([0.55, 0.9, 1.2, 1.7, 4.0]) * expected
        before = rng.choice([0.6, 1.2])
        cases += [one, one | {"measured": float(reading)}]
        cases.append(one | {"measured": float(reading), "ratio": 1.1, "before": float(before)})
    return cases


@pytest.mark.parametrize("number", range(len(TEN)))
def test_waits_are_the_players_on_ten_plans(number, tmp_path):
    """Never shorter by more than rounding, and longer by 10 s or a tenth at most."""
    node = shutil.which("node")
    assert node, "node is not installed; on Debian: apt-get install nodejs"
    _, plan = worked(job_of(**TEN[number]))
    rng = np.random.default_rng(number)
    less = rng.uniform(0, 3, len(plan.held.less_k))  # what a finer grid found, made up
    plan = dataclasses.replace(plan, held=dataclasses.replace(plan.held, less_k=less))
    cases = made_up(plan, rng)
    told = tmp_path / "case.json"
    told.write_text(
        json.dumps({"plan": plan_data(plan), "sheet": sheet_data(plan), "cases": cases})
    )
    (tmp_path / "package.json").write_text('{"type": "module"}')
    done = subprocess.run([node, DRIVER, told], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    waited = 0.0
    for case, found in zip(cases, json.loads(done.stdout), strict=True):
        own = paced(
            plan, case["starts"], case["now"], ratio=case.get("ratio", 1.0),
            measured_c=case.get("measured"), before=case.get("before"),
        )  # fmt: skip
        place, seconds = len(case["starts"]), found["due"]
        assert found["reading"] == own.reading.name.lower().replace("_", " ")
        assert found["ratio"] == pytest.approx(own.ratio, abs=1e-5)
        assert found["expected_c"] == pytest.approx(own.expected_c, abs=0.01)
        assert found["next"] == seconds[place]
        for page_s, own_s in zip(seconds, own.due_s, strict=True):
            wait = own_s - case["now"]
            waited = max(waited, wait)
            assert own_s - 0.02 <= page_s <= own_s + max(10.0, 0.1 * wait)
    assert waited > 5


def test_the_page_of_a_job_book_is_read_by_it(tmp_path, protected):
    """A row as the page writes it: the job by its title, units of the log, one entry twice saved."""
    result, plan = protected
    log = inside(phone_page(result, plan))["log"]
    (tmp_path / "left wing.json").write_text(json.dumps(result.job.data))
    cells = {"date": "2026-05-31", "job": "Small patch", "welding_h": "0.4"}

    def line(**more) -> str:
        row = cells | more
        return ",".join(row.get(name, "") for name in log["columns"])

    head = ",".join(log["columns"])
    (tmp_path / "phone_a.csv").write_text(f"{head}\r\n{line(entry='j1', job='left wing.json')}\r\n")
    (tmp_path / "phone_a (1).csv").write_text(
        f"{head}\r\n{line(entry='j1', job='left wing.json')}\r\n"
    )
    (tmp_path / "phone_b.csv").write_text(f"{head}\r\n{line(entry='j2', job='nobody knows')}\r\n")
    book = Book.open(tmp_path)
    assert [entry.measured["welding_h"] for entry in book.entries] == [0.4]
    assert any("nobody knows" in str(fault) for one in book.set_aside for fault in one.faults)
    title = '"' + log["job"].replace('"', '""') + '"'
    (tmp_path / "phone_b.csv").write_text(f"{head}\r\n{line(entry='j2', job=title)}\r\n")
    book = Book.open(tmp_path)
    assert len(book.entries) == 2 and not book.set_aside
    assert len(book.logged(tmp_path / "left wing.json")) == 2
