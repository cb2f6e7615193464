"""The coupon's log page: one sheet, with every step and a line for every reading."""

import subprocess

import pytest

from sheetkit.paper.coupon_page import READ_MIN, coupon_page
from sheetkit.workshop.heat_coupon import PROTOCOL


@pytest.mark.parametrize(("paper", "size"), [("a4", "595.276 x 841.89"), ("letter", "612 x 792")])
def test_all_of_it_on_one_page(tmp_path, paper, size):
    (tmp_path / "page.pdf").write_bytes(coupon_page(paper))
    facts = subprocess.run(
        ["pdfinfo", tmp_path / "page.pdf"], capture_output=True, text=True, check=True
    ).stdout
    assert "Pages:           1\n" in facts and size in facts
    text = subprocess.run(["pdftotext", "-layout", tmp_path / "page.pdf", "-"],
                          capture_output=True, text=True, check=True).stdout  # fmt: skip
    words = " ".join(text.split())
    for step in PROTOCOL:
        assert step.split(".")[0][:40] in words
    for minute in READ_MIN:
        assert f" {minute:g} " in f" {words} "
    assert "not validated" in words and "°C" in words
