"""How a process that works for another begins."""

from __future__ import annotations

import os
import signal
from threading import Thread


def begin_worker() -> None:
    """Leave interruptions to the parent, and go when it is gone: nobody else would end a worker that waits for work."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    Thread(target=_go_with_the_parent, daemon=True).start()


def _go_with_the_parent() -> None:
    from multiprocessing import connection, parent_process

    parent, above = parent_process(), os.getppid()
    if parent is None:
        return
    # A process that was split off holds the other end of its own sentinel in Python 3.11: it looks who is above it, too.
    while not connection.wait([parent.sentinel], timeout=1) and os.getppid() == above:
        pass
    os._exit(1)
