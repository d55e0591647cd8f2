"""A page that follows its source, served to this machine alone.

Bound to 127.0.0.1. A request whose Host is another name is refused, so that no page of the internet can reach it
under a name of its own (DNS rebinding). Three addresses are answered: the frame, the report inside it, and the state.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from threading import Lock, Thread

ADDRESS = "127.0.0.1"
NAMES = (ADDRESS, "localhost")
PATIENCE = 10.0
"""Seconds that a reader may be silent."""
HEADERS = {
    "Cache-Control": "no-store",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Resource-Policy": "same-origin",
    "X-Frame-Options": "SAMEORIGIN",
}


@dataclass
class Board:
    """What is shown now. `version` rises with each good page, `change` with each good or bad one."""

    frame: str
    policy: str
    _page: str = ""
    _version: int = 0
    _change: int = 0
    _problems: tuple[Mapping[str, str], ...] = ()
    _lock: Lock = field(default_factory=Lock)

    def show(self, page: str | None, problems: tuple[Mapping[str, str], ...]) -> None:
        """Show a new page, or keep the last one if there is none, and these problems."""
        with self._lock:
            if page is not None:
                self._page = page
                self._version += 1
            self._problems = problems
            self._change += 1

    def answer(self, path: str) -> tuple[str, str] | None:
        """Media type and text for an address, None if there is no such thing."""
        with self._lock:
            if path == "/":
                return "text/html", self.frame
            if path == "/report":
                return "text/html", self._page
            if path == "/state":
                state = {"version": self._version, "change": self._change, "problems": self._problems}
                return "application/json", json.dumps(state, ensure_ascii=False)
            return None


class _Quiet(ThreadingHTTPServer):
    """A reader that goes away in the middle is no fault, and nothing that it does may be printed."""

    daemon_threads = True

    def handle_error(self, request: object, client_address: object) -> None:
        """Nothing: the reader is gone."""


class Server:
    """Serves a board in threads of its own, from the moment it is made until `close`. Port 0 takes a free one.

    Raises OSError if the port cannot be had.
    """

    def __init__(self, board: Board, port: int) -> None:
        self._server = _Quiet((ADDRESS, port), _handler(board))
        self._thread = Thread(target=self._server.serve_forever, kwargs={"poll_interval": 0.1}, daemon=True)
        self._thread.start()

    @property
    def url(self) -> str:
        """Where it can be seen."""
        return f"http://{ADDRESS}:{self._server.server_port}/"

    def close(self) -> None:
        """Stop, and give the port back."""
        self._server.shutdown()
        self._server.server_close()
        self._thread.join()


def _handler(board: Board) -> type[BaseHTTPRequestHandler]:
    class Handler(BaseHTTPRequestHandler):
        server_version, sys_version = "lugbook", ""
        timeout = PATIENCE

        def do_GET(self) -> None:
            host, _, port = self.headers.get("Host", "").rpartition(":")
            if host not in NAMES or port != str(self.connection.getsockname()[1]):
                self.send_error(HTTPStatus.MISDIRECTED_REQUEST, "this page is for this machine alone")
                return
            path = self.path.partition("?")[0]
            answer = board.answer(path)
            if answer is None:
                self.send_error(HTTPStatus.NOT_FOUND)
                return
            kind, text = answer
            data = text.encode()
            self.send_response(HTTPStatus.OK)
            self.send_header("Content-Type", f"{kind}; charset=utf-8")
            self.send_header("Content-Length", str(len(data)))
            for name, value in HEADERS.items():
                self.send_header(name, value)
            if path == "/":
                self.send_header("Content-Security-Policy", board.policy)
            self.end_headers()
            self.wfile.write(data)

        def log_message(self, *_: object) -> None:
            """Nothing is logged: the terminal shows what changed."""

    return Handler
