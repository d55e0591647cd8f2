"""Render the demo pictures: `python render.py NAME... [--size 400] [--samples 8] [--out FOLDER]`.

Names, sizes and camera data come from pictures.yaml; `all` renders every picture. Needs bpy (see README.md).
"""

from __future__ import annotations

import argparse
import importlib
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

import yaml

HERE = Path(__file__).resolve().parent
PHOTOS = HERE.parent / "wandering-plover" / "photos"


def load_pictures() -> dict[str, dict[str, Any]]:
    """The picture list, by name, in the order of the file."""
    rows = yaml.safe_load((HERE / "pictures.yaml").read_text(encoding="utf-8"))["pictures"]
    return {row["name"]: row for row in rows}


def scaled(size: list[int], longest: int | None) -> tuple[int, int]:
    """The picture's size, shrunk so that its longer side is `longest`."""
    factor = longest / max(size) if longest else 1.0
    return round(size[0] * factor), round(size[1] * factor)


def make(row: dict[str, Any], out: Path, longest: int | None, samples: int, threads: int) -> Path:
    """Build one scene, render it and write the finished JPEG."""
    stage = importlib.import_module("stage")
    scenes = importlib.import_module("scenes")
    develop = importlib.import_module("develop")
    stage.clean()
    scenes.SCENES[row["name"]]()
    target = out / f"{row['name']}.jpg"
    with tempfile.TemporaryDirectory() as folder:
        raw = Path(folder) / "raw.png"
        stage.render(raw, scaled(row["size"], longest), samples, threads, row.get("exposure", 0.5))
        develop.develop(raw, target, row)
    return target


def main(argv: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description="Render the demo pictures.")
    parser.add_argument("names", nargs="+", help="picture names, or 'all'")
    parser.add_argument("--size", type=int, help="longer side in pixels (default: as in pictures.yaml)")
    parser.add_argument("--samples", type=int, default=48)
    parser.add_argument("--threads", type=int, default=2)
    parser.add_argument("--out", type=Path, default=PHOTOS)
    options = parser.parse_args(argv)
    pictures = load_pictures()
    names = list(pictures) if options.names == ["all"] else options.names
    unknown = [name for name in names if name not in pictures]
    if unknown:
        parser.error(f"no such picture: {', '.join(unknown)}")
    sys.path.insert(0, str(HERE))
    options.out.mkdir(parents=True, exist_ok=True)
    for name in names:
        began = time.monotonic()
        target = make(pictures[name], options.out, options.size, options.samples, options.threads)
        print(f"{name}: {target.stat().st_size // 1024} KiB in {time.monotonic() - began:.0f} s", flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
