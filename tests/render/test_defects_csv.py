"""defects.csv: a line for each defect, read by Python's own reader of CSV."""

from __future__ import annotations

import csv
import io

from small_jobs import DemoReport

from lugbook.model.view import ReportView
from lugbook.render.defects_csv import COLUMNS, defects_csv


def rows(view: ReportView) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(defects_csv(view).decode("utf-8-sig"), newline=""), strict=True))


def test_the_file_of_the_demo_holds_its_defects(demo: DemoReport) -> None:
    data = (demo.folder / "defects.csv").read_bytes()
    assert data == defects_csv(demo.view)
    found = rows(demo.view)
    assert tuple(found[0]) == COLUMNS
    assert [(row["number"], row["id"], row["title"], row["level"]) for row in found] == [
        (str(d.number), d.id, d.title, d.level.level) for d in demo.view.defects
    ]
    assert {row["act_by"] for row in found} >= {"make safe now", "before the next trip", "this season"}
    assert {row["date"] for row in found} == {"2026-06-03"}


def test_no_text_of_the_findings_becomes_a_formula(demo: DemoReport) -> None:
    first = demo.view.defects[0]
    evil = first.model_copy(update={"title": "=HYPERLINK(1)", "place": "@here", "until_then": '+1,"2"\n-3'})
    row = rows(demo.view.model_copy(update={"defects": (evil,)}))[0]
    assert (row["title"], row["place"], row["until_then"]) == ("'=HYPERLINK(1)", "'@here", '\'+1,"2"\n-3')
    assert rows(demo.view.model_copy(update={"defects": ()})) == []
