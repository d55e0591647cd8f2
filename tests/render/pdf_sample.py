"""A page with one of everything that the print templates use. Not a test: the tests and the judges write it.

`python tests/render/pdf_sample.py FILE [CARDS]` writes it to FILE, with CARDS more cards.
"""

import functools
import io
import sys
from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path

from PIL import Image

from lugbook.render.pdf import Attached, Resource, write_pdf

ROOT = Path(__file__).parents[2]
CREATED = datetime(2026, 5, 4, 9, 30, tzinfo=UTC)
FACES = (
    ("Lugbook Text", "text-regular", 400, "normal"),
    ("Lugbook Text", "text-italic", 400, "italic"),
    ("Lugbook Text", "text-bold", 700, "normal"),
    ("Lugbook Label", "label-regular", 400, "normal"),
)
ATTACHED = (
    Attached("manifest.json", "The manifest of this report", b'{"b": [1, 2]}\n', "application/json"),
    Attached("findings.json", "The findings of this report", b'{"a": "\xc3\xa9"}\n', "application/json"),
)

STYLE = """
html { font: 10pt/1.4 "Lugbook Text" }
@page { size: A4; margin: 25mm 20mm; font: 8pt "Lugbook Label";
  @top-left { content: string(running) } @top-right { content: "Sample report" }
  @bottom-right { content: "page " counter(page) " of " counter(pages) } }
h1 { string-set: running content() } h2 { break-after: avoid } h2, h3 { font-family: "Lugbook Label" }
.first { break-after: page }
nav a { display: block; color: inherit; text-decoration: none }
nav a::after { content: leader(".") target-counter(attr(href), page) }
ol, ul { list-style: none } ul > li::before { content: "– " }
ol { counter-reset: item } ol > li::before { counter-increment: item; content: counter(item) ". " }
nav ol { padding: 0 } nav li::before { content: none !important }
.columns { columns: 2 } .card { break-inside: avoid; border: 1px solid; padding: 2mm; margin: 2mm 0 }
table { border-collapse: collapse; width: 100% }
td, th { border-bottom: 1px solid #888; padding: 1mm; text-align: left }
img, svg { overflow: visible } img { width: 50mm; display: block }
svg { width: 10mm; height: 10mm; font-family: "Lugbook Label" }
code { font-family: "Lugbook Label" }
""" + "".join(
    f'@font-face {{ font-family: "{family}"; src: url(job:///{file}.ttf); font-weight: {weight};'
    f" font-style: {style} }}\n"
    for family, file, weight, style in FACES
)

PLACES = ("battery", "switch", "main bus", "panel", "pump", "windlass", "inlet")

CARD = """<article class="card"><h3 id="d{n}">Defect {n}: a cable rubs on an edge</h3>
<p>The cable at the bracket is worn. See <a href="#test-record">the test record</a>.</p>
<dl><dt>Place</dt><dd>Engine space, port side</dd><dt>Act by</dt><dd>before the next trip</dd></dl>
<figure><img src="job:///photo.jpg" alt="A worn cable over a steel edge">
<figcaption>Photo {n}</figcaption></figure>
</article>"""

PAGE = """<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>Sample report 7</title><style>{style}</style></head><body>
<header class="first"><h1>Sample report 7</h1><p>For <strong>a buyer</strong>, on 4 May.</p>
<div>Level <svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 10 10"><title>Level: high</title>
<circle cx="5" cy="5" r="4" fill="none" stroke="black"/></svg> and
<svg xmlns="http://www.w3.org/2000/svg" aria-hidden="true" viewBox="0 0 10 10"><path d="M0 0h9v9z"/></svg>
words</div>
<nav role="doc-toc"><h2>Contents</h2><ol>
<li><a href="#defects">Defects</a><ol><li><a href="#d1">Defect 1</a></li></ol></li>
<li><a href="#test-record">Test record</a></li></ol></nav></header>
<main><section><h2 id="defects">Defects</h2>
<p>A long sentence with <a href="https://example.org/one">a link that is long enough to be broken over two
lines of the page, so that one link has two rectangles on the paper</a>, and <em>emphasis</em>.</p>
<aside role="note"><p>Local regulations and licensed examiners take precedence.</p></aside>
<blockquote><p>It was like that when I bought it.</p></blockquote>
<p>The owner said <q>soon</q>, in Polish <span lang="pl">wkrótce</span>; run <code>lugbook verify</code>.
An <abbr title="residual-current device">RCD</abbr> was fitted.</p>
<ol><li>First</li><li>Second<ul><li>Inner one</li><li>Inner two</li></ul></li></ol>
<ul><li>Plain <a href="#d1">with a link</a></li><li><p>With a paragraph</p></li></ul>
{cards}</section>
<section><h2 id="test-record">Test record</h2>
<table><caption>Readings</caption>
<thead><tr><th scope="col">Place</th><th scope="col">Volts</th><th scope="col">Remark</th></tr></thead>
<tbody>{rows}</tbody></table></section>
<section><h2>Words</h2><div class="columns">{columns}</div></section></main>
<footer><p>Not a certificate.</p></footer></body></html>"""


def photo() -> bytes:
    """A small JPEG of plain drawn stripes."""
    out = io.BytesIO()
    image = Image.new("RGB", (90, 60), (40, 60, 90))
    image.paste((200, 60, 60), (10, 20, 80, 35))
    image.save(out, "JPEG", quality=80)
    return out.getvalue()


@functools.cache
def resources() -> Mapping[str, Resource]:
    fonts = ROOT / "templates" / "fonts"
    found = {f"{file}.ttf": (fonts / f"{file}.ttf").read_bytes() for _, file, _, _ in FACES}
    served = {name: Resource(data, "font/ttf") for name, data in found.items()}
    return served | {"photo.jpg": Resource(photo(), "image/jpeg")}


def page(body: str, *, style: str = STYLE, title: str = "Sample report 7") -> str:
    """A whole small page round `body`."""
    head = f'<meta charset="utf-8"><title>{title}</title><style>{style}</style>'
    return f'<!doctype html><html lang="en"><head>{head}</head><body>{body}</body></html>'


def _remark(n: int) -> str:
    return "" if n % 7 == 3 else f"{PLACES[n % 7]} {PLACES[n // 7 % 7]}"


def sample_html(cards: int = 3) -> str:
    row = '<tr><th scope="row">Node {n}</th><td>12.{n:02}</td><td>{remark}</td></tr>'
    return PAGE.format(
        style=STYLE,
        cards="".join(CARD.format(n=n) for n in range(1, cards + 1)),
        rows="".join(row.format(n=n, remark=_remark(n)) for n in range(1, 90)),
        columns="".join(f"<p>Word {n} is told in a short paragraph of its own.</p>" for n in range(30)),
    )


def sample_pdf(cards: int = 3) -> bytes:
    return write_pdf(sample_html(cards), resources=resources(), attachments=ATTACHED, created=CREATED)


if __name__ == "__main__":
    Path(sys.argv[1]).write_bytes(sample_pdf(*(int(n) for n in sys.argv[2:])))
