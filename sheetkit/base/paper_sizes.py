"""Sheets of paper that printers take, and that lie about to measure a photo by."""

PAPERS = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""Width and height, mm: ISO 216 A4; ANSI Letter 8.5 x 11 in."""
