"""Compiled templates, kept beside the compiled modules of this package and trusted as these are.

A template's file is named by all that its code depends on besides its source, and begins with the SHA-256 of the
rest, so that one that is cut short or spoilt is noticed and made anew. Jinja itself compares the sum of the source and
the version of Python. A folder that cannot be written only means that nothing is kept.
"""

from __future__ import annotations

import hashlib
import os
import sys
import tempfile
from contextlib import suppress
from importlib.util import cache_from_source
from io import BytesIO
from pathlib import Path

import jinja2
from jinja2.bccache import Bucket, BytecodeCache

SUM = 32


def beside_modules() -> Path:
    """The folder of this package's compiled modules, wherever Python is told to put them."""
    return Path(cache_from_source(__file__)).parent


class Compiled(BytecodeCache):
    """Templates as `environment` compiles them, under `folder`."""

    def __init__(self, folder: Path, environment: jinja2.Environment) -> None:
        self.folder = folder
        self.options = repr((environment.autoescape, environment.trim_blocks, environment.lstrip_blocks))

    def get_cache_key(self, name: str, filename: str | None = None) -> str:
        """The name of the file. `unchanged.py` takes what ends with .pyc for no part of the program."""
        parts = "\0".join((name, filename or "", self.options, jinja2.__version__))
        return (
            f"template-{hashlib.sha256(parts.encode()).hexdigest()[:32]}.{sys.implementation.cache_tag}.pyc"
        )

    def load_bytecode(self, bucket: Bucket) -> None:
        """Fill the bucket, if there is something whole to fill it with."""
        path = self.folder / bucket.key
        try:
            if not path.is_file():  # to open a pipe that somebody put there would wait for ever
                return
            stored = path.read_bytes()
        except OSError:
            return
        if hashlib.sha256(stored[SUM:]).digest() == stored[:SUM]:
            bucket.load_bytecode(BytesIO(stored[SUM:]))

    def dump_bytecode(self, bucket: Bucket) -> None:
        """Keep what is in the bucket, if that is possible and Python is not told to keep nothing."""
        if sys.dont_write_bytecode:
            return
        data = bucket.bytecode_to_string()
        with suppress(OSError):
            self.folder.mkdir(parents=True, exist_ok=True)
            handle, name = tempfile.mkstemp(dir=self.folder, prefix="new-", suffix=".pyc")
            try:
                with os.fdopen(handle, "wb") as file:
                    file.write(hashlib.sha256(data).digest() + data)
                Path(name).replace(self.folder / bucket.key)
            except BaseException:
                Path(name).unlink(missing_ok=True)
                raise
