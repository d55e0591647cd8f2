"""Photos as a phone takes them: 12 megapixels, some megabytes, no two alike. Seeded, and cheap to make."""

from io import BytesIO
from pathlib import Path

import numpy as np
from PIL import Image

WIDTH, HEIGHT = 4000, 3000
DIFFERENT = 4
"""Pictures that are encoded; the others are these with another comment inside, and so with other sums."""


def make_photos(folder: Path, count: int, seed: int) -> list[Path]:
    """Write photos into a folder; gives their paths."""
    folder.mkdir(parents=True, exist_ok=True)
    random = np.random.default_rng(seed)
    bases = [_photo(random) for _ in range(min(DIFFERENT, count))]
    paths = []
    for number in range(count):
        path = folder / f"IMG_{number + 1:04}.jpg"
        path.write_bytes(_commented(bases[number % len(bases)], f"photo {number + 1} of seed {seed}"))
        paths.append(path)
    return paths


def _photo(random: np.random.Generator) -> bytes:
    """Soft shapes with the grain of a dark locker."""
    soft = Image.fromarray(random.integers(30, 220, (24, 32, 3), dtype=np.uint8)).resize(
        (WIDTH, HEIGHT), Image.Resampling.BICUBIC
    )
    grain = random.integers(0, 24, (HEIGHT // 2, WIDTH // 2, 1), dtype=np.uint8).repeat(2, 0).repeat(2, 1)
    out = BytesIO()
    Image.fromarray(np.asarray(soft) + grain).save(out, "JPEG", quality=88)
    return out.getvalue()


def _commented(jpeg: bytes, text: str) -> bytes:
    """The picture with a comment segment. Source: ITU-T T.81, B.2.4.5: FFFE, its length with the two bytes, text."""
    body = text.encode("ascii")
    return jpeg[:2] + b"\xff\xfe" + (len(body) + 2).to_bytes(2) + body + jpeg[2:]
