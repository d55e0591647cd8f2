"""A phone for the capture page: Chromium with a profile of its own, which can be killed and started again."""

import http.server
import os
import shutil
import signal
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from functools import partial
from pathlib import Path
from typing import Any

import outside

WIDTH, HEIGHT = 360, 740
AGENT = (
    "Mozilla/5.0 (Linux; Android 14) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/140.0 Mobile Safari/537.36"
)


class Phone:
    """One browser profile on the disk. What the page stored there outlives a kill, as on a phone."""

    def __init__(
        self, playwright: Any, profile: Path, *, scheme: str = "light", zone: str = "Europe/London"
    ) -> None:
        self._playwright, self.profile, self._scheme, self._zone = playwright, profile, scheme, zone
        self.context: Any = None

    def start(self, *, offline: bool) -> Any:
        """Start the browser; gives a page."""
        self.context = self._playwright.chromium.launch_persistent_context(
            str(self.profile),
            executable_path=shutil.which("chromium"),
            args=[flag for flag in outside.CHROMIUM_FLAGS if flag != "--headless"],
            headless=True,
            viewport={"width": WIDTH, "height": HEIGHT},
            device_scale_factor=2,
            is_mobile=True,
            has_touch=True,
            user_agent=AGENT,
            color_scheme=self._scheme,
            timezone_id=self._zone,
            locale="en-GB",
            accept_downloads=True,
            offline=offline,
        )
        self.context.set_default_timeout(20_000)
        return self.context.pages[0] if self.context.pages else self.context.new_page()

    def processes(self) -> list[int]:
        """All processes of this browser, and of no other."""
        found = []
        for entry in Path("/proc").iterdir():
            if entry.name.isdigit():
                with suppress(OSError):
                    if str(self.profile).encode() in (entry / "cmdline").read_bytes():
                        found.append(int(entry.name))
        return found

    def kill(self) -> None:
        """As if the battery fell out: no process of it gets to say goodbye."""
        ids = self.processes()
        if not ids:
            raise RuntimeError("no process of this browser was found")
        for number in ids:
            with suppress(ProcessLookupError):
                os.kill(number, signal.SIGKILL)
        with suppress(Exception):
            self.context.close()
        deadline = time.monotonic() + 10
        while self.processes() and time.monotonic() < deadline:
            time.sleep(0.02)
        for name in ("SingletonLock", "SingletonSocket", "SingletonCookie"):  # a phone has no such thing
            with suppress(FileNotFoundError):
                (self.profile / name).unlink()

    def close(self) -> None:
        """End it in good order."""
        with suppress(Exception):
            self.context.close()

    def forget_peaks(self) -> None:
        """Let the highest sizes begin anew (proc(5), clear_refs: 5 resets the peak of the resident size)."""
        for number in self.processes():
            with suppress(OSError):
                Path(f"/proc/{number}/clear_refs").write_text("5")

    def peak_memory(self, kind: str = "--type=renderer") -> int:
        """The highest resident size so far of any one process of a kind, in bytes (VmHWM of /proc)."""
        peak = 0
        for number in self.processes():
            with suppress(OSError):
                if kind.encode() in Path(f"/proc/{number}/cmdline").read_bytes():
                    status = Path(f"/proc/{number}/status").read_text()
                    peak = max(peak, int(status.split("VmHWM:")[1].split()[0]) * 1024)
        return peak


@contextmanager
def phone(*, scheme: str = "light") -> Iterator[Phone]:
    """A phone that nobody has used yet."""
    from playwright.sync_api import sync_playwright

    with tempfile.TemporaryDirectory(prefix="phone-") as folder, sync_playwright() as playwright:
        made = Phone(playwright, Path(folder) / "profile", scheme=scheme)
        try:
            yield made
        finally:
            made.close()


class _Quiet(http.server.SimpleHTTPRequestHandler):
    def log_message(self, format: str, *args: object) -> None:  # noqa: A002 - its name in the base class
        """Say nothing."""


@contextmanager
def hosted(folder: Path) -> Iterator[str]:
    """The folder on a static host, until the block ends: then there is no network any more."""
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), partial(_Quiet, directory=str(folder)))
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_address[1]}/"
    finally:
        server.shutdown()
        server.server_close()
