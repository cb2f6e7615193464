"""Files by whom they are for; only those of the list can be opened."""

from __future__ import annotations

import mimetypes

from sheetkit.paper.write import FILES
from sheetkit.widgets.files import FOR_WHOM, FileLinks

PARTS = ("cutting/patch_1_of_2.dxf", "cutting/panel_cut.svg", "cutting/panel_cut_r12.dxf",
         "cutting/stock_sheet_1_of_1_r12.dxf")  # fmt: skip
"""Files that differ from job to job."""


def written(folder):
    paths = [folder / name for name in (*FILES, *PARTS)]
    for path in paths:
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(path.name.encode())
    return paths


def sent_by(links, monkeypatch):
    sent = []
    monkeypatch.setattr(
        links, "send", lambda content, buffers=None: sent.append((content, buffers))
    )
    return sent


def test_every_page_is_listed_with_whom_it_is_for(tmp_path):
    links = FileLinks(written(tmp_path))
    listed = [file["name"] for group in links.groups for file in group["files"]]
    assert sorted(listed) == sorted(name.rpartition("/")[2] for name in (*FILES, *PARTS))
    assert [group["whom"] for group in links.groups] == [whom for whom, _ in FOR_WHOM]
    assert all(file["words"] for group in links.groups for file in group["files"])


def test_a_file_clicked_is_sent_whole(tmp_path, monkeypatch):
    links = FileLinks(written(tmp_path))
    sent = sent_by(links, monkeypatch)
    links._receive(None, {"open": "quote.pdf"}, [])
    assert sent == [({"name": "quote.pdf", "kind": "application/pdf"}, [b"quote.pdf"])]


def test_nothing_else_can_be_asked_for(tmp_path, monkeypatch):
    (tmp_path / "secret.txt").write_text("no")
    links = FileLinks(written(tmp_path))
    sent = sent_by(links, monkeypatch)
    for name in ("secret.txt", "../secret.txt", str(tmp_path / "secret.txt"), 3, None):
        links._receive(None, {"open": name}, [])
    assert sent == []


def test_a_file_that_is_gone_is_told(tmp_path, monkeypatch):
    links = FileLinks(written(tmp_path))
    sent = sent_by(links, monkeypatch)
    (tmp_path / "quote.pdf").unlink()
    links._receive(None, {"open": "quote.pdf"}, [])
    assert "quote.pdf is gone" in sent[0][0]["fault"]


def test_what_the_system_was_told_of_an_ending_does_not_count(tmp_path, monkeypatch):
    """An office program may claim csv files, and one made of them would not open in the browser."""
    mimetypes.init()
    monkeypatch.setitem(mimetypes.types_map, ".csv", "application/x-office")
    assert mimetypes.guess_type("order.csv")[0] == "application/x-office"
    links = FileLinks(written(tmp_path))
    sent = sent_by(links, monkeypatch)
    links._receive(None, {"open": "order.csv"}, [])
    assert sent[0][0]["kind"] == "text/csv"
