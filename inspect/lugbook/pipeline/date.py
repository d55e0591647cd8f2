"""The date that a document carries."""

from __future__ import annotations

import os
from datetime import UTC, datetime


def created(day: str) -> datetime:
    """The date that the document carries: SOURCE_DATE_EPOCH if set, otherwise the report's own. Never the clock."""
    epoch = os.environ.get("SOURCE_DATE_EPOCH", "")
    if epoch.isdigit():
        return datetime.fromtimestamp(int(epoch), UTC)
    return datetime.fromisoformat(day).replace(tzinfo=UTC)
