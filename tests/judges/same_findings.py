"""Whether two findings files say the same, however they are laid out and whatever their parts are called.

Ids and names of pictures are the writer's own affair: each is replaced by what it stands for. Keys that hold nothing,
unanswered items and the order of lists that have none are left aside. All else has to be equal.
"""

from pathlib import Path
from typing import Any

import yaml

from lugbook.load.job import load_job
from lugbook.trail.canonical import file_digest
from lugbook.trail.plain import plain

Tree = dict[str, Any]
NEAR = 0.012
UNORDERED = ("readings", "results", "extra", "instruments", "disagree", "see", "loads", "sources")
# Where ids of defects, readings and instruments stand.
DEFECT_KEYS, READING_KEYS, INSTRUMENT_KEYS = ("see",), ("readings",), ("instrument",)


def normalised(folder: Path) -> Tree:
    """The findings of a job in the form in which two of them are compared."""
    job, problems = load_job(folder)
    assert job is not None, problems
    tree: Tree = plain(job.findings)
    for key in ("format", "last_defect"):
        tree.pop(key, None)
    names = _names(tree)
    names |= {("picture", name): file_digest(path) for name, path in job.pictures.items()}
    done = _lean(_renamed(tree, names))
    for key in ("remedy", "rates"):  # written at the desk, from the report; the page has no place for them
        done.pop(key, None)
    results = [one for one in done.get("results", []) if one.get("result")]
    for one in results:  # what was not inspected was not tested either, whether that is written or not
        if one["result"] in ("not applicable", "not inspected") and one.get("extent") == "not tested":
            del one["extent"]
    return _sorted({**done, "results": results})


def differences(one: Any, other: Any, path: str = "") -> list[str]:
    """The places at which two trees differ, with both values."""
    if isinstance(one, dict) and isinstance(other, dict):
        found = []
        for key in sorted({*one, *other}):
            found += differences(one.get(key), other.get(key), f"{path}.{key}" if path else key)
        return found
    if isinstance(one, list) and isinstance(other, list) and len(one) == len(other):
        return [
            d
            for n, (a, b) in enumerate(zip(one, other, strict=True))
            for d in differences(a, b, f"{path}[{n}]")
        ]
    if one == other or ("marks" in path and _near(one, other)):
        return []
    return [f"{path}: {str(one)[:300]!r} / {str(other)[:300]!r}"]


def _near(one: Any, other: Any) -> bool:
    """Whether two shares of a picture's width differ by no more than a finger on a small screen can help."""
    try:
        return abs(float(one) - float(other)) <= NEAR
    except (TypeError, ValueError):
        return False


def _names(tree: Tree) -> dict[tuple[str, str], str]:
    """(kind, id) -> what it stands for."""
    names: dict[tuple[str, str], str] = {}
    for reading in tree.get("readings", []):
        told = [str(reading.get(key, "")) for key in ("quantity", "value", "place", "time")]
        names["reading", reading["id"]] = " | ".join(told)
    for instrument in tree["report"].get("instruments", []):
        names["instrument", instrument["id"]] = f"{instrument['name']} {instrument.get('serial', '')}"
    defects = [d for result in tree.get("results", []) for d in result.get("defects", [])]
    for defect in [*defects, *tree.get("extra", [])]:
        names["defect", defect["id"]] = defect["title"]
    return names


def _renamed(value: Any, names: dict[tuple[str, str], str], path: tuple[str, ...] = ()) -> Any:
    key, above = (path[-1] if path else ""), (path[-2] if len(path) > 1 else "")
    if isinstance(value, dict):
        return {name: _renamed(inner, names, (*path, name)) for name, inner in value.items()}
    if isinstance(value, list):
        return [_renamed(inner, names, path) for inner in value]
    if isinstance(value, str) and path[0] != "installation":
        if key == "id" and above in ("defects", "extra"):
            return names["defect", value]
        if path in (("readings", "id"), ("report", "instruments", "id")):
            return names[above[:-1], value]
        if key in DEFECT_KEYS:
            return names["defect", value]
        if key in READING_KEYS and path[0] != "shore":
            return names["reading", value]
        if key in INSTRUMENT_KEYS:
            return names["instrument", value]
        if key == "file":
            return names["picture", value]
    return " ".join(value.split()) if isinstance(value, str) else value


def _lean(value: Any) -> Any:
    """Without what holds nothing, and without what is so anyway."""
    if isinstance(value, dict):
        kept = {key: _lean(inner) for key, inner in value.items()}
        usual = {"exposure": "usual", "heat_mark": False}
        return {k: v for k, v in kept.items() if v not in (None, [], {}, "") and usual.get(k, ...) != v}
    return [_lean(inner) for inner in value] if isinstance(value, list) else value


def _sorted(value: Any, key: str = "") -> Any:
    if isinstance(value, dict):
        return {name: _sorted(inner, name) for name, inner in value.items()}
    if isinstance(value, list):
        inner = [_sorted(one) for one in value]
        return (
            sorted(
                inner,
                key=lambda one: (
                    str(one.get("item", "")) if isinstance(one, dict) else "",
                    yaml.safe_dump(one),
                ),
            )
            if key in UNORDERED
            else inner
        )
    return value
