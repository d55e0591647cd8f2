"""When an entry was recorded, and chance: the two things that a run of the program adds by itself."""

from __future__ import annotations

import os
import secrets
import time
import uuid
from datetime import UTC, datetime, timedelta


def recorded_now() -> str:
    """The time of recording in UTC, such as 2026-06-03T10:22:00Z. SOURCE_DATE_EPOCH stands in for the clock."""
    return _now().strftime("%Y-%m-%dT%H:%M:%SZ")


def latest_day() -> str:
    """The latest day that it is anywhere now, such as 2026-06-04: local clocks go up to 14 hours before UTC."""
    return (_now() + timedelta(hours=14)).date().isoformat()


def _now() -> datetime:
    epoch = os.environ.get("SOURCE_DATE_EPOCH", "")
    seconds = int(epoch) if epoch.isdecimal() else int(time.time())
    return datetime.fromtimestamp(seconds, UTC)


def new_salt() -> str:
    """32 random bytes in hexadecimal, so that nobody can guess a name and compare its sum."""
    return secrets.token_hex(32)


def new_visit() -> str:
    """An id for a visit that was not begun on a phone: a random UUID (RFC 9562, version 4)."""
    return str(uuid.uuid4())
