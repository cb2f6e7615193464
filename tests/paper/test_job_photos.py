"""Photos beside a job: found, shown where they belong, refused in words when they can't be read."""

import io
import json
from types import SimpleNamespace

import numpy as np
import pytest
from PIL import Image
from reading import pages

import sheetkit as sk
from sheetkit.paper import html, job_photos, quote
from sheetkit.paper.flow import flowed
from sheetkit.paper.page import Page, pdf, png
from sheetkit.sketch import photo as photos


def picture(block=None, size=(400, 300)):
    """A white picture, with a black block (left, top, right, bottom) px."""
    made = Image.new("RGB", size, "white")
    if block:
        made.paste("black", block)
    stream = io.BytesIO()
    made.save(stream, "PNG")
    return stream.getvalue()


def pictures_laid(path):
    """How many pictures each page of a PDF draws."""
    return [
        sum(operator == b"Do" for _, operator in page.get_contents().operations)
        for page in pages(path)
    ]


@pytest.fixture
def with_photos(job, tmp_path):
    """A job file with the photo it was drawn on, 2 mm a pixel, and one of the cut."""
    path = tmp_path / "wing.json"
    sk.save(job(), path)
    under = photos.open_photo(picture((100, 200, 140, 240))).calibrated([[0, 0], [100, 0]], 200.0)
    photos.keep(under, path)
    (tmp_path / "wing.sketch" / "cut_open.png").write_bytes(picture((0, 0, 50, 50)))
    return path


def test_found_by_what_they_show(with_photos):
    found = job_photos.photos_beside(with_photos)
    assert list(found.stages) == ["as it came", "cut open"] and found.refused == ()
    assert found.under.mm_per_px == pytest.approx(2.0)
    assert job_photos.photos_beside(with_photos.with_name("other.json")) == job_photos.JobPhotos()


def test_a_photo_without_scale_is_shown_and_lies_under_nothing(job, tmp_path):
    path = tmp_path / "wing.json"
    sk.save(job(), path)
    photos.keep(photos.open_photo(picture()), path)
    found = job_photos.photos_beside(path)
    assert found.under is None and "as it came" in found.stages


def test_what_cannot_be_read_is_told_and_the_rest_is_there(with_photos):
    folder = with_photos.with_name("wing.sketch")
    (folder / "cut_open.png").write_bytes(b"\x89PNG broken")
    (folder / "welded.jpg").write_bytes(picture())
    found = job_photos.photos_beside(with_photos)
    assert "cut_open.png" in found.refused[0] and list(found.stages) == ["as it came", "welded"]
    steps = json.loads((folder / "photo.json").read_text())
    (folder / "photo.json").write_text(json.dumps(steps | {"steps": [{"nonsense": 1}]}))
    assert len(job_photos.photos_beside(with_photos).refused) == 2


def test_on_the_quote_and_in_its_html(with_photos, tmp_path):
    result, found = sk.estimate(sk.load(with_photos)), job_photos.photos_beside(with_photos)
    body = list(quote.quote(result, display="mm", photos=found))
    (tmp_path / "q.pdf").write_bytes(pdf(flowed(body, paper="a4", title="t", kind="k"), "t"))
    assert pictures_laid(tmp_path / "q.pdf") == [1, 2]
    assert html.html(body, title="", kind="").count("data:image/jpeg") == 2
    without = flowed(list(quote.quote(result, display="mm")), paper="a4", title="t", kind="k")
    (tmp_path / "n.pdf").write_bytes(pdf(without, "t"))
    assert pictures_laid(tmp_path / "n.pdf") == [0, 0]


def test_it_lies_where_it_was_drawn_on(with_photos):
    """The block of 80 mm, 200 mm from the left and 120 mm up, at half size."""
    under = job_photos.photos_beside(with_photos).under
    page = Page("a4")
    job_photos.put_under(page, under, (30.0, 40.0), 0.5, (10, 10, 200, 280))
    dpi = 100
    grey = np.asarray(Image.open(io.BytesIO(png(page, dpi=dpi))).convert("L"))
    rows, columns = np.nonzero(grey < 220)
    left, right = np.array([columns.min(), columns.max() + 1]) * 25.4 / dpi
    bottom, top = page.height - np.array([rows.max() + 1, rows.min()]) * 25.4 / dpi
    assert (left, right) == pytest.approx((130, 170), abs=0.6)
    assert (bottom, top) == pytest.approx((100, 140), abs=0.6)
    assert grey.min() > 120  # faint: numbers and lines stand out


def test_pages_are_written_with_a_photo_under_the_maps(with_photos, monkeypatch, tmp_path):
    from sheetkit.paper import stitch_map

    result = sk.estimate(sk.load(with_photos))
    count = len(result.welds)
    plan = SimpleNamespace(
        tack_order=(), order=range(count), wait_s=[0.0] * count, tack_s=0.0, protected=(),
        total_s=9.0, unheld_total_s=9.0,
    )  # fmt: skip
    under = job_photos.photos_beside(with_photos).under
    made = list(stitch_map.map_pages(result, plan, paper="a4", photo=under))
    assert all(len(page.axes.images) == 1 for page in made)


def test_the_bench_prints_the_photos_of_the_job_it_opened(with_photos, monkeypatch, tmp_path):
    from sheetkit.paper import write
    from sheetkit.widgets import Bench, Pages

    bench = Bench(with_photos)
    assert bench.details.pages.job_path == with_photos
    asked = []

    def stub(*_, **how):
        asked.append(how["photos"])
        return dict.fromkeys(write.FILES, b"")

    monkeypatch.setattr(write, "rendered", stub)
    monkeypatch.setattr(write, "preview", lambda *_, **__: b"")
    (with_photos.with_name("wing.sketch") / "welded.jpg").write_bytes(b"no picture")
    pages = Pages(lambda: bench.result, SimpleNamespace())
    pages.job_path, pages.folder.value = with_photos, str(tmp_path / "out")
    pages._do(pages._write, bench.result, SimpleNamespace())
    assert list(asked[0].stages) == ["as it came", "cut open"]
    assert "Without a photo" in pages.message.value and "welded.jpg" in pages.message.value
