"""The overview over thousands of made-up jobs: python tests/soak/history_soak.py [JOBS] [SEED]. Takes some minutes.

Each job answers every item of the shipped list. One job in a thousand is broken: it must be listed and stop nothing.
The second run may take at most a twentieth of the first; both are processes of their own, imports included.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT / "tests" / "trail"))

from history_jobs import made_up_jobs  # noqa: E402

TWENTIETH = 1 / 20


def overview(root: Path) -> tuple[float, dict[str, object]]:
    """Run the command. Returns its wall time and what it says."""
    words = [
        sys.executable,
        "-m",
        "lugbook",
        "-q",
        "history",
        str(root),
        "--format",
        "json",
        "--on",
        "2026-06-01",
    ]
    start = time.perf_counter()
    ran = subprocess.run(words, capture_output=True, check=True)
    return time.perf_counter() - start, json.loads(ran.stdout)


def main(arguments: list[str]) -> int:
    count = int(arguments[0]) if arguments else 5000
    seed = int(arguments[1]) if len(arguments) > 1 else 20260602
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder)
        defects = made_up_jobs(root, count, seed, own=False)
        broken = sorted(root.rglob("findings.yaml"))[:: max(1, count // max(1, count // 1000))]
        for path in broken:
            path.write_text("format: [", encoding="utf-8")
        first, said = overview(root)
        time.sleep(3)  # files written just before the index are summed once more
        second, again = overview(root)
        third, _ = overview(root)
    print(f"{count} jobs, {defects} defects made up, {len(broken)} jobs broken")
    print(f"first {first:.2f} s, repeat {second:.2f} s and {third:.2f} s: 1/{first / max(second, third):.0f}")
    assert said == again
    assert len(said["not_counted"]) == len(broken)  # type: ignore[arg-type]
    assert max(second, third) <= first * TWENTIETH, "the repeat takes more than a twentieth of the first"
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
