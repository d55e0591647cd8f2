"""Keeps what the campaigns found in docs/campaigns.json, from which `make docs` fills docs/hostile-input.md."""

from __future__ import annotations

import json
import os
import platform
from pathlib import Path
from typing import Any

CAMPAIGNS = Path(__file__).parents[2] / "docs" / "campaigns.json"


def machine() -> str:
    """Where this runs, in a few words."""
    return f"{os.cpu_count()} processors, {platform.machine()}, Python {platform.python_version()}"


def record(name: str, **facts: Any) -> None:
    """Put the last run of a campaign in the place of the one before."""
    told = json.loads(CAMPAIGNS.read_text(encoding="utf-8")) if CAMPAIGNS.exists() else {}
    told[name] = {**facts, "machine": machine()}
    CAMPAIGNS.write_text(json.dumps(dict(sorted(told.items())), indent=1) + "\n", encoding="utf-8")
