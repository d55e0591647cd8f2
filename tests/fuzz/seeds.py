"""Where the fuzzing starts: pieces of the demo jobs, the twelve boats, small pictures of every kind."""

from __future__ import annotations

from functools import lru_cache
from io import BytesIO
from pathlib import Path
from typing import Any, ClassVar

import yaml
from PIL import Image

ROOT = Path(__file__).parents[2]
DEMOS = [ROOT / "photos_demo" / "wandering-plover", ROOT / "photos_demo" / "wandering-plover-return"]
BOATS = sorted((ROOT / "tests" / "boats").glob("*.yaml"))
PICTURE = "seed.jpg"
# The lists that hold many like entries; a seed keeps a few of each so that one input takes milliseconds.
KEPT = {"results": 3, "extra": 2, "readings": 6, "nodes": 6, "conductors": 6, "shore": 1, "remedy": 2}


class Dumper(yaml.CSafeDumper):
    """Writes quantities and words as they are, without quotes and anchors."""

    yaml_implicit_resolvers: ClassVar[dict[str, Any]] = {}

    def ignore_aliases(self, data: Any) -> bool:  # noqa: ARG002 - the name is the library's
        return True


def dump(tree: Any) -> str:
    """A tree of dicts, lists and text as YAML text, in the order given."""
    text: str = yaml.dump(tree, Dumper=Dumper, sort_keys=False, allow_unicode=True, width=200)
    return text


def load(path: Path) -> Any:
    """A file as a tree whose leaves are all text."""
    return yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.CBaseLoader)


@lru_cache
def trees() -> tuple[dict[str, Any], ...]:
    """Findings, cut into jobs of a few entries, and each boat as a job without results."""
    made: list[dict[str, Any]] = []
    for demo in DEMOS:
        whole = load(demo / "findings.yaml")
        count = max(len(whole.get("results") or ()) // KEPT["results"], 1)
        for n in range(count):
            keys = [key for key in whole if key not in ("installation", "disagree", "remedy", "rates")]
            made.append({key: _alone(_part(key, whole[key], n)) for key in keys})
    head = {key: value for key, value in made[0].items() if key in ("format", "last_defect", "report")}
    for boat in BOATS:
        made.append({**head, **load(boat), "results": []})
    made.append(load(DEMOS[0] / "findings.yaml"))
    return tuple(made)


def _part(key: str, value: Any, n: int) -> Any:
    if not isinstance(value, list) or key not in KEPT:
        return value
    if key == "readings":
        value = [reading for reading in value if not {"battery", "state_id", "at"} & set(reading)]
    start = n * KEPT[key] % max(len(value), 1)
    kept = value[start : start + KEPT[key]]
    if key == "readings":  # tests of batteries need the installation; the whole demo has them
        kept = [_without_installation(one) for one in kept if "battery" not in one]
    return kept


def _without_installation(reading: Any) -> Any:
    return {k: v for k, v in reading.items() if k not in ("at", "in", "state_id", "after", "within")}


def _alone(value: Any) -> Any:
    """A piece without what points at entries that are not in it."""
    if isinstance(value, list):
        return [_alone(inner) for inner in value]
    if isinstance(value, dict):
        points = ("battery", "state_id", "in", "before")
        loose = (
            ("see", "readings", "defects", *points) if "result" not in value else ("see", "readings", *points)
        )
        if "quantity" in value or not isinstance(value.get("at"), list):  # the corners of a mark may stay
            loose = (*loose, "at")
        keep = {k: v for k, v in value.items() if k not in loose}
        return {k: _alone(v) for k, v in keep.items()}
    return value


@lru_cache
def texts() -> tuple[str, ...]:
    """YAML as people write it: the demo's files and pieces, the boats, a shipped checklist and a basis."""
    files = [
        *BOATS,
        *sorted((ROOT / "checklists").glob("*.yaml")),
        *sorted((ROOT / "checklists").glob("*/*.yaml")),
    ]
    files += [file for demo in DEMOS for file in sorted(demo.glob("*.yaml"))]
    whole = [file.read_text(encoding="utf-8") for file in files]
    return (*(text[:6000] for text in whole), *(dump(tree) for tree in trees()[:-1]))


@lru_cache
def pictures() -> tuple[bytes, ...]:
    """Small pictures of every kind that is read, some with EXIF data, one progressive, one with a palette."""
    image = Image.radial_gradient("L").resize((48, 36)).convert("RGB")
    exif = Image.Exif()
    exif[0x0112], exif[0x0132] = 6, "2026:06:02 10:11:12"
    made = []
    for kind, options in (
        ("JPEG", {"exif": exif}),
        ("JPEG", {"progressive": True, "icc_profile": b"x" * 200}),
        ("PNG", {"exif": exif}),
        ("WEBP", {"exif": exif.tobytes()}),
        ("WEBP", {"lossless": True}),
    ):
        buffer = BytesIO()
        image.save(buffer, kind, **options)
        made.append(buffer.getvalue())
    buffer = BytesIO()
    image.quantize(8).save(buffer, "PNG")
    return (*made, buffer.getvalue(), *_demo_heads())


def _demo_heads() -> list[bytes]:
    """Real pictures, made small."""
    made = []
    for path in sorted((DEMOS[0] / "photos").glob("*"))[:2]:
        with Image.open(path) as image:
            image.thumbnail((64, 64))
            buffer = BytesIO()
            image.convert("RGB").save(buffer, "JPEG", exif=image.getexif())
        made.append(buffer.getvalue())
    return made
