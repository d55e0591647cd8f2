"""Tags for an accessible PDF: the engine's own structure tree is replaced by one made from the HTML.

WeasyPrint 70 tags page by page: a table over three pages is three tables, with its header row in each; header
cells have no scope, a term and its meaning are two list items, a link is described by its address. The Tagger
notes which box painted which marked sequence, `pdf_structure` builds one tree from that, and `pdf_tree`
writes it into the finished PDF. Work and memory grow in step with the number of boxes.

Rules for the templates. Refused here (PdfError) or a crash of WeasyPrint 70:

- `<html lang>` and `<title>` are filled in.
- Every `img` has an `alt`, every inline `<svg>` a direct, filled `<title>`. A decoration is a CSS background
  or an inline `<svg aria-hidden="true">`; an `img` with an empty `alt` is refused.
- No `opacity` below 1 on anything that holds text or pictures (use colours; inside an SVG it is fine).
- No pictures in generated content: `content: url()`, `list-style-image`.
- No `li::marker { content: ... }`: WeasyPrint stops with a TypeError.
- No URL but `job:///NAME` of a given resource; no `data:`, no relative URL, no `local()` font.

A complaint in the log, so an error under `pdf.no_complaints`:

- Links to an id that does not exist; unknown CSS properties (`text-wrap`) and media features
  (`prefers-color-scheme`): keep what is for the screen in a style sheet that the print page does not load.
- Characters that no bundled font has. Fonts of the machine do not exist for the page, whatever it names.

What the outside judges would object to:

- Headings start at `h1` and skip no level.
- `img, svg { overflow: visible }`: under the engine's default (hidden) pictures are painted after all text,
  out of reading order. `object-fit: cover` needs the clipping, so serve pictures cut to size. For the same
  reason few things are floated, `position: relative/absolute`, transformed or clipped.
- Lists: `list-style: none` with `li::before { content: counter(...) }`. Whatever `li::before` prints is
  taken as the item's label. Markers of the engine are tagged well, but painted last on the page.
- Tables are regular; header cells carry `scope="col"` or `scope="row"`; the head is a `<thead>`. A table that
  may run over pages has horizontal rules only: a full grid on its later pages is taken for an untagged table
  by a judge that knows one page per table. A footer row (`<tfoot>`) is read once, where it is painted first.
- A table of contents is `<nav role="doc-toc">` with the list as its child; leaders become artifacts.
- `<dl>` holds `dt` and `dd`, or `div`s round them. Blocks are block elements, not spans made blocks by CSS.
- A link is `<a href>` with words in it (or a picture with words), or with `aria-label`; addresses that are
  printed as text are links.
- The same line as the first or the last of three pages looks like a running head to a judge.
"""

from collections.abc import Callable
from typing import Any

import pydyf

from .pdf import PdfError
from .pdf_metadata import with_pdfua_claim
from .pdf_nodes import Mark
from .pdf_structure import StructureBuilder
from .pdf_tree import TreeWriter

__all__ = ["Tagger"]


class Tagger:
    """Watches a document being painted, then rewrites the tags of its PDF. For one document."""

    def __init__(self) -> None:
        self._painted: list[tuple[Any, dict[Any, int]]] = []

    def watch(self, document: Any, root: Any) -> None:
        """Note, as each page is painted, its stream and which box made which mark; `root` is `<html>`."""
        self._root = root
        for page in document.pages:
            page.paint = self._watched(page.paint)

    def _watched(self, paint: Callable[..., None]) -> Callable[..., None]:
        def watched_paint(stream: Any, scale: float = 1) -> None:
            paint(stream, scale)
            # WeasyPrint empties this dictionary later, when it builds its own tree.
            self._painted.append((stream, {box: tag["mcid"] for box, tag in stream._tags.items()}))

        return watched_paint

    def finish(self, document: Any, pdf: Any) -> None:
        """WeasyPrint's finisher: called with everything written but the file itself."""
        if not pdf.info.get("Title") or not self._root.get("lang"):
            raise PdfError("the page has no title or no lang")
        builder = StructureBuilder(self._root)
        for page, (_, numbers) in zip(document.pages, self._painted, strict=True):
            builder.add_page(page._page_box, numbers, page.height)
        if builder.faults:
            raise PdfError("; ".join(builder.faults))
        for (stream, _), marks in zip(self._painted, builder.marks, strict=True):
            _renumber(stream, marks)
        TreeWriter(pdf).write(builder)
        _claim_pdfua(pdf)
        if "AF" in pdf.catalog:
            pdf.catalog["AF"] = pydyf.Array(dict.fromkeys(pdf.catalog["AF"]))


def _renumber(stream: Any, marks: list[Mark]) -> None:
    """Turn the marks that are no content into artifacts, and count the others from 0."""
    tokens = stream.stream
    places = {
        token["MCID"]: place
        for place, token in enumerate(tokens)
        if isinstance(token, pydyf.Dictionary) and "MCID" in token
    }
    if len(places) != len(marks) or {mark.number for mark in marks} != set(places):
        raise PdfError(
            "some content is painted outside the page's own stream (opacity?) or belongs to no element"
        )
    live = 0
    for mark in sorted(marks, key=lambda mark: mark.number):
        place = places[mark.number]
        if mark.artifact:
            tokens[place - 1] = "/Artifact"
            tokens[place] = pydyf.Dictionary({"Type": f"/{mark.artifact}"})
        else:
            tokens[place] = pydyf.Dictionary({"MCID": live})
            mark.number = live
            live += 1


def _claim_pdfua(pdf: Any) -> None:
    metadata = pdf.objects[int(pdf.catalog["Metadata"].split()[0])]
    metadata.stream = [with_pdfua_claim(b"".join(metadata.stream))]
