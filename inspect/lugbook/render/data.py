"""View -> report.json."""

from __future__ import annotations

import json

from lugbook.model.view import ReportView


def report_json(view: ReportView) -> bytes:
    """The view as JSON: UTF-8, keys in the order of the schema, one final newline."""
    return (json.dumps(view.model_dump(mode="json"), ensure_ascii=False, indent=1) + "\n").encode()
