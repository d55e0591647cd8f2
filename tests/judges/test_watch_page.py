"""In a browser: the page of `lugbook watch` follows each save by itself and keeps the last good report under a fault."""

from pathlib import Path
from typing import Any

import outside
import pytest
from big_job import make
from test_watch import Watched

pytestmark = pytest.mark.judge


def test_the_page_follows_edits_by_itself(tmp_path: Path) -> None:
    job = tmp_path / "plover"
    make(job, defects=2, pictures=1, size=(320, 240), tongues=["en"], long=False)
    watched = Watched(job)
    try:
        with outside.chromium() as browser:
            page: Any = browser.new_page(viewport={"width": 390, "height": 844})
            page.goto(watched.url)
            report = page.frame_locator("#report")
            report.get_by_text("BIG-1").first.wait_for(timeout=30_000)
            watched.edit("number: BIG-1", "number: BIG-2")
            report.get_by_text("BIG-2").first.wait_for(timeout=30_000)
            assert report.get_by_text("BIG-1").count() == 0

            watched.edit("date: 2026-06-03", "date: 3.6.2026")
            page.get_by_text("P122").wait_for(timeout=30_000)
            assert "findings.yaml:5:9" in page.locator("#list").inner_text()
            assert report.get_by_text("BIG-2").count() > 0
            wide = page.evaluate("document.documentElement.scrollWidth")
            assert wide <= 390, "a fault makes the page wider than the phone"

            watched.edit("date: 3.6.2026", "date: 2026-06-04")
            page.get_by_text("P122").wait_for(state="detached", timeout=30_000)
            report.get_by_text("4 June 2026").first.wait_for(timeout=30_000)
            assert page.locator("#gone").is_hidden()
            watched.end()
            page.locator("#gone").wait_for(state="visible", timeout=30_000)
    finally:
        if watched.process.poll() is None:
            watched.process.kill()
            watched.process.communicate()
