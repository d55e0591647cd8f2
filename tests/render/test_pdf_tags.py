"""The tags of the PDF: one tree for the whole document, made from the HTML.

What is asked for follows ISO 32000-1, 14.7 to 14.9, and ISO 14289-1, 7 (recalled; the outside judges of
`make judges` hold the published rules).
"""

import io
from collections import Counter
from collections.abc import Iterator

import pikepdf
import pytest
from pdf_reading import artifacts, elements, find, is_element, kids, marks_of, of_type, outline, page_marks
from pdf_sample import CREATED, STYLE, page, resources, sample_pdf

from lugbook.render.pdf import PdfError, no_complaints, write_pdf
from lugbook.render.pdf_metadata import with_pdfua_claim


@pytest.fixture(scope="module")
def sample() -> Iterator[pikepdf.Pdf]:
    with pikepdf.open(io.BytesIO(sample_pdf())) as pdf:
        yield pdf


def tagged(body: str, css: str = "") -> pikepdf.Pdf:
    """The PDF of a heading and `body`; WeasyPrint must have nothing to say against it."""
    with no_complaints():
        data = write_pdf(
            page("<h1>Top</h1>" + body, style=STYLE + css), resources=resources(), created=CREATED
        )
    return pikepdf.open(io.BytesIO(data))


def shape(body: str, css: str = "") -> str:
    """The shape of the tree under Document, without the heading."""
    with tagged(body, css) as pdf:
        return outline(pdf.Root.StructTreeRoot.K).removeprefix("Document(H1").removesuffix(")").strip()


# Every mark, every element ------------------------------------------------------------------------


def test_all_paint_is_in_a_mark_or_an_artifact(sample: pikepdf.Pdf) -> None:
    for number, sheet in enumerate(sample.pages):
        _, stray = page_marks(sheet)
        assert stray == [], f"page {number + 1}"


def test_every_mark_belongs_to_exactly_one_element(sample: pikepdf.Pdf) -> None:
    claimed = Counter(mark for element in elements(sample) for mark in marks_of(element))
    painted = [(sheet.obj.objgen, mark) for sheet in sample.pages for mark in page_marks(sheet)[0]]
    assert len(painted) > 300
    assert claimed == Counter(painted)
    assert set(claimed.values()) == {1}


def test_the_parent_tree_leads_back_from_each_mark_and_link(sample: pikepdf.Pdf) -> None:
    nums = list(sample.Root.StructTreeRoot.ParentTree.Nums)
    parents = dict(zip((int(key) for key in nums[::2]), nums[1::2], strict=True))
    assert sample.Root.StructTreeRoot.ParentTreeNextKey == len(parents)
    links = 0
    for sheet in sample.pages:
        row = parents.pop(int(sheet.StructParents))
        marks = page_marks(sheet)[0]
        assert sorted(marks) == list(range(len(row)))
        for mark in marks:
            assert (sheet.obj.objgen, mark) in set(marks_of(row[mark]))
        for annotation in sheet.get("/Annots", ()):
            element = parents.pop(int(annotation.StructParent))
            assert element.S == "/Link"
            assert any(k.Obj.objgen == annotation.objgen for k in kids(element) if not isinstance(k, int))
            links += 1
    assert parents == {}
    assert links > 6


def test_each_element_knows_its_parent_and_has_no_needless_array(sample: pikepdf.Pdf) -> None:
    root = sample.Root.StructTreeRoot
    assert root.K.P.objgen == root.objgen
    for element in elements(sample):
        found = element.get("/K")
        assert not (isinstance(found, pikepdf.Array) and len(found) < 2)
        for kid in kids(element):
            if is_element(kid):
                assert kid.P.objgen == element.objgen


def test_nothing_of_the_first_tree_is_left(sample: pikepdf.Pdf) -> None:
    reached = {element.objgen for element in elements(sample)}
    left = {thing.objgen for thing in sample.objects if is_element(thing)}
    assert left == reached


def test_no_element_is_empty_but_table_cells(sample: pikepdf.Pdf) -> None:
    assert {str(element.S) for element in elements(sample) if "/K" not in element} == {"/TD"}


# Artifacts ----------------------------------------------------------------------------------------


def test_running_heads_and_page_numbers_are_artifacts(sample: pikepdf.Pdf) -> None:
    for sheet in sample.pages:
        assert artifacts(sheet).count("Pagination") >= 3  # two heads and the page number


def test_header_rows_painted_again_are_artifacts(sample: pikepdf.Pdf) -> None:
    # Three header cells on each of the pages where the table goes on, above the three of the page itself.
    assert sorted({artifacts(sheet).count("Pagination") for sheet in sample.pages}) == [3, 6]


def test_hidden_pictures_and_leaders_are_artifacts() -> None:
    with tagged('<p>x<svg aria-hidden="true" viewBox="0 0 9 9"><path d="M0 0h9v9z"/></svg></p>') as pdf:
        assert artifacts(pdf.pages[0]).count("Layout") == 1
        assert of_type(pdf, "Figure") == []
    with tagged('<h2 id="a">A</h2><nav><p><a href="#a">A</a></p></nav>') as pdf:
        assert artifacts(pdf.pages[0]).count("Layout") > 20  # the dots, one by one


def test_a_link_in_a_running_head_is_no_link() -> None:
    css = ".r { position: running(r) } @page { @bottom-left { content: element(r) } }"
    with tagged('<p class="r"><a href="https://example.org/">far</a></p><p>text</p>', css) as pdf:
        assert "/Annots" not in pdf.pages[0]
        assert not of_type(pdf, "Link")


# Shapes -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        ("<p>one <strong>two</strong> <em>three</em></p>", "P"),
        ("<div>bare words</div>", "P"),
        ("<section><h2>a</h2>bare words<p>b</p></section>", "Sect(H2 P P)"),
        ("<div><p>a</p><p>b</p></div>", "Div(P P)"),
        ("<main><article><h2>a</h2></article></main>", "Part(Art(H2))"),
        ('<aside role="note"><p>a</p></aside>', "Sect(P)"),
        ("<blockquote><p>a</p></blockquote>", "BlockQuote(P)"),
        ("<p>a <q>b</q> <code>c</code> <kbd>d</kbd></p>", "P(Quote Code Code)"),
        ("<pre><code>a\nb</code></pre>", "P(Code)"),
        ("<ul><li>a</li><li><p>b</p></li></ul>", "L(LI(Lbl LBody) LI(Lbl LBody(P)))"),
        ("<ol><li>a<ul><li>b</li></ul></li></ol>", "L(LI(Lbl LBody(L(LI(Lbl LBody)))))"),
        ("<ul><li></li></ul>", "L(LI(LBody))"),
        ("<dl><dt>a</dt><dd>b</dd><dt>c</dt><dd>d</dd></dl>", "L(LI(Lbl LBody(P)) LI(Lbl LBody(P)))"),
        ("<dl><div><dt>a</dt><dd>b</dd></div></dl>", "L(LI(Lbl LBody(P)))"),
        ("<dl><dt>a</dt><dd>b</dd><dd>c</dd></dl>", "L(LI(Lbl LBody(P P)))"),
        (
            '<figure><img src="job:///photo.jpg" alt="A flag"><figcaption>b</figcaption></figure>',
            "Div(Figure Caption)",
        ),
        ('<p>a <a href="https://example.org/">b</a></p>', "P(Link)"),
        ('<p>a <a id="here">b</a></p>', "P(Span)"),
        (
            '<h2 id="s">b</h2><nav role="doc-toc"><ol><li><a href="#s">b</a></li></ol></nav>',
            "H2 Sect(TOC(TOCI(Reference(Link))))",
        ),
        (
            "<table><thead><tr><th>a</th><th>b</th></tr></thead>"
            "<tbody><tr><th>c</th><td></td></tr></tbody></table>",
            "Table(THead(TR(TH TH)) TBody(TR(TH TD)))",
        ),
    ],
)
def test_shape_of_the_tree(body: str, expected: str) -> None:
    assert shape(body) == expected


@pytest.mark.parametrize("style", ["list-style: disc", "list-style: decimal inside"])
def test_markers_of_the_engine_are_labels_too(style: str) -> None:
    css = f"ul {{ {style} }} ul li::before {{ content: none }}"
    assert shape("<ul><li>a</li></ul>", css) == "L(LI(Lbl LBody))"


def test_headings_keep_their_order(sample: pikepdf.Pdf) -> None:
    found = [str(e.S)[1:] for e in elements(sample) if str(e.S) in ("/H1", "/H2", "/H3")]
    assert found == ["H1", "H2", "H2", "H3", "H3", "H3", "H2", "H2"]


# Tables -------------------------------------------------------------------------------------------


def test_a_table_over_several_pages_is_one_table(sample: pikepdf.Pdf) -> None:
    table = find(sample, "Table")
    assert [str(kid.S) for kid in kids(table)] == ["/Caption", "/THead", "/TBody"]
    rows = of_type(sample, "TR")
    assert len(rows) == 90
    assert {len(kids(row)) for row in rows} == {3}
    pages = {row.Pg.objgen for row in rows}
    assert len(pages) > 2


def test_header_cells_have_a_scope(sample: pikepdf.Pdf) -> None:
    cells = of_type(sample, "TH")
    assert Counter(str(cell.A.Scope) for cell in cells) == {"/Column": 3, "/Row": 89}
    assert {str(cell.A.O) for cell in cells} == {"/Table"}


def test_scope_without_the_attribute_follows_the_place() -> None:
    head, row = "<thead><tr><th>a</th><th>b</th></tr></thead>", "<tbody><tr><th>c</th><td>d</td></tr></tbody>"
    with tagged(f"<table>{head}{row}</table>") as pdf:
        assert [str(cell.A.Scope) for cell in of_type(pdf, "TH")] == ["/Column", "/Column", "/Row"]


def test_spans_of_cells_are_told() -> None:
    table = (
        '<table><thead><tr><th colspan="2">a</th></tr></thead>'
        '<tbody><tr><th rowspan="2">b</th><td>c</td></tr><tr><td>d</td></tr></tbody></table>'
    )
    with tagged(table) as pdf:
        wide, tall = of_type(pdf, "TH")
        assert (wide.A.ColSpan, tall.A.RowSpan) == (2, 2)
        assert "/A" not in of_type(pdf, "TD")[0]


def test_a_cell_over_two_pages_is_one_cell() -> None:
    head = "<thead><tr><th>a</th><th>b</th></tr></thead>"
    row = f"<tr><td>{'many words ' * 1500}</td><td>x</td></tr>"
    with tagged(f"<table>{head}<tbody>{row}</tbody></table>") as pdf:
        long, short = of_type(pdf, "TD")
        assert len({sheet for sheet, _ in marks_of(long)}) == len(pdf.pages) > 1
        assert len(list(marks_of(short))) == 1


# Pictures, links, languages -----------------------------------------------------------------------


def test_figures_have_words_and_a_place(sample: pikepdf.Pdf) -> None:
    figures = of_type(sample, "Figure")
    assert [str(figure.Alt) for figure in figures] == ["Level: high"] + ["A worn cable over a steel edge"] * 3
    for figure in figures:
        x1, y1, x2, y2 = (float(edge) for edge in figure.A.BBox)
        assert 0 < x1 < x2 < 595.3
        assert 0 < y1 < y2 < 841.9


def test_the_place_of_a_figure_is_in_points_from_the_bottom() -> None:
    css = "h1 { position: absolute } img { position: absolute; left: 10mm; top: 20mm; height: 30mm }"
    with tagged('<img src="job:///photo.jpg" alt="A flag">', "@page { margin: 0 }" + css) as pdf:
        place = [float(edge) for edge in find(pdf, "Figure").A.BBox]
    mm = 72 / 25.4
    assert place == pytest.approx([10 * mm, (297 - 50) * mm, 60 * mm, (297 - 20) * mm], abs=0.01)


@pytest.mark.parametrize(
    "body",
    [
        '<img src="job:///photo.jpg">',
        '<img src="job:///photo.jpg" alt=" ">',
        '<svg viewBox="0 0 9 9"><path d="M0 0h9v9z"/></svg>',
        '<svg viewBox="0 0 9 9"><title></title><path d="M0 0h9v9z"/></svg>',
    ],
)
def test_a_picture_without_words_is_refused(body: str) -> None:
    with pytest.raises(PdfError, match="no alternative text"):
        write_pdf(page(body), resources=resources(), created=CREATED)


def test_a_picture_in_generated_content_is_refused() -> None:
    with pytest.raises(PdfError, match=r"generated content.*p::before"):
        tagged("<p>x</p>", "p::before { content: url(job:///photo.jpg) }")


@pytest.mark.parametrize(
    "body",
    ['<p style="opacity: .5">faint</p>', '<img style="opacity: .5" src="job:///photo.jpg" alt="A flag">'],
)
def test_opacity_is_refused(body: str) -> None:
    with pytest.raises(PdfError, match="opacity"):
        tagged(body)


def test_a_link_over_two_lines_is_one_link_with_two_places(sample: pikepdf.Pdf) -> None:
    (far,) = [
        [k for k in kids(link) if not isinstance(k, int)]
        for link in of_type(sample, "Link")
        if any("/A" in k.Obj for k in kids(link) if not isinstance(k, int))
    ]
    assert len(far) == 2
    assert {str(k.Obj.Contents) for k in far} == {
        "a link that is long enough to be broken over two lines of the page, so that one link has two "
        "rectangles on the paper"
    }


def test_a_link_is_described_by_its_words_or_its_label() -> None:
    links = '<p><a href="#t">to <b>the</b> top</a> <a href="#t" aria-label="Back up">^</a></p>'
    with tagged('<p id="t">top</p>' + links) as pdf:
        assert [str(a.Contents) for a in pdf.pages[0].Annots] == ["to the top", "Back up"]
        assert all("/Dest" in a for a in pdf.pages[0].Annots)


def test_boxes_inside_a_link_add_no_second_annotation() -> None:
    with tagged('<p><a href="https://example.org/">a <b>b</b> <i>c</i></a></p>') as pdf:
        assert len(pdf.pages[0].Annots) == 1


def test_a_link_of_nothing_but_a_picture_says_what_the_picture_says() -> None:
    link = '<p><a href="https://example.org/"><img src="job:///photo.jpg" alt="A flag"></a></p>'
    with tagged(link) as pdf:
        assert find(pdf, "Link").Alt == "A flag"


def test_languages_and_abbreviations_are_told() -> None:
    with tagged('<p lang="pl">Tak</p><p>an <abbr title="residual-current device">RCD</abbr></p>') as pdf:
        assert of_type(pdf, "P")[0].Lang == "pl"
        assert find(pdf, "Span").E == "residual-current device"


def test_numbered_lists_say_so() -> None:
    with tagged("<ol><li>a</li></ol><ul><li>b</li></ul>") as pdf:
        assert [str(e.A.ListNumbering) for e in of_type(pdf, "L")] == ["/Decimal", "/None"]


# Size, metadata -----------------------------------------------------------------------------------


def test_the_tree_grows_with_the_cards_and_no_faster() -> None:
    counts = []
    for cards in (10, 20, 40):
        with pikepdf.open(io.BytesIO(sample_pdf(cards))) as pdf:
            counts.append(len(elements(pdf)))
    assert counts[2] - counts[1] == 2 * (counts[1] - counts[0])


def test_a_packet_without_exactly_one_block_is_refused() -> None:
    for packet in (b"<x/>", b"<rdf:RDF></rdf:RDF><rdf:RDF></rdf:RDF>"):
        with pytest.raises(ValueError, match="exactly one RDF block"):
            with_pdfua_claim(packet)
