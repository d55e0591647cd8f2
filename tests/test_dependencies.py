"""What the program is built on: the audit note against the packages' own words, and against what a run imports."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from importlib import metadata
from pathlib import Path

import pytest
from packaging.requirements import Requirement

ROOT = Path(__file__).parents[1]
NOTE = (ROOT / "docs" / "dependencies.md").read_text(encoding="utf-8")
HEADINGS = {"Asked for by the program": 1, "Drawn in by those": 1, "Only with an extra": 2}
EXTRAS = ("signing", "heic", "cluster")


def plain(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


def table(heading: str) -> dict[str, list[str]]:
    """The rows of a table: the first cell -> the other cells."""
    section = NOTE.split(f"## {heading}\n")[1].split("\n## ")[0]
    rows = [line.strip("|").split("|") for line in section.splitlines() if line.startswith("| ")]
    return {cells[0].strip(): [cell.strip() for cell in cells[1:]] for cells in rows[1:]}


def needs(name: str, extra: str = "") -> set[str]:
    """What a package asks for on this machine, by itself or with an extra."""
    found = set()
    for text in metadata.requires(name) or []:
        one = Requirement(text)
        alone = one.marker is None or one.marker.evaluate({"extra": ""})
        if extra and alone:
            continue
        if alone or (one.marker is not None and extra and one.marker.evaluate({"extra": extra})):
            found.add(plain(one.name))
    return found


def licence(name: str) -> str:
    about = metadata.metadata(name)
    stated = about.get("License-Expression") or about.get("License") or ""
    classes = " ".join(c for c in about.get_all("Classifier") or [] if c.startswith("License"))
    return f"{stated[:200]} {classes}"


def test_the_note_names_what_the_program_asks_for() -> None:
    assert set(table("Asked for by the program")) == needs("lugbook")


def test_the_note_names_what_those_draw_in_and_by_what() -> None:
    asked, drawn = set(table("Asked for by the program")), table("Drawn in by those")
    extras = set(table("Only with an extra"))
    waiting, seen = list(asked), set(asked)
    while waiting:
        name = waiting.pop()
        # the extras that the lists of dependencies name: weasyprint asks for fonttools[woff]
        wanted = needs(name) | (needs(name, "woff") if name == "fonttools" else set())
        for other in wanted - seen:
            seen.add(other)
            waiting.append(other)
    assert seen - asked == set(drawn)
    for name, (by, _) in drawn.items():
        parents = {parent.strip() for parent in by.split(",")}
        for parent in parents - {"cryptography"}:
            assert name in needs(parent) | needs(parent, "woff"), (name, parent)
        assert parents <= seen | extras


def test_the_note_names_the_extras() -> None:
    rows = table("Only with an extra")
    for extra in EXTRAS:
        asked = needs("lugbook", extra)
        assert asked <= set(rows), extra
        for name in asked:
            assert rows[name][0] == extra


@pytest.mark.parametrize(("heading", "column"), HEADINGS.items())
def test_licences_are_those_that_the_packages_state(heading: str, column: int) -> None:
    """The package's own metadata is the source. Each licence that the note names must be named there."""
    for name, cells in table(heading).items():
        try:
            stated = licence(name).replace("-", " ").replace(" License", "").lower()
        except metadata.PackageNotFoundError:
            continue  # not on this platform
        for word in re.findall(r"MIT|BSD|Apache|MPL|PSF|LGPL", cells[column]):
            full = {"LGPL": "lesser general public", "MPL": "m", "PSF": "psf"}.get(word, word.lower())
            assert full in stated, (name, word, stated)


# A whole run: the signed issue with its PDF, its check, sizing and diagnosis.
RUN = """
import json, sys
from pathlib import Path
sys.path.insert(0, sys.argv[1])
from trail_jobs import lugbook, make_job, make_key
job = make_job(Path(sys.argv[2]) / "trial")
key, signers = make_key(Path(sys.argv[2]))
size = "--current 50A --length 2.4m --one-way --insulation 105degC --place duct --system 12V --max-fuse none"
size += " --battery-short-circuit 2.8kA --from-stud M8 --to-stud M10"
for words in (["issue", job, "--key", key], ["verify", job, "--signers", signers], ["size", *size.split()]):
    ran = lugbook(*words)
    assert ran.code == 0, (words, ran)
print(json.dumps({name: getattr(module, "__file__", None) for name, module in sys.modules.items()}))
"""


def test_nothing_else_is_imported_at_run_time(tmp_path: Path) -> None:
    ran = subprocess.run(
        [sys.executable, "-c", RUN, str(ROOT / "tests" / "trail"), str(tmp_path)],
        capture_output=True, text=True, timeout=120, check=True,
    )  # fmt: skip
    modules = json.loads(ran.stdout)
    of = metadata.packages_distributions()
    packages = {
        plain(distribution)
        for name in modules
        for distribution in of.get(name.partition(".")[0], [])
        if "site-packages" in (modules[name] or "")
    }
    known = {name for heading in HEADINGS for name in table(heading)}
    known |= set(table("Used by those only if they happen to be there"))
    assert packages - known - {"lugbook", "setuptools"} == set()
    assert {"weasyprint", "jinja2", "pydantic", "cryptography", "pillow"} <= packages
