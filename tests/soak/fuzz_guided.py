"""Fuzzing that follows the code's own branches (atheris): python tests/soak/fuzz_guided.py [RUNS] [text|picture|bundle].

Needs the extra `soak`. An input that breaks something is printed by libFuzzer and kept in build/fuzz/; exit code 77.
"""

from __future__ import annotations

import sys
import tempfile
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

        def one(data: bytes) -> None:
            if kind == "text":
                fuzz.text(data.decode("utf-8", "replace"))
            elif kind == "bundle":
                fuzz.bundle(data)
            else:
                fuzz.picture(data)

        options = [
            f"-atheris_runs={runs}",
            "-timeout=5",
            "-rss_limit_mb=512",
            "-seed=1",
            "-max_len=4000",
            "-print_final_stats=1",
        ]
        atheris.Setup([sys.argv[0], *options, f"-artifact_prefix={kept}/", str(corpus)], one)
        atheris.Fuzz()


if __name__ == "__main__":
    main()
