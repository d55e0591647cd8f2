"""The long campaign of fuzzed input: python tests/soak/fuzz.py [INPUTS] [KIND] [FIRST].

INPUTS (200,000) are shared out: 0.45 text, 0.2 whole jobs, 0.25 pictures, 0.1 archives. Inputs that break something
are kept in build/fuzz/; each belongs into a test once it is mended. Exit code 1 if there is one. A whole run writes its
counts to docs/fuzzing.json, from which `make docs` fills the table of docs/hostile-input.md.
"""

from __future__ import annotations

import json
import multiprocessing
import os
import platform
import sys
import tempfile
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT / "tests" / "fuzz"), str(ROOT / "tests")]

import campaign  # noqa: E402

SHARES = {"text": 0.45, "tree": 0.2, "picture": 0.25, "bundle": 0.1}
COUNTS = ROOT / "docs" / "fuzzing.json"
PORTION = 500


def portion(work: tuple[str, range]) -> tuple[str, campaign.Outcome]:
    """A part of the campaign, in a process of its own."""
    kind, numbers = work
    with tempfile.TemporaryDirectory(prefix="fuzz-") as folder:
        return kind, campaign.run(kind, numbers, Path(folder))


def main() -> int:
    inputs = int(sys.argv[1]) if len(sys.argv) > 1 else 200_000
    only = sys.argv[2] if len(sys.argv) > 2 else None
    first = int(sys.argv[3]) if len(sys.argv) > 3 else 0
    work = [
        (kind, range(start, min(start + PORTION, first + count)))
        for kind, share in SHARES.items()
        if only in (None, kind)
        for count in [int(inputs * (1 if only else share))]
        for start in range(first, first + count, PORTION)
    ]
    totals: dict[str, Counter[str]] = {kind: Counter() for kind in SHARES}
    slowest, memory, broke = 0.0, 0.0, []
    # Not concurrent.futures: its pool stands still once every worker has had its number of tasks.
    with multiprocessing.get_context("spawn").Pool(maxtasksperchild=8) as pool:
        for done, (kind, outcome) in enumerate(pool.imap(portion, work), 1):
            totals[kind] += outcome.ended
            slowest, memory = max(slowest, outcome.slowest), max(memory, outcome.memory)
            broke += outcome.broke
            print(f"\r{done} of {len(work)} portions, {len(broke)} broke something", end="", file=sys.stderr)
    kept = ROOT / "build" / "fuzz"
    kept.mkdir(parents=True, exist_ok=True)
    print(file=sys.stderr)
    for kind, number, trace, raw in broke:
        (kept / f"{kind}-{number}").write_bytes(raw)
        print(
            f"{kind} {number}: {trace.strip().splitlines()[-1]}\n{trace}"
            if len(broke) < 9
            else f"{kind} {number}: {trace.strip().splitlines()[-1]}"
        )
    for kind, ended in totals.items():
        print(
            f"{kind}: {ended.total()} inputs: "
            + ", ".join(f"{n} {what}" for what, n in sorted(ended.items()))
        )
    print(f"slowest {slowest:.2f} s, largest process {memory:.0f} MB, {len(broke)} broke something")
    if only is None:
        told = {
            "machine": f"{os.cpu_count()} processors, {platform.machine()}, Python {platform.python_version()}",
            "first": first,
            "ended": {kind: dict(sorted(ended.items())) for kind, ended in totals.items()},
            "broke": len(broke),
            "slowest_s": round(slowest, 2),
            "largest_process_mb": round(memory),
        }
        COUNTS.write_text(json.dumps(told, indent=1) + "\n", encoding="utf-8")
    return 1 if broke or memory > campaign.MEGABYTES else 0


if __name__ == "__main__":
    sys.exit(main())
