"""`lugbook watch` as a process of its own: a page that follows its source, for this machine alone."""

from __future__ import annotations

import contextlib
import http.client
import json
import re
import shutil
import signal
import socket
import struct
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from big_job import make
from small_jobs import hear_ctrl_c

from lugbook import serve
from lugbook.cli import main
from lugbook.commands import watch
from lugbook.memory import Memory
from lugbook.pipeline.watching import live_page

WAIT = 60.0


class Watched:
    """A running `lugbook watch` and the job that it follows."""

    def __init__(self, folder: Path) -> None:
        self.findings = folder / "findings.yaml"
        command = [sys.executable, "-m", "lugbook", "watch", str(folder)]
        self.process = subprocess.Popen(
            command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, preexec_fn=hear_ctrl_c
        )
        assert self.process.stdout is not None
        self.url = self.process.stdout.readline().strip()
        self.port = urlsplit(self.url).port or 0

    def get(self, path: str, host: str | None = None, method: str = "GET") -> tuple[int, str, dict[str, str]]:
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=WAIT)
        connection.request(method, path, headers={"Host": host or f"127.0.0.1:{self.port}"})
        answer = connection.getresponse()
        found = answer.status, answer.read().decode(), {k.lower(): v for k, v in answer.getheaders()}
        connection.close()
        return found

    def state(self) -> dict[str, Any]:
        found: dict[str, Any] = json.loads(self.get("/state")[1])
        return found

    def until(self, fits: Callable[[dict[str, Any]], bool]) -> dict[str, Any]:
        end = time.monotonic() + WAIT
        while time.monotonic() < end:
            state = self.state()
            if fits(state):
                return state
            time.sleep(0.05)
        raise AssertionError(f"not reached within {WAIT} s: {self.state()}")

    def edit(self, old: str, new: str) -> None:
        text = self.findings.read_text(encoding="utf-8")
        assert old in text
        self.findings.write_text(text.replace(old, new), encoding="utf-8")

    def end(self) -> tuple[int, str]:
        self.process.send_signal(signal.SIGINT)
        _, err = self.process.communicate(timeout=WAIT)
        return self.process.returncode, err


@pytest.fixture(scope="module")
def watched(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Watched]:
    folder = tmp_path_factory.mktemp("watch") / "plover"
    make(folder, defects=2, pictures=1, size=(320, 240), tongues=["en"], long=False)
    one = Watched(folder)
    one.until(lambda state: state["version"] == 1)
    yield one
    if one.process.poll() is None:
        one.process.kill()
        one.process.communicate()


def test_it_prints_its_address_on_this_machine(watched: Watched) -> None:
    assert re.fullmatch(r"http://127\.0\.0\.1:\d+/", watched.url)
    status, frame, headers = watched.get("/")
    assert status == 200
    assert "<iframe" in frame
    assert headers["cache-control"] == "no-store"
    assert "default-src 'none'" in headers["content-security-policy"]
    assert "No fuse at the battery" in watched.get("/report")[1]


@pytest.mark.parametrize(
    "path", ["/findings.yaml", "/photos/picture-1.jpg", "/../findings.yaml", "/report/", "/x"]
)
def test_nothing_else_is_served(watched: Watched, path: str) -> None:
    assert watched.get(path)[0] == 404
    assert watched.get("/", method="POST")[0] == 501


@pytest.mark.parametrize(
    "host",
    ["evil.example", "evil.example:{port}", "127.0.0.1", "127.0.0.1:1", "127.0.0.1.evil.example:{port}", ""],
)
def test_another_host_is_refused(watched: Watched, host: str) -> None:
    """A name that leads to 127.0.0.1 may belong to anybody: DNS rebinding."""
    status, text, _ = watched.get("/report", host=host.format(port=watched.port) or " ")
    assert status in (400, 421)
    assert "No fuse" not in text
    assert watched.get("/report", host=f"localhost:{watched.port}")[0] == 200


def test_an_edit_appears_a_fault_leaves_the_last_page_and_a_repair_recovers(watched: Watched) -> None:
    before = watched.state()
    watched.edit("number: BIG-1", "number: BIG-2")
    good = watched.until(lambda state: state["version"] > before["version"])
    assert "BIG-2" in watched.get("/report")[1]
    assert [one for one in good["problems"] if one["severity"] == "error"] == []

    watched.edit("date: 2026-06-03", "date: 3.6.2026")
    bad = watched.until(lambda state: state["change"] > good["change"])
    errors = [one for one in bad["problems"] if one["severity"] == "error"]
    assert [one["place"] for one in errors] == ["findings.yaml:5:9"]
    assert "P122" in errors[0]["message"]
    assert errors[0]["hint"]
    assert bad["version"] == good["version"]
    assert "BIG-2" in watched.get("/report")[1]

    watched.edit("date: 3.6.2026", "date: 2026-06-04")
    again = watched.until(lambda state: state["version"] > bad["version"])
    assert [one for one in again["problems"] if one["severity"] == "error"] == []
    assert "4 June 2026" in watched.get("/report")[1] or "BIG-2" in watched.get("/report")[1]


def test_an_interrupt_ends_it_cleanly(watched: Watched) -> None:
    code, err = watched.end()
    assert code == 0
    assert "Traceback" not in err
    assert err.rstrip().endswith("stopped")
    with pytest.raises(ConnectionRefusedError):
        watched.get("/")


def test_readers_that_go_away_or_say_nothing_are_no_fault(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A reset in the middle of a page printed a traceback; a silent reader held a thread for ever."""
    monkeypatch.setattr(serve, "PATIENCE", 0.2)
    board = serve.Board("frame", "policy")
    board.show("x" * 5_000_000, ())
    server = serve.Server(board, 0)
    port = urlsplit(server.url).port
    ask = f"GET /report HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n\r\n".encode()
    for _ in range(10):
        with socket.create_connection(("127.0.0.1", port)) as reader:
            reader.sendall(ask)
            reader.setsockopt(
                socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0)
            )  # close by a reset
    for rubbish in (
        b"\x16\x03\x01\0",
        b"GET\r\n\r\n",
        b"GET /" + b"a" * 70_000,
        b"\0\r\n\r\n",
        ask.replace(b"/report", b"/\x1b[31m"),
    ):
        with socket.create_connection(("127.0.0.1", port), timeout=WAIT) as reader:
            reader.sendall(rubbish)
            with contextlib.suppress(ConnectionError):
                while part := reader.recv(65536):
                    assert b"xxx" not in part
    with socket.create_connection(("127.0.0.1", port), timeout=WAIT) as silent:
        assert silent.recv(1) == b""
    server.close()
    said = capsys.readouterr()
    assert (said.out, said.err) == ("", "")


def test_a_folder_that_goes_is_told_and_waited_for(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def enough(_: float) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(watch.time, "sleep", enough)
    board = serve.Board("frame", "policy")
    with pytest.raises(KeyboardInterrupt):
        watch._follow(tmp_path / "gone", board, quiet=True)
    state = json.loads((board.answer("/state") or ("", ""))[1])
    assert [problem["severity"] for problem in state["problems"]] == ["error"]


def test_a_port_that_is_taken_is_said_in_a_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    make(tmp_path / "job", defects=0, pictures=0, size=(32, 24), tongues=["en"], long=False)
    assert main(["watch", str(tmp_path / "job"), "--port", "99999"]) == 1
    err = capsys.readouterr().err
    assert "port 99999 cannot be had" in err
    assert "Traceback" not in err


def test_pictures_are_prepared_once_and_again_when_they_change(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from lugbook import picture_work

    done: list[str] = []
    really = picture_work.do
    monkeypatch.setattr(
        picture_work, "do", lambda task, *more: done.append(task.path.name) or really(task, *more)
    )
    job, memory = tmp_path / "job", Memory()
    make(job, defects=2, pictures=2, size=(320, 240), tongues=["en"], long=False)
    first, _ = live_page(job, memory)
    once = len(done)
    assert once >= 2
    assert live_page(job, memory)[0] == first
    assert len(done) == once
    shutil.copy(job / "photos" / "picture-1.jpg", job / "photos" / "picture-2.jpg")
    assert live_page(job, memory)[0] != first
    assert set(done[once:]) == {"picture-2.jpg"}
