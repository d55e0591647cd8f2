"""Ctrl-C at 100 seeded moments of a report with its PDF: python tests/soak/interrupts.py [MOMENTS] [SEED]."""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.append(str(ROOT / "tests"))

from interruptions import interrupt  # noqa: E402
from record import record  # noqa: E402


def main() -> None:
    moments = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    with tempfile.TemporaryDirectory(prefix="interrupt-") as folder:
        ended = interrupt(Path(folder), moments=moments, seed=seed, pdf=True)
    record("interrupts", moments=moments, seed=seed, **ended)
    print(
        f"Ctrl-C at {moments} moments: {ended['before']} left the old report, {ended['after']} the new, whole"
    )


if __name__ == "__main__":
    main()
