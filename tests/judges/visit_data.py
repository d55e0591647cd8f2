"""What is entered on the phone: the demo's visit whole, or a part of it with the photos of a phone."""

import copy
import shutil
from pathlib import Path
from typing import Any

from lugbook.compose.yaml_text import yaml_text
from lugbook.load.files import read_document

Tree = dict[str, Any]
ITEMS, PHOTOS, READINGS, CONDUCTORS = 60, 30, 12, 10
# Parts of the installation that the ten conductors do not need.
LEFT = ("circuits", "bonds", "states", "converters")


def written(folder: Path) -> Tree:
    """The findings of a job as they were written: every value is text."""
    data: Tree = read_document(folder / "findings.yaml", "findings.yaml").plain()
    return data


def part_of(whole: Tree, photos: list[str]) -> Tree:
    """Sixty items, twelve readings, ten conductors, and thirty photos shared out among defects and items."""
    tree = copy.deepcopy(whole)
    tree["readings"] = tree["readings"][:READINGS]
    tree["results"] = [one for one in tree["results"] if one.get("result")][:ITEMS]
    tree["extra"], tree["disagree"] = [], []
    for key in ("remedy", "rates"):  # written at the desk
        tree.pop(key, None)
    tree["installation"] = _installation(tree["installation"])
    readings = {reading["id"] for reading in tree["readings"]}
    defects = [defect for result in tree["results"] for defect in result.get("defects") or ()]
    ids = {defect["id"] for defect in defects}
    places = _names(tree["installation"])
    for one in [*tree["results"], *defects]:
        _keep(one, "readings", readings)
        _keep(one, "see", ids)
        one.pop("photos", None)
        if one.get("at") not in places:
            one.pop("at", None)
    holders = [*defects, *tree["results"]]
    for number, name in enumerate(photos):
        holder = holders[number % len(holders)]
        told = {"file": name, "caption": f"Photo {number + 1}", "alt": f"What photo {number + 1} shows"}
        holder.setdefault("photos", []).append(told)
    return tree


def write_job(tree: Tree, folder: Path, photos: list[Path]) -> Path:
    """The same as a job written by hand, to compare with."""
    (folder / "photos").mkdir(parents=True)
    for photo in photos:
        shutil.copyfile(photo, folder / "photos" / photo.name)
    (folder / "findings.yaml").write_text(yaml_text(tree), encoding="utf-8")
    return folder


def _keep(one: Tree, key: str, known: set[str]) -> None:
    kept = [name for name in one.get(key) or () if name in known]
    one.pop(key, None)
    if kept:
        one[key] = kept


def _installation(whole: Tree) -> Tree:
    made = {key: value for key, value in whole.items() if key not in LEFT}
    made["conductors"] = made["conductors"][:CONDUCTORS]
    ends = {c[key].split(".")[0] for c in made["conductors"] for key in ("from", "to")}
    for kind in ("nodes", "batteries", "sources", "switches", "loads"):
        made[kind] = [one for one in made.get(kind, []) if one["id"] in ends]
    made["joins"] = [
        j for j in made.get("joins", []) if {j[k].split(".")[0] for k in ("from", "to")} <= _names(made)
    ]
    return made


def _names(installation: Tree) -> set[str]:
    return {
        one["id"]
        for part in installation.values()
        if isinstance(part, list)
        for one in part
        if isinstance(one, dict)
    }
