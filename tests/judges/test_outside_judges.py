"""The demo report before the outside judges."""

import subprocess
import sys
from pathlib import Path

import outside
import pytest
from outside import Accepted, Finding

pytestmark = pytest.mark.judge

PHONE = next(view for view in outside.VIEWS if view.width == 390)
JUDGES = ["nu", "axe", "network", "console", "browser", "pdfua", "outloud"]


@pytest.fixture(scope="module")
def report(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder that holds the demo's report.html, report.pdf and report.json, made by the command line."""
    out = tmp_path_factory.mktemp("out")
    job = outside.ROOT / "photos_demo" / "wandering-plover"
    lugbook = Path(sys.executable).with_name("lugbook")
    subprocess.run([lugbook, "report", job, "-o", out], check=True, timeout=300)
    return out / job.name


@pytest.fixture(scope="module")
def findings(report: Path) -> list[Finding]:
    """All that all judges say of the demo. Pictures of the views are left in .judges/pictures to look at."""
    html, pdf = report / "report.html", report / "report.pdf"
    found = outside.nu(html) + outside.pdfua(pdf) + outside.outloud(pdf)
    with outside.chromium() as browser:
        for view in outside.VIEWS:
            picture = outside.JUDGES / "pictures" / f"{view.name}.png"
            found += outside.page_findings(browser, html, view, picture)
    return found


@pytest.fixture(scope="module")
def accepted() -> list[Accepted]:
    """The findings that stay, each with its reason."""
    return outside.accepted()


@pytest.mark.parametrize("judge", JUDGES)
def test_judge_has_nothing_open(judge: str, findings: list[Finding], accepted: list[Accepted]) -> None:
    left = outside.nothing_open([f for f in findings if f.judge == judge], accepted)
    assert not left, "\n".join(left)


def test_every_judge_is_listed(findings: list[Finding], accepted: list[Accepted]) -> None:
    assert {f.judge for f in findings} | {a.judge for a in accepted} <= set(JUDGES)


def test_no_accepted_entry_is_stale(findings: list[Finding], accepted: list[Accepted]) -> None:
    left = outside.stale(findings, accepted)
    assert not left, "\n".join(left)


@pytest.fixture(scope="module")
def german(tmp_path_factory: pytest.TempPathFactory) -> list[Finding]:
    """What the judges say of the demo in German: its longer words, on a phone, and its tags."""
    out = tmp_path_factory.mktemp("german")
    job = outside.ROOT / "photos_demo" / "wandering-plover"
    lugbook = Path(sys.executable).with_name("lugbook")
    subprocess.run([lugbook, "report", job, "--language", "de", "-o", out], check=True, timeout=300)
    html = out / job.name / "report.html"
    assert '<html lang="de">' in html.read_text(encoding="utf-8")
    found = outside.nu(html) + outside.pdfua(html.with_suffix(".pdf"))
    with outside.chromium() as browser:
        picture = outside.JUDGES / "pictures" / "phone-german.png"
        return found + outside.page_findings(browser, html, PHONE, picture)


def test_the_german_demo_has_nothing_open(german: list[Finding], accepted: list[Accepted]) -> None:
    left = outside.nothing_open(german, accepted)
    assert not left, "\n".join(left)


# Each judge must object to these bad files: it shows that the judge is awake and that we read it rightly.
BAD_PAGE = """<!doctype html><html><head><title>Bad</title></head><body style="margin:0">
<img src="http://127.0.0.1:9/none.png"><p style="color:#777;background:#fff">grey</p>
<div style="width:3000px">wide</div>
<script>console.error("loud")</script></body></html>"""


@pytest.fixture(scope="module")
def bad_page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("bad") / "bad.html"
    path.write_text(BAD_PAGE, encoding="utf-8")
    return path


def test_nu_objects_to_a_bad_page(bad_page: Path) -> None:
    found = outside.nu(bad_page)
    assert any(f.rule == "error" and "alt" in f.message for f in found), found
    assert any(f.rule == "warning" and "lang" in f.message for f in found), found


def test_browser_objects_to_a_bad_page(bad_page: Path) -> None:
    with outside.chromium() as browser:
        found = outside.page_findings(browser, bad_page, outside.VIEWS[0])
    rules = {(f.judge, f.rule) for f in found}
    assert {
        ("axe", "color-contrast"),
        ("axe", "image-alt"),
        ("axe", "html-has-lang"),
        ("network", "request"),
        ("console", "error"),
        ("browser", "sideways"),
    } <= rules, found


def test_pdf_judges_object_to_an_untagged_file(tmp_path: Path) -> None:
    from weasyprint import HTML

    path = tmp_path / "bad.pdf"
    HTML(string="<p style='font-family: sans-serif'>no structure").write_pdf(path)
    assert any(f.rule == "UA-01-005" and f.message.startswith("error") for f in outside.pdfua(path))
    assert any(f.rule == "DOC-002" and f.message.startswith("error") for f in outside.outloud(path))


def test_an_entry_without_a_reason_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "accepted.yaml"
    path.write_text("- {judge: nu, rule: error, contains: x, reason: ' '}\n", encoding="utf-8")
    with pytest.raises(ValueError, match="nu error has no reason"):
        outside.accepted(path)


def test_an_accepted_entry_covers_its_finding_only() -> None:
    entry = Accepted("nu", "warning", "Section lacks", "because")
    found = Finding("nu", "warning", "Section lacks heading.")
    other = Finding("nu", "error", "Section lacks heading.")
    assert outside.nothing_open([found, other], [entry]) == ["nu error: Section lacks heading."]
    assert outside.stale([found], [entry]) == []
    assert outside.stale([other], [entry]) == ["nu warning: Section lacks"]
