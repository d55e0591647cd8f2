"""Hostile text and files on their whole way: nothing is fetched, nothing poses as the report, nothing hangs.

No outside source unless one is named: the claims are the project's own.
"""

from __future__ import annotations

import csv
import gzip
import io
import os
import re
import signal
import socket
import tempfile
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pikepdf
import pytest
from audit import Seen, watched
from hostile import HEADINGS, OWN_LIST, PICTURE, Elements, hostile_job
from PIL import Image
from small_jobs import HEAD, checklist, item

from lugbook.cache import usual_cache
from lugbook.cli import main
from lugbook.commands.many import several
from lugbook.errors import UsageError
from lugbook.photos import PictureFault, capture_time, examine, prepare
from lugbook.pipeline.checking import check_job
from lugbook.pipeline.contact import contact_sheet
from lugbook.pipeline.reporting import make_report
from lugbook.progress import Progress
from lugbook.render.page import markdown

QUIET = Progress(quiet=True)
SECRET = "ZQSECRET-of-another-file"
# Names that mean something to a style sheet, a page, an address, a template or a table.
NAMES = (
    "url(strap.png", "a' onerror='x.png", "<img src=x>.png", "%2e%2e%2fsecret.png", "{{7*7}}.png", "=1+1.png", "#.png",
    "strap.png?x=1.png", "@import.png", "a;b,c.png", "$(id).png", "--help.png",
)  # fmt: skip


@contextmanager
def at_most(seconds: float) -> Iterator[None]:
    """A hang becomes a failure."""

    def late(*_: object) -> None:
        raise AssertionError(f"still running after {seconds} s")

    before = signal.signal(signal.SIGALRM, late)
    signal.setitimer(signal.ITIMER_REAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)


@dataclass(frozen=True)
class Rendered:
    """What came of a hostile job: its files, what the interpreter saw, and how often the socket was called."""

    out: Path
    seen: Seen
    calls: int
    heard: int
    secret: Path


def lines_of(port: int, secret: Path) -> tuple[str, str]:
    """A line and a text that refer to a listening socket and to a file, in every way that a page knows."""
    web, file = f"http://127.0.0.1:{port}", secret.as_uri()
    line = f"=X({web}) <img src={web}> url({web})"  # a headline has at most 90 characters
    text = f"""=cmd|' /C x'!A0
# ZQH

![a]({web}/a) ![b]({file}) ![c][r] <{web}/b>
[r]: {web}/r
<img src="{file}"><object data="{file}"></object><iframe src="{web}/f"></iframe><link rel=attachment href="{file}">
<style>@import url({web}/g); p {{ background: url({file}) }}</style><svg><image href="{web}/i"/></svg> {{{{ 7777*7777 }}}}
"""
    return line, text


def calls_of(listener: socket.socket) -> int:
    """How many connections wait."""
    count = 0
    while True:
        try:
            listener.accept()[0].close()
        except BlockingIOError:
            return count
        count += 1


@pytest.fixture(scope="module")
def rendered(tmp_path_factory: pytest.TempPathFactory) -> Rendered:
    """A job with hostile text in every field and hostile names of pictures, as HTML, PDF, JSON, CSV, contact sheet."""
    root = tmp_path_factory.mktemp("hostile")
    job, secret = root / "visits" / "job", root / "secret.png"
    secret.write_bytes(PICTURE + SECRET.encode())
    (job / "photos").mkdir(parents=True)
    for name in ("strap.png", *NAMES):
        (job / "photos" / name).write_bytes(PICTURE)
    with socket.create_server(("127.0.0.1", 0)) as listener:
        listener.setblocking(False)
        port = listener.getsockname()[1]
        hostile_job(job, *lines_of(port, secret))
        with watched() as seen:
            checked = check_job(job, QUIET)
            make_report(checked, root / "out", QUIET, pdf=True, paper="a4")
            contact_sheet(checked, root / "out", QUIET)
            assert main(["owner-note", str(job), "-o", str(root / "out" / "note.txt")]) == 0
        calls = calls_of(listener)
        socket.create_connection(("127.0.0.1", port)).close()
        return Rendered(root / "out", seen, calls, calls_of(listener), secret)


def passing(seen: Seen) -> set[Path]:
    """Where libraries put files for passing use: the folder for those, what they make in it, and /dev."""
    place = Path(tempfile.gettempdir())
    return {place.parent, place, Path(os.devnull).parent, *place.glob("weasyprint-*")} | {
        Path(path) for path in seen.changed if Path(path).parent == place
    }


def test_nothing_is_fetched(rendered: Rendered) -> None:
    assert rendered.calls == 0
    assert rendered.heard == 1, "the socket hears when it is called"
    assert rendered.seen.asked == []
    assert str(rendered.secret) not in rendered.seen.read
    cache = usual_cache().folder
    strays = rendered.seen.changed_outside(rendered.out, *([cache] if cache else []))
    assert {Path(path).parent for path in strays} <= passing(rendered.seen)
    assert any(path.endswith("strap.png") for path in rendered.seen.read), "the watch sees what is read"


def test_no_byte_of_another_file_comes_out(rendered: Rendered) -> None:
    for path in rendered.out.iterdir():
        assert SECRET.encode() not in path.read_bytes(), path.name
    with pikepdf.open(rendered.out / "report.pdf") as pdf:
        streams = [thing for thing in pdf.objects if isinstance(thing, pikepdf.Stream)]
        readable = [s for s in streams if str(s.get("/Filter", "")) in ("", "/FlateDecode")]
        assert len(readable) > 5
        assert not [s for s in readable if SECRET.encode() in s.read_bytes()]


def test_the_pdf_calls_nothing_and_no_text_becomes_a_heading(rendered: Rendered) -> None:
    with pikepdf.open(rendered.out / "report.pdf") as pdf:
        assert not {"/JavaScript", "/EmbeddedFiles"} & set(
            pdf.Root.get("/Names", pikepdf.Dictionary()).keys()
        )
        assert "/OpenAction" not in pdf.Root
        actions = [
            thing["/A"] for thing in pdf.objects if isinstance(thing, pikepdf.Dictionary) and "/A" in thing
        ]
        for action in actions:
            if isinstance(action, pikepdf.Dictionary) and "/S" in action:
                assert str(action["/S"]) in ("/URI", "/GoTo")
                if str(action["/S"]) == "/URI":
                    assert re.match(r"https?://|mailto:", str(action["/URI"]))
        with pdf.open_outline() as outline:
            titles = [entry.title for top in outline.root for entry in (top, *top.children)]
    assert titles
    assert not [title for title in titles if "ZQH" in title]


def test_the_pages_load_nothing(rendered: Rendered) -> None:
    for name in ("report.html", "contact-sheet.html"):
        page, reader = (rendered.out / name).read_text(encoding="utf-8"), Elements()
        reader.feed(page)
        for tag, attributes in reader.found:
            assert tag not in {"script", "iframe", "object", "embed", "link", "base", "image", "form"}, name
            assert (attributes.get("src") or "data:image/").startswith("data:image/"), name
            assert not {"srcset", "poster", "background", "data", "action", "onerror"} & set(attributes), name
            assert "url(" not in (attributes.get("style") or ""), name
        styles = re.findall(r"(?s)<style[^>]*>(.*?)</style>", page)
        assert styles
        assert not re.findall(r"url\((?!['\"]?data:)|@import", "".join(styles)), name
        assert "ZQH" not in reader.headings
        assert "60481729" not in page
    assert set(HEADINGS) >= {"h1", "h2"}


def test_no_cell_of_the_defects_is_a_formula(rendered: Rendered) -> None:
    """Source: OWASP, 'CSV Injection' (recalled): a cell must not begin with = + - @, a tab or a carriage return."""
    text = (rendered.out / "defects.csv").read_bytes().decode("utf-8-sig")
    rows = list(csv.DictReader(io.StringIO(text, newline=""), strict=True))
    assert len(rows) == 3
    cells = [cell for row in rows for cell in row.values()]
    assert not [cell for cell in cells if cell.lstrip(" \n").startswith(("=", "+", "-", "@", "\t", "\r"))]
    assert sum(cell.startswith("'=") for cell in cells) >= 4


def test_no_line_of_the_note_is_forged(rendered: Rendered) -> None:
    """Text is folded into its paragraph, so that no line of it stands alone as one of the note's own."""
    note = (rendered.out / "note.txt").read_text(encoding="utf-8").splitlines()
    assert not [line for line in note if line.strip() in ("ZQH", "===") or line.startswith(("#", "=cmd"))]


# --- pictures that are something else, or two things at once ---------------------------------------------------------

SVG = "<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>"
DISGUISED = {
    "plain": SVG.encode(),
    "behind a mark": b"\xef\xbb\xbf" + SVG.encode(),
    "UTF-16": SVG.encode("utf-16"),
    "behind blanks": b"\n \t" + SVG.encode(),
    "behind a comment": b"<!-- \xff\xd8\xff -->" + SVG.encode(),
    "with a document type": b"<!DOCTYPE svg [<!ENTITY x SYSTEM 'file:///etc/passwd'>]>" + SVG.encode(),
    "packed": gzip.compress(SVG.encode(), mtime=0),
}


@pytest.mark.parametrize("name", DISGUISED)
def test_svg_in_disguise_is_no_picture(name: str, tmp_path: Path) -> None:
    path = tmp_path / "picture.png"
    path.write_bytes(DISGUISED[name])
    with pytest.raises(PictureFault) as caught:
        examine(path)
    assert caught.value.code == "P304"


def archive() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as made:
        made.writestr("evil.txt", "ZQEVIL")
    return out.getvalue()


SECOND = {
    "archive": archive(),
    "page": b"<html><script>ZQEVIL</script>",
    "document": b"%PDF-1.7\n1 0 obj<</S/JavaScript/JS(ZQEVIL)>>endobj\n%%EOF",
    "script": b"*/=1;alert('ZQEVIL');//",
    "another picture": PICTURE,
}


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_of_two_files_in_one_only_the_picture_comes_out(kind: str, tmp_path: Path) -> None:
    out = io.BytesIO()
    Image.linear_gradient("L").resize((64, 40)).save(out, kind)
    path = tmp_path / "picture.jpg"
    for name, second in SECOND.items():
        path.write_bytes(out.getvalue() + second)
        made = prepare(path, long_edge=100)
        assert (made.width, made.height) == (64, 40), name
        assert second not in made.data
        assert b"ZQEVIL" not in made.data
        assert capture_time(path) is None


# --- files that never end ---------------------------------------------------------------------------------------------

PIPED = HEAD.replace("own.yaml", "own-list.yaml") + (
    "results:\n  - item: battery-held\n    result: no departure seen\n    extent: whole\n"
    "    photos: [{file: pipe.png, caption: Strap, alt: A strap}]\n"
)


def test_pipes_and_devices_for_pictures_are_told_and_not_waited_for(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job = tmp_path / "job"
    (job / "photos").mkdir(parents=True)
    (job / "own-list.yaml").write_text(OWN_LIST, encoding="utf-8")
    (job / "findings.yaml").write_text(PIPED, encoding="utf-8")
    os.mkfifo(job / "photos" / "pipe.png")
    os.mkfifo(job / "photos" / "unused.png")
    (job / "photos" / "zero.png").symlink_to("/dev/zero")
    with at_most(20):
        assert main(["report", str(job), "-o", str(tmp_path / "out"), "--html-only"]) == 1
        assert "[P303]" in capsys.readouterr().err
        assert main(["pictures", str(job), "-o", str(tmp_path / "out")]) == 1
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("kind", ["pipe", "device", "folder"])
def test_an_export_that_is_no_file_is_refused_at_once(
    kind: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    place = tmp_path / "x.zip"
    if kind == "pipe":
        os.mkfifo(place)
    elif kind == "device":
        place.symlink_to("/dev/zero")
    else:
        place.mkdir()
    with at_most(20):
        assert main(["unpack", str(place), str(tmp_path / "job")]) == 1
    assert re.search(r"\[P(001|701)\]", capsys.readouterr().err)
    assert [path.name for path in tmp_path.iterdir()] == ["x.zip"]


# --- names and numbers ------------------------------------------------------------------------------------------------


def test_two_jobs_whose_folders_would_be_one_are_refused(tmp_path: Path) -> None:
    """Source: Unicode Standard Annex 15: the two spellings are canonically equivalent."""
    one, other = tmp_path / "a" / "Mo\u0308we", tmp_path / "b" / "m\u00f6we"
    with pytest.raises(UsageError, match="both write into"):
        several([one, other], tmp_path / "out", pdf=False, paper="a4")


COUNTS = {
    "a number of many digits": HEAD.replace("99", "9" * 5000),
    "a large number": HEAD.replace("99", "9" * 15),
    "a share of very many": HEAD + "results: [{item: strap, result: no departure seen, extent: sample 999999999 of 9999999999}]\n",
    "a year": HEAD.replace("craft: {name: Trial}", "craft: {built: 99999999999}"),
    "a length": HEAD.replace("craft: {name: Trial}", "craft: {length: 9e99 m}"),
    "very small": HEAD.replace("craft: {name: Trial}", f"craft: {{length: 0.{'0' * 900}1 m}}"),
}  # fmt: skip


@pytest.mark.parametrize("name", COUNTS)
def test_enormous_numbers_are_read_or_refused_and_never_crash(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "own.yaml").write_text(checklist(item("strap")), encoding="utf-8")
    (tmp_path / "findings.yaml").write_text(COUNTS[name], encoding="utf-8")
    with at_most(5):
        code = main(["check", str(tmp_path)])
    said = capsys.readouterr()
    assert code in (0, 1), said
    assert (code == 1) == (": error: " in said.err + said.out), said


def test_very_many_pictures_that_nothing_uses(tmp_path: Path) -> None:
    (tmp_path / "own.yaml").write_text(checklist(item("strap")), encoding="utf-8")
    (tmp_path / "findings.yaml").write_text(HEAD, encoding="utf-8")
    (tmp_path / "photos").mkdir()
    for number in range(1000):
        (tmp_path / "photos" / f"{number}.jpg").symlink_to("/dev/zero")
    with at_most(5):
        checked = check_job(tmp_path, QUIET)
    assert checked.job is not None
    assert len(checked.problems) < 1100


# --- the page about all this -----------------------------------------------------------------------------------------


def test_the_page_names_tests_that_exist() -> None:
    tests = Path(__file__).parent
    named = re.findall(
        r"`(\S+\.py)::(test_\w+)`", (tests.parent / "docs" / "hostile-input.md").read_text("utf-8")
    )
    assert len(named) > 40
    for file, test in named:
        assert f"\ndef {test}(" in (tests / file).read_text(encoding="utf-8"), (file, test)


@pytest.mark.parametrize(
    ("written", "shown"),
    [
        ("![](http://a.example/y)", "(http://a.example/y)"),
        ("![a cable](http://a.example/y)", "(a cable http://a.example/y)"),
        ("[](https://a.example/z)", '<a href="https://a.example/z">https://a.example/z</a>'),
        ("[ ](https://a.example/z)", '<a href="https://a.example/z"> https://a.example/z</a>'),
        ("[\u200b](https://a.example/z)", '<a href="https://a.example/z">\u200bhttps://a.example/z</a>'),
        ("[notes](https://a.example/z)", '<a href="https://a.example/z">notes</a>'),
        ("[notes](javascript:x)", "[notes](javascript:x)"),
    ],
)
def test_no_link_is_invisible_and_no_picture_is_fetched(written: str, shown: str) -> None:
    """A link without a text would be one that no reader sees and a screen reader cannot name."""
    assert markdown().render(written) == f"<p>{shown}</p>\n"
