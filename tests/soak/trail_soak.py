"""The long runs of the trail's tests, outside of `make test`: python tests/soak/trail_soak.py [BYTES] [KILLS]

Changes one byte at 5,000 seeded places of an issued job and kills commands at 500 seeded points, unless told
otherwise. Prints what it found; ends with 1 if anything was missed.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))
sys.path.insert(0, str(Path(__file__).parents[1] / "trail"))

from faults import kill_often
from tampering import check_single_bytes, check_whole_files, whole_files
from test_unpack import kill_unpacking
from trail_jobs import Story, full_story, make_key

SEED = 882


def soak(changes: int, kills: int) -> int:
    """Run it all once."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        key, signers = make_key(folder)
        story = Story(full_story(folder / "trial", key), key, signers)
        began = time.monotonic()
        missed = check_single_bytes(story, changes, SEED)
        print(f"{changes} single bytes changed: {len(missed)} not noticed, {time.monotonic() - began:.0f} s")
        began = time.monotonic()
        whole = check_whole_files(whole_files(story.job), story, folder / "whole")
        print(
            f"whole files taken away, cut, swapped and added: {len(whole)} not noticed, {time.monotonic() - began:.0f} s"
        )
        began = time.monotonic()
        outcomes = kill_often(story.job, folder / "kills", kills, SEED)
        print(
            f"{kills} kills: as before {outcomes['before']}, as after {outcomes['after']}, {time.monotonic() - began:.0f} s"
        )
        for new in (True, False):
            (folder / f"unpack-{new}").mkdir()
            outcomes = kill_unpacking(folder / f"unpack-{new}", kills // 5, SEED, new=new)
            what = "a new job" if new else "a later export"
            print(
                f"{kills // 5} kills of unpack, {what}: {outcomes['before']} before, {outcomes['after']} after"
            )
    for line in [*missed, *whole]:
        print(line)
    return 1 if missed or whole else 0


if __name__ == "__main__":
    numbers = [int(word) for word in sys.argv[1:]]
    sys.exit(soak(*(numbers + [5000, 500][len(numbers) :])))
