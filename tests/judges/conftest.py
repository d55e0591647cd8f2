"""The demo report, rendered once for all judges, and the list of accepted findings."""

import subprocess
import sys
from pathlib import Path

import outside
import pytest


@pytest.fixture(scope="session")
def report(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder that holds the demo's report.html, report.pdf and report.json, made by the command line."""
    out = tmp_path_factory.mktemp("out")
    job = outside.ROOT / "photos_demo" / "wandering-plover"
    lugbook = Path(sys.executable).with_name("lugbook")
    subprocess.run([lugbook, "report", job, "-o", out], check=True, timeout=300)
    return out / job.name


@pytest.fixture(scope="session")
def findings(report: Path) -> list[outside.Finding]:
    """All that all judges say of the demo. Pictures of the views are left in .judges/pictures to look at."""
    html, pdf = report / "report.html", report / "report.pdf"
    found = outside.nu(html) + outside.pdfua(pdf) + outside.outloud(pdf)
    with outside.chromium() as browser:
        for view in outside.VIEWS:
            picture = outside.JUDGES / "pictures" / f"{view.name}.png"
            found += outside.page_findings(browser, html, view, picture)
    return found


@pytest.fixture(scope="session")
def accepted() -> list[outside.Accepted]:
    """The findings that stay, each with its reason."""
    return outside.accepted()
