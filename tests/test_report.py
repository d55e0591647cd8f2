"""The report as a whole: what it must hold, what it must not, and that it is the same every time."""

from __future__ import annotations

import hashlib
import os
import re
import shutil
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path

import pytest
from big_job import make
from small_jobs import DEMO, DemoReport

from lugbook.cli import main


def pdf_text(path: Path) -> str:
    """poppler's reading of the PDF, spaces folded."""
    shown = subprocess.run(
        ["pdftotext", "-layout", str(path), "-"], capture_output=True, text=True, check=True
    ).stdout
    return " ".join(shown.split())


def folded(text: str) -> str:
    return " ".join(text.split())


def test_poppler_reads_every_defect(demo: DemoReport) -> None:
    raw = subprocess.run(
        ["pdftotext", str(demo.folder / "report.pdf"), "-"], capture_output=True, text=True, check=True
    )
    text = "".join(raw.stdout.split())
    assert len(demo.view.defects) >= 14
    for defect in demo.view.defects:
        for wanted in (
            f"{defect.number}. {defect.title}",
            defect.place,
            defect.level.words,
            f"Reference {defect.id}",
        ):
            assert "".join(wanted.split()) in text


def test_precedence_and_cautions_are_always_there(demo: DemoReport) -> None:
    html = (demo.folder / "report.html").read_text(encoding="utf-8")
    text = pdf_text(demo.folder / "report.pdf")
    for wanted in (demo.view.precedence, *(caution.line for caution in demo.view.cautions)):
        assert folded(wanted) in folded(html)
    assert "Local regulations and licensed examiners take precedence" in text
    assert len(demo.view.cautions) >= 4


def test_bookmarks_and_page_numbers(demo: DemoReport) -> None:
    import pikepdf

    with pikepdf.open(demo.folder / "report.pdf") as pdf, pdf.open_outline() as outline:
        titles = [entry.title for entry in outline.root]
        below = {entry.title: [child.title for child in entry.children] for entry in outline.root}
        pages = len(pdf.pages)
    assert {
        "What needs attention",
        "What was measured",
        "What was looked at",
        "How to check this report",
    } <= set(titles)
    assert len(below["What needs attention"]) == len(demo.view.defects)
    text = pdf_text(demo.folder / "report.pdf")
    assert [int(n) for n in re.findall(rf"Page (\d+) of {pages}\b", text)] == list(range(1, pages + 1))


class Outside(HTMLParser):
    """Collects everything by which a page could reach out."""

    def __init__(self) -> None:
        super().__init__()
        self.addresses: list[tuple[str, str]] = []
        self.tags: set[str] = set()
        self.policy = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        values = dict(attrs)
        if values.get("http-equiv") == "Content-Security-Policy":
            self.policy = values.get("content") or ""
        for name, value in attrs:
            if name in ("src", "href", "data", "action", "srcset", "poster"):
                self.addresses.append((tag, value or ""))
            assert not name.startswith("on"), f"an event handler on {tag}"
            assert name != "style", "an inline style would need a weaker policy"


def test_html_needs_nothing_from_outside(demo: DemoReport) -> None:
    html = (demo.folder / "report.html").read_text(encoding="utf-8")
    page = Outside()
    page.feed(html)
    for tag, address in page.addresses:
        assert address.startswith(("#", "data:")) or tag == "a"
    assert not page.tags & {"script", "iframe", "object", "embed", "link", "form"}
    assert page.policy.startswith("default-src 'none'")
    assert "unsafe" not in page.policy
    style = re.search(r"<style>(.*?)</style>", html, re.DOTALL)
    assert style is not None
    import base64

    digest = base64.b64encode(hashlib.sha256(style[1].encode()).digest()).decode()
    assert f"style-src 'sha256-{digest}'" in page.policy
    assert not re.search(r"url\((?!\"?data:)", style[1])


def test_only_bundled_fonts(demo: DemoReport) -> None:
    listed = subprocess.run(
        ["pdffonts", str(demo.folder / "report.pdf")], capture_output=True, text=True, check=True
    ).stdout
    fonts = [line.split()[0] for line in listed.splitlines()[2:]]
    assert fonts
    for name in fonts:
        assert re.fullmatch(r"[A-Z]{6}\+Lugbook-(Text|Label).*", name), name


def test_metadata_of_pictures_stays_at_home(demo: DemoReport) -> None:
    originals = b"".join(path.read_bytes() for path in sorted((DEMO / "photos").glob("*.jpg")))
    assert b"Example Camera" in originals, "the demo's originals carry metadata on purpose"
    html = (demo.folder / "report.html").read_text(encoding="utf-8")
    import base64

    for encoded in re.findall(r"data:image/[a-z]+;base64,([A-Za-z0-9+/=]+)", html):
        data = base64.b64decode(encoded)
        assert b"Exif" not in data
        assert b"Example Camera" not in data
    assert b"Example Camera" not in (demo.folder / "report.pdf").read_bytes()


def test_originals_are_untouched(demo: DemoReport) -> None:
    for name, digest in demo.view.files:
        if name.startswith("photos/"):
            assert hashlib.sha256((DEMO / name).read_bytes()).hexdigest() == digest


def reported_elsewhere(
    job: Path, root: Path, place: str, paper: str, seed: str, zone: str, locale: str
) -> dict[str, str]:
    """The sums of a report that a process makes of a copy of the job, in another folder and another environment."""
    copy = root / place / job.name
    shutil.copytree(job, copy)
    shutil.copy(DEMO.parent / "business.yaml", copy.parent)
    shutil.copy(DEMO.parent / "logo.png", copy.parent)
    environment = {
        **os.environ,
        "PYTHONHASHSEED": seed,
        "LUGBOOK_CACHE": "off",
        "TZ": zone,
        "LC_ALL": locale,
    }
    command = [sys.executable, "-m", "lugbook", "report", "-q", str(copy), "-o", "out", "--paper", paper]
    subprocess.run(command, env=environment, cwd=root / place, check=True, capture_output=True)
    return sums_of(root / place / "out" / job.name)


def sums_of(folder: Path) -> dict[str, str]:
    return {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in folder.iterdir()}


def test_the_same_bytes_everywhere(demo: DemoReport, tmp_path: Path) -> None:
    """The demo in this process and in another: two folders, hash seeds, time zones and locales, with a cache and without."""
    assert os.environ.get("PYTHONHASHSEED", "random") != "4242"
    sums = reported_elsewhere(DEMO, tmp_path, "two/deeper", "a4", "4242", "Pacific/Auckland", "C.UTF-8")
    names = ["defects.csv", "parts.csv", "parts.html", "report.html", "report.json", "report.pdf"]
    assert sorted(sums) == names
    assert sums_of(demo.folder) == sums


@pytest.fixture
def small(tmp_path: Path) -> Path:
    """A job of a few defects with pictures, in letters of several languages."""
    folder = tmp_path / "small"
    make(folder, defects=3, pictures=3, size=(300, 200), tongues=["el", "pl"], long=True)
    return folder


def test_the_same_bytes_on_letter_paper(small: Path, tmp_path: Path) -> None:
    """A small job, by this process and by one that has nothing in common with it."""
    sums = reported_elsewhere(small, tmp_path, "two/deeper", "letter", "4242", "Pacific/Auckland", "C.UTF-8")
    assert "report.pdf" in sums
    shutil.copy(DEMO.parent / "business.yaml", tmp_path)
    shutil.copy(DEMO.parent / "logo.png", tmp_path)
    words = ["report", "-q", str(small), "-o", str(tmp_path / "out"), "--paper", "letter", "--no-cache"]
    assert main(words) == 0
    assert sums_of(tmp_path / "out" / small.name) == sums


def test_html_only_needs_no_pango(small: Path, tmp_path: Path) -> None:
    """With Pango out of reach, HTML still comes, and the PDF is refused in one sentence that names what to install."""
    blocker = tmp_path / "site" / "weasyprint"
    blocker.mkdir(parents=True)
    (blocker / "__init__.py").write_text("raise OSError('cannot load library libpango-1.0-0')")
    environment = {**os.environ, "PYTHONPATH": str(tmp_path / "site")}
    command = [sys.executable, "-m", "lugbook", "report", str(small), "-o", str(tmp_path / "out")]
    html = subprocess.run(
        [*command, "--html-only"], env=environment, capture_output=True, text=True, check=False
    )
    assert html.returncode == 0, html.stderr
    assert (tmp_path / "out" / small.name / "report.html").is_file()
    pdf = subprocess.run(
        [*command[:-1], str(tmp_path / "out2")], env=environment, capture_output=True, text=True, check=False
    )
    assert pdf.returncode == 1
    assert "apt-get install libpango-1.0-0" in pdf.stderr
    assert "--html-only" in pdf.stderr
    assert "Traceback" not in pdf.stderr
    assert not (tmp_path / "out2").exists()


def test_a_picture_that_vanishes_is_told_and_nothing_is_written(small: Path, tmp_path: Path) -> None:
    from lugbook.errors import OutputError
    from lugbook.pipeline.checking import check_job
    from lugbook.pipeline.reporting import make_report
    from lugbook.progress import Progress

    progress = Progress(quiet=True)
    checked = check_job(small, progress)
    (small / "photos" / "picture-2.jpg").unlink()
    with pytest.raises(OutputError, match=r"picture-2\.jpg.*while the report was made"):
        make_report(checked, tmp_path / "out", progress, pdf=False, paper="a4")
    assert not (tmp_path / "out").exists()
