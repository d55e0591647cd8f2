"""The PDF as a file: what may be fetched, the same bytes, fonts, text, metadata, attachments."""

import io
import logging
import os
import subprocess
import sys
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pikepdf
import pytest
from lxml import etree
from pdf_sample import ATTACHED, CREATED, page, photo, resources, sample_html, sample_pdf

from lugbook.render import pdf_engine
from lugbook.render.pdf import (
    Attached,
    PdfError,
    PdfUnavailable,
    Resource,
    collected_complaints,
    no_complaints,
    write_pdf,
)


@pytest.fixture(scope="module")
def sample(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("pdf") / "sample.pdf"
    with no_complaints():
        file.write_bytes(sample_pdf())
    return file


def small(body: str, **more: object) -> bytes:
    return write_pdf(page(body, **more), resources=resources(), created=CREATED)


def tool(*command: object) -> str:
    """What a tool of poppler prints (Debian package poppler-utils)."""
    done = subprocess.run([str(c) for c in command], capture_output=True, text=True, check=True)
    assert done.stderr == ""
    return done.stdout


# What may be fetched ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "url",
    [
        "file:///etc/hostname",
        "FILE:///etc/hostname",
        "http://127.0.0.1:9/x.png",
        "https://example.org/x.png",
        "data:image/gif;base64,R0lGODlhAQABAAAAACw=",
        "job:///unknown.jpg",
        "job:///../photo.jpg",
        "job://host/photo.jpg",
        "photo.jpg",
        "//example.org/x.png",
    ],
)
def test_every_url_but_the_given_ones_is_refused(url: str) -> None:
    with pytest.raises(PdfError, match="refused to fetch"):
        small(f'<img src="{url}" alt="A striped flag">')


@pytest.mark.parametrize(
    "body",
    [
        '<link rel="stylesheet" href="file:///etc/hostname">',
        '<style>@import "file:///etc/hostname";</style>',
        "<style>p { background: url(file:///etc/hostname) }</style><p>x</p>",
        '<style>@font-face { font-family: "X"; src: url(file:///etc/hostname) }</style><p>x</p>',
        '<object data="file:///etc/hostname"></object>',
        '<svg viewBox="0 0 9 9"><title>Nine</title><image href="file:///etc/hostname"/></svg>',
    ],
)
def test_no_way_of_naming_a_file_gets_round_the_refusal(body: str) -> None:
    with pytest.raises(PdfError, match="refused to fetch file:///etc/hostname"):
        small(body)


def test_a_linked_attachment_cannot_reach_the_disk_either() -> None:
    with pytest.raises(PdfError, match="refused to fetch file:///etc/hostname"):
        small('<link rel="attachment" href="file:///etc/hostname"><p>x</p>')


def test_the_name_of_a_resource_may_hold_spaces_and_accents() -> None:
    served = dict(resources()) | {"bilge é 2.jpg": Resource(photo(), "image/jpeg")}
    html = page('<img src="job:///bilge é 2.jpg" alt="A striped flag">')
    with no_complaints():
        data = write_pdf(html, resources=served, created=CREATED)
    with pikepdf.open(io.BytesIO(data)) as pdf:
        assert len(pdf.pages[0].get_images()) == 1


# The same bytes -----------------------------------------------------------------------------------


def test_two_processes_write_the_same_bytes(tmp_path: Path, sample: Path) -> None:
    script = Path(__file__).with_name("pdf_sample.py")
    settings = (
        {"PYTHONHASHSEED": "1", "TZ": "Pacific/Auckland", "LC_ALL": "C.UTF-8"},
        {"PYTHONHASHSEED": "2", "TZ": "America/Halifax", "LC_ALL": "C", "SOURCE_DATE_EPOCH": "1"},
    )
    for number, setting in enumerate(settings):
        folder = tmp_path / f"folder {number}"
        (folder / "tmp").mkdir(parents=True)
        env = os.environ | setting | {"TMPDIR": str(folder / "tmp")}
        subprocess.run([sys.executable, script, "out.pdf"], cwd=folder, env=env, check=True)
        assert (folder / "out.pdf").read_bytes() == sample.read_bytes()
        assert not list((folder / "tmp").iterdir()), "fonts were left behind"


def test_no_path_and_no_date_but_the_given_one_is_in_the_file(sample: Path) -> None:
    plain = io.BytesIO()
    with pikepdf.open(sample) as pdf:
        pdf.save(plain, object_stream_mode=pikepdf.ObjectStreamMode.disable, compress_streams=False)
    text = plain.getvalue()
    assert b"D:20260504093000Z" in text
    assert b"/tmp" not in text
    assert f"D:{datetime.now(CREATED.tzinfo):%Y%m%d}".encode() not in text


def test_the_date_is_part_of_the_bytes() -> None:
    html = page("<h1>x</h1>")
    one = write_pdf(html, resources=resources(), created=CREATED)
    assert one != write_pdf(html, resources=resources(), created=CREATED.replace(year=2027))


def test_a_date_without_time_zone_is_refused() -> None:
    with pytest.raises(ValueError, match="time zone"):
        write_pdf("", resources={}, created=CREATED.replace(tzinfo=None))


# Fonts --------------------------------------------------------------------------------------------


def test_only_bundled_fonts_are_embedded(sample: Path) -> None:
    rows = [line.split() for line in tool("pdffonts", sample).splitlines()[2:]]
    assert rows
    for name, *rest in rows:
        assert "+Lugbook-" in name
        assert rest[-5:-2] == ["yes", "yes", "yes"], "embedded, subset, with a map to Unicode"


@pytest.mark.parametrize(
    "body",
    [
        '<p style="font-family: serif">plain</p>',
        '<p style="font-family: DejaVu Sans, sans-serif">plain</p>',
        '<svg viewBox="0 0 99 20"><title>Volts</title><text font-family="DejaVu Sans">12 V</text></svg>',
        '<svg viewBox="0 0 99 20"><title>Volts</title><text>12 V</text></svg>',
    ],
)
def test_a_font_of_the_machine_is_never_picked(tmp_path: Path, body: str) -> None:
    file = tmp_path / "x.pdf"
    file.write_bytes(small("<h1>Sample</h1>" + body))
    rows = tool("pdffonts", file).splitlines()[2:]
    assert rows
    assert all("+Lugbook-" in row for row in rows)


def test_a_face_that_asks_for_a_font_of_the_machine_is_refused() -> None:
    face = '@font-face { font-family: "D"; src: local("DejaVu Sans") } p { font-family: "D" }'
    with pytest.raises(PdfError, match="Font-face 'D' cannot be loaded"):
        small(f"<style>{face}</style><p>x</p>")


@pytest.mark.parametrize(("name", "media_type"), [("x.jpg", "image/jpeg"), ("x.svg", "image/svg+xml")])
def test_a_picture_that_cannot_be_drawn_is_refused(name: str, media_type: str) -> None:
    served = dict(resources()) | {name: Resource(b"<svg", media_type)}
    html = page(f'<img src="job:///{name}" alt="A striped flag">')
    with pytest.raises(PdfError, match=f"Failed to load image at '?job:///{name}"):
        write_pdf(html, resources=served, created=CREATED)


def test_a_character_that_no_bundled_font_has_is_a_complaint() -> None:
    with collected_complaints() as complaints:
        small("<p>U+2713 is ✓</p>")
    assert any("U+2713" in complaint for complaint in complaints)


# Text, metadata, outline --------------------------------------------------------------------------


def test_poppler_reads_the_words(sample: Path) -> None:
    text = " ".join(tool("pdftotext", sample, "-").split())
    for words in (
        "Defect 3: a cable rubs on an edge",
        "Local regulations and licensed examiners take precedence.",
        "– Inner two",
        "page 2 of 7",
        "Node 89",
        "wkrótce",
    ):
        assert words in text


def test_poppler_sees_a_tagged_titled_file(sample: Path) -> None:
    info = dict(line.split(":", 1) for line in tool("pdfinfo", sample).splitlines())
    facts = {key: value.strip() for key, value in info.items()}
    assert facts["Title"] == "Sample report 7"
    assert facts["Tagged"] == "yes"
    assert facts["JavaScript"] == "no"
    assert facts["Suspects"] == "no"


def test_the_file_is_sound(sample: Path) -> None:
    with pikepdf.open(sample) as pdf:
        assert pdf.check_pdf_syntax() == []


def test_the_metadata_claims_both_standards_in_one_block(sample: Path) -> None:
    ns = {
        "rdf": "http://www.w3.org/1999/02/22-rdf-syntax-ns#",
        "a": "http://www.aiim.org/pdfa/ns/id/",
        "ua": "http://www.aiim.org/pdfua/ns/id/",
        "dc": "http://purl.org/dc/elements/1.1/",
        "xmp": "http://ns.adobe.com/xap/1.0/",
        "schema": "http://www.aiim.org/pdfa/ns/schema#",
    }
    with pikepdf.open(sample) as pdf:
        packet = etree.fromstring(pdf.Root.Metadata.read_bytes())
    assert len(packet.findall(".//rdf:RDF", ns)) == 1

    def value(prefix: str, name: str) -> list[str]:
        return packet.xpath(f"//{prefix}:{name}/text() | //@{prefix}:{name}", namespaces=ns)

    # The values that ISO 19005-3, 6.6.4 and ISO 14289-1, 5 ask for (recalled).
    assert value("a", "part") == ["3"]
    assert value("a", "conformance") == ["A"]
    assert value("ua", "part") == ["1"]
    assert value("schema", "namespaceURI") == [ns["ua"]], "the claim's own schema is described"
    assert packet.xpath("//dc:title//rdf:li/text()", namespaces=ns) == ["Sample report 7"]
    assert value("xmp", "CreateDate") == ["2026-05-04T09:30:00Z"]


def test_the_viewer_shows_the_title_and_knows_the_language(sample: Path) -> None:
    with pikepdf.open(sample) as pdf:
        assert pdf.Root.ViewerPreferences.DisplayDocTitle is True
        assert pdf.Root.Lang == "en"
        assert pdf.Root.MarkInfo.Marked is True
        assert pdf.Root.OutputIntents[0].S == "/GTS_PDFA1"
        assert "/ID" in pdf.trailer


def test_the_outline_follows_the_headings(sample: Path) -> None:
    with pikepdf.open(sample) as pdf, pdf.open_outline() as outline:
        (top,) = outline.root
        assert top.title == "Sample report 7"
        assert [item.title for item in top.children] == ["Contents", "Defects", "Test record", "Words"]
        assert len(top.children[1].children) == 3


@pytest.mark.parametrize(
    ("old", "new"), [("<title>Sample report 7</title>", "<title></title>"), (' lang="en"', "")]
)
def test_a_page_without_title_or_language_is_refused(old: str, new: str) -> None:
    html = page("<h1>x</h1>")
    assert old in html
    with pytest.raises(PdfError, match="no title or no lang"):
        write_pdf(html.replace(old, new), resources=resources(), created=CREATED)


# Attachments --------------------------------------------------------------------------------------


def test_attachments_come_out_byte_for_byte(tmp_path: Path, sample: Path) -> None:
    tool("pdfdetach", "-saveall", "-o", tmp_path, sample)
    assert {file.name: file.read_bytes() for file in tmp_path.iterdir()} == {a.name: a.data for a in ATTACHED}


def test_attachments_are_described_and_associated_once(sample: Path) -> None:
    with pikepdf.open(sample) as pdf:
        names = [str(name) for name in list(pdf.Root.Names.EmbeddedFiles.Names)[::2]]
        assert names == ["findings.json", "manifest.json"], "a name tree is sorted"
        assert len(pdf.Root.AF) == 2
        assert {str(spec.UF) for spec in pdf.Root.AF} == set(names)
        for spec in pdf.Root.AF:
            assert str(spec.Desc).startswith("The ")
            assert spec.AFRelationship == "/Data"
            assert spec.EF.F.Subtype == "/application/json"
            assert spec.EF.F.Params.ModDate == "D:20260504093000Z"


def test_the_order_of_the_attachments_does_not_matter() -> None:
    html = page("<h1>x</h1>")
    one, two = (
        write_pdf(html, resources=resources(), attachments=files, created=CREATED)
        for files in (ATTACHED, ATTACHED[::-1])
    )
    assert one == two


def test_two_attachments_of_one_name_are_refused() -> None:
    twice = (ATTACHED[0], replace(ATTACHED[0], data=b"other"))
    with pytest.raises(ValueError, match="same name"):
        write_pdf("", resources={}, attachments=twice, created=CREATED)


def test_an_attachment_keeps_its_media_type() -> None:
    odd = Attached("trail.jsonl", "The trail", b"{}\n", "application/x-ndjson")
    data = write_pdf(page("<h1>x</h1>"), resources=resources(), attachments=[odd], created=CREATED)
    with pikepdf.open(io.BytesIO(data)) as pdf:
        assert pdf.Root.AF[0].EF.F.Subtype == "/application/x-ndjson"


# Complaints, and a machine without Pango ----------------------------------------------------------


def test_a_complaint_of_the_engine_becomes_an_error() -> None:
    with pytest.raises(PdfError, match="No anchor #nowhere"), no_complaints():
        small('<h1>x</h1><p><a href="#nowhere">there</a></p>')


def test_complaints_are_collected_only_inside_the_block() -> None:
    with collected_complaints() as complaints:
        logging.getLogger("weasyprint").info("below the level")
        logging.getLogger("weasyprint").warning("inside %d", 1)
    logging.getLogger("weasyprint").warning("outside")
    assert complaints == ["inside 1"]


def test_without_pango_one_sentence_says_what_to_install(tmp_path: Path) -> None:
    (tmp_path / "weasyprint.py").write_text("raise OSError('cannot load library libpango-1.0-0')")
    code = (
        "from datetime import UTC, datetime\n"
        "from lugbook.render.pdf import PdfUnavailable, write_pdf\n"
        "try: write_pdf('', resources={}, created=datetime(2026, 5, 4, tzinfo=UTC))\n"
        "except PdfUnavailable as error: print(error)\n"
    )
    env = os.environ | {"PYTHONPATH": str(tmp_path)}
    done = subprocess.run([sys.executable, "-c", code], env=env, capture_output=True, text=True, check=True)
    assert "apt-get install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0" in done.stdout
    assert done.stdout.count("\n") == 1
    assert done.stderr == ""


def test_without_the_subsetter_nothing_is_written(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pdf_engine, "harfbuzz_subset", None)
    with pytest.raises(PdfUnavailable, match="libharfbuzz-subset0"):
        small("<p>x</p>")


def test_the_module_itself_does_not_load_the_engine() -> None:
    code = "import sys, lugbook.render.pdf; print('weasyprint' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "False\n"


def test_the_sample_has_no_complaint() -> None:
    with no_complaints():
        write_pdf(sample_html(1), resources=resources(), created=CREATED)
