"""Fuzzing that follows the code's own branches (atheris): python tests/soak/fuzz_guided.py [RUNS] [text|picture|bundle].

Needs the extra `fuzz`. An input that breaks something is printed by libFuzzer and kept in build/fuzz/; exit code 77.
A run that ends well writes its counts to docs/campaigns.json.
"""

from __future__ import annotations

import atexit
import signal
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

import atheris

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT / "tests" / "fuzz"), str(ROOT / "tests")]

with atheris.instrument_imports(
    include=["lugbook.load", "lugbook.model", "lugbook.photos", "lugbook.picture_bytes"]
):
    import bundles
    import seeds
    from targets import Fuzz

from record import record  # noqa: E402


def main() -> None:
    runs = sys.argv[1] if len(sys.argv) > 1 else "20000"
    kind = sys.argv[2] if len(sys.argv) > 2 else "text"
    with tempfile.TemporaryDirectory(prefix="fuzz-") as name:
        folder = Path(name)
        fuzz = Fuzz(folder)
        corpus = folder / "corpus"
        corpus.mkdir()
        kept = ROOT / "build" / "fuzz"
        kept.mkdir(parents=True, exist_ok=True)
        if kind == "text":
            whole: list[bytes] = [text[:3000].encode() for text in seeds.texts()]
        elif kind == "bundle":
            whole = [bundles.sound(files) for files in bundles.visits()]
        else:
            whole = list(seeds.pictures())
        for number, data in enumerate(whole):
            (corpus / str(number)).write_bytes(data)

        take = {"text": lambda data: fuzz.text(data.decode("utf-8", "replace")), "bundle": fuzz.bundle}
        ended: Counter[str] = Counter()
        slowest = [0.0]

        def one(data: bytes) -> None:
            begin = time.perf_counter()
            ended[take.get(kind, fuzz.picture)(data)] += 1
            slowest[0] = max(slowest[0], time.perf_counter() - begin)

        def well() -> None:
            """Before the interpreter goes; an input that broke something ends the process without this."""
            # The engine's alarm goes on ringing when it is done, and ends a process that is slow to go with 142.
            signal.setitimer(signal.ITIMER_REAL, 0)
            record(f"guided {kind}", ended=dict(sorted(ended.items())), slowest_s=round(slowest[0], 2))

        options = [
            f"-atheris_runs={runs}",
            "-timeout=5",
            "-rss_limit_mb=512",
            "-seed=1",
            "-max_len=4000",
            "-print_final_stats=1",
        ]
        atheris.Setup([sys.argv[0], *options, f"-artifact_prefix={kept}/", str(corpus)], one)
        atexit.register(well)
        atheris.Fuzz()


if __name__ == "__main__":
    main()
