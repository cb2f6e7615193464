"""A document's blocks as one self-contained HTML page: no script, nothing loaded from elsewhere.

Every text is escaped; direction follows each text's own script.
"""

from __future__ import annotations

import base64
import re
from collections.abc import Iterable
from html import escape

from .blocks import (
    Block,
    Columns,
    Drawing,
    Frames,
    Heading,
    NewPage,
    Number,
    Paragraph,
    Picture,
    Table,
    Ticks,
)
from .job_photos import small
from .lettering import clean
from .page import drawn, png

_STYLE = """
body{font:17px/1.45 "DejaVu Sans",Verdana,Arial,sans-serif;max-width:900px;margin:24px auto;
padding:0 16px;color:#000;background:#fff;overflow-wrap:break-word}
.wide{overflow-x:auto}
table{border-collapse:collapse;width:100%;margin:8px 0 18px}
th,td{border:1px solid #555;padding:5px 8px;text-align:start;vertical-align:top}
th{background:#e6e6e6}
td.n{text-align:right;white-space:nowrap}
tr.last td{font-weight:bold}
.box{display:inline-block;width:1em;height:1em;border:2px solid #000;vertical-align:-0.1em}
.box.x{background:linear-gradient(45deg,#0000 45%,#000 45% 55%,#0000 55%),
linear-gradient(-45deg,#0000 45%,#000 45% 55%,#0000 55%)}
.beside{display:grid;grid-template-columns:repeat(auto-fit,minmax(300px,1fr));gap:0 20px}
ul.ticks{list-style:none;padding:0;display:grid;gap:6px 18px}
.frames{display:grid;grid-template-columns:1fr 1fr;gap:16px}
.frames div{border:1px dashed #000;height:60mm}
img{max-width:100%;border:1px solid #777}
@media screen and (max-width:600px){
body{margin:12px auto}
.frames,ul.ticks{grid-template-columns:1fr!important}
table.told,.told tbody,.told tr,.told td,.told th{display:block;text-align:start!important}
.told thead{position:absolute;clip-path:inset(50%)}
.told tr{height:auto!important;border:1px solid #555;margin:0 0 10px}
.told td,.told th{border:0;border-bottom:1px solid #ccc;white-space:normal!important}
.told td[data-of]:not(:empty)::before{content:attr(data-of) ": ";font-weight:bold}
}
@page{margin:12mm}
@media print{
body{margin:0;max-width:none;font-size:10pt;padding:0}
h1{font-size:17pt;margin:0 0 6pt}h2{font-size:13pt;margin:10pt 0 4pt}p{margin:5pt 0}
th,td{padding:2pt 5pt}table{margin:4pt 0 8pt}
h2{break-after:avoid}
tr,.frames figure{break-inside:avoid}
.wide{overflow:visible}
img{display:block;max-height:240mm;width:auto;margin:auto;break-inside:avoid}
}
"""


LAST = ' class="last"'


LONG_CELL = 24
"""More letters in a cell, and on a phone the table's rows stand as blocks: columns would be too narrow."""
_EMPTY_LINES = re.compile(r"\n(?:[^\S\n]*\n){2,}")
"""More than one empty line: thousands of them hold a browser up and say nothing."""


def _text(words: object) -> str:
    return escape(_EMPTY_LINES.sub("\n\n", clean(str(words)))).replace("\n", "<br>")


def _image(content: bytes, words: str, kind: str = "png") -> str:
    data = base64.b64encode(content).decode()
    return f'<p><img alt="{_text(words)}" src="data:image/{kind};base64,{data}"></p>'


def _framed(picture: bytes | None, words: str) -> str:
    return "<div></div>" if picture is None else _image(small(picture), words, "jpeg")


def _cell(cell: str | Number, of: str, head: bool) -> str:
    if head:
        return f'<th scope="row" dir="auto">{_text(cell)}</th>'
    named = f' data-of="{escape(clean(of))}"' if of else ""
    side = ' class="n"' if isinstance(cell, Number) else ' dir="auto"'
    return f"<td{side}{named}>{_text(cell)}</td>"


def _table(table: Table) -> str:
    head = "".join(f'<th scope="col">{_text(c)}</th>' for c in table.columns)
    box = '<td><span class="box" role="img" aria-label="box to tick"></span></td>'
    names = table.columns or [""] * len(table.widths)
    rows = []
    for number, cells in enumerate(table.rows):
        last = table.bold_last and number == len(table.rows) - 1
        body = "".join(
            _cell(cell, of, head=not table.columns and n % 2 == 0)
            for n, (cell, of) in enumerate(zip(cells, names, strict=True))
        )
        height = f' style="height:{table.least_mm:g}mm"' if table.least_mm else ""
        rows.append(f"<tr{LAST if last else ''}{height}>{box if table.tick else ''}{body}</tr>")
    done = '<th scope="col">done</th>' if table.tick else ""
    heads = f"<thead><tr>{done}{head}</tr></thead>" if table.columns else ""
    told = any(len(str(cell)) > LONG_CELL for row in table.rows for cell in row)
    kind = ' class="told"' if told else ""
    whole = f"<table{kind}>{heads}<tbody>{''.join(rows)}</tbody></table>"
    return whole if told else f'<div class="wide">{whole}</div>'


def _block(block: Block) -> str:
    if isinstance(block, Heading):
        return f'<h2 dir="auto">{_text(block.text)}</h2>'
    if isinstance(block, Paragraph):
        words = _text(block.text)
        style = ' style="font-size:1.5em"' if block.size > 14 else ""
        return f'<p dir="auto"{style}>{f"<b>{words}</b>" if block.bold else words}</p>'
    if isinstance(block, Table):
        return _table(block)
    if isinstance(block, Ticks):
        items = "".join(
            f'<li dir="auto"><span class="box{" x" * (i in block.ticked)}"></span> {_text(i)}</li>'
            for i in block.items
        )
        columns = f"grid-template-columns:repeat({block.columns},1fr)"
        return f'<ul class="ticks" style="{columns}">{items}</ul>'
    if isinstance(block, Columns):
        sides = ("\n".join(filter(None, map(_block, side))) for side in (block.left, block.right))
        return f'<div class="beside">{"".join(f"<div>{side}</div>" for side in sides)}</div>'
    if isinstance(block, Drawing):
        return _image(drawn(block.draw, block.height_mm), block.words)
    if isinstance(block, Frames):
        pictures = [*block.pictures, *[None] * len(block.captions)]
        frames = "".join(
            f'<figure style="margin:0">{_framed(picture, caption)}'
            f'<figcaption dir="auto">{_text(caption)}</figcaption></figure>'
            for caption, picture in zip(block.captions, pictures, strict=False)
        )
        return f'<div class="frames">{frames}</div>'
    if isinstance(block, Picture):
        return "".join(_image(png(page, dpi=90), block.words) for page in block.pages)
    assert isinstance(block, NewPage)
    return ""


def html(blocks: Iterable[Block], *, title: str, kind: str) -> str:
    """Return a document as one HTML page."""
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width,initial-scale=1">'
        '<meta http-equiv="Content-Security-Policy" content="default-src \'none\'; '
        "style-src 'unsafe-inline'; img-src data:\">"
        f"<title>{_text(kind)}: {escape(clean(title)[:200])}</title><style>{_STYLE}</style></head>"
        f'<body><h1 dir="auto">{_text(kind)}: {_text(title[:200])}</h1>\n'
        + "\n".join(filter(None, map(_block, blocks)))
        + "\n</body></html>\n"
    )
