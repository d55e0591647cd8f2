"""The package as others get it: lock files, set-up script, and the built wheel away from the checkout."""

import os
import re
import shutil
import subprocess
import sys
import sysconfig
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parents[1]
RETURN = ROOT / "photos_demo" / "wandering-plover-return"
LOCKS = ["requirements.lock", "judges.lock", "fuzz.lock"]
APART = ("judges", "fuzz")


def locked(name: str) -> dict[str, str]:
    """The versions that a lock file names, by package."""
    text = (ROOT / ".ci" / name).read_text(encoding="utf-8")
    pins = re.findall(r"^([A-Za-z0-9._-]+)==([^ ;\\]+)", text, flags=re.MULTILINE)
    return {canonicalize_name(package): version for package, version in pins}


@pytest.mark.parametrize("name", LOCKS)
def test_lock_names_no_address_and_hashes_every_package(name: str) -> None:
    text = (ROOT / ".ci" / name).read_text(encoding="utf-8")
    assert "://" not in text
    assert not re.search(r"^--", text, flags=re.MULTILINE), "an option of the installer"
    entries = re.split(r"^(?=\S)", re.sub(r"^#.*\n", "", text, flags=re.MULTILINE), flags=re.MULTILINE)[1:]
    assert len(entries) == len(locked(name)) > 20
    assert [entry.split()[0] for entry in entries if "--hash=sha256:" not in entry] == []


@pytest.mark.parametrize("name", LOCKS)
def test_lock_satisfies_the_package_metadata(name: str) -> None:
    with (ROOT / "pyproject.toml").open("rb") as file:
        project = tomllib.load(file)["project"]
    extras = [e for e in project["optional-dependencies"] if e not in APART or name == f"{e}.lock"]
    wanted = [*project["dependencies"], *(r for e in extras for r in project["optional-dependencies"][e])]
    pins = locked(name)
    for requirement in map(Requirement, wanted):
        version = pins.get(canonicalize_name(requirement.name), "")
        assert version, f"{requirement} is not in {name}: make lock"
        assert requirement.specifier.contains(version), f"{requirement} against {version}: make lock"


@pytest.mark.parametrize("name", APART)
def test_the_other_locks_agree_with_the_first(name: str) -> None:
    both = locked(f"{name}.lock")
    assert {one: both.get(one) for one in locked("requirements.lock")} == locked("requirements.lock")


def test_setup_without_python_or_root_says_in_one_sentence_what_to_install(tmp_path: Path) -> None:
    tools = tmp_path / "bin"
    tools.mkdir()
    for tool in ("sh", "cat", "cksum", "dirname"):
        (tools / tool).symlink_to(shutil.which(tool) or pytest.fail(f"no {tool}"))
    (tools / "id").write_text("#!/bin/sh\necho 1000\n")
    (tools / "id").chmod(0o755)
    place = tmp_path / "project"
    (place / ".ci").mkdir(parents=True)
    for name in (".ci/setup", ".ci/debian.sh", ".ci/requirements.lock", "pyproject.toml"):
        shutil.copy(ROOT / name, place / name)
    done = subprocess.run(
        [place / ".ci" / "setup", "--tests"],
        env={"PATH": str(tools), "PYTHON": "python-that-is-not-there"},
        capture_output=True,
        text=True,
    )
    assert done.returncode == 1
    assert done.stdout == ""
    assert done.stderr.count("\n") == 1
    assert done.stderr.startswith(
        "Please install what Debian calls python3 python3-venv libpango-1.0-0 libpangoft2-1.0-0 "
        "libharfbuzz-subset0 poppler-utils "
    )
    assert not (place / ".venv").exists()


def test_wheel_renders_a_job_away_from_the_checkout(tmp_path: Path) -> None:
    def run(*command: str | Path) -> str:
        environment = {k: v for k, v in os.environ.items() if not k.startswith("PYTHON")}
        done = subprocess.run(command, cwd=elsewhere, env=environment, capture_output=True, text=True)
        assert done.returncode == 0, done.stdout + done.stderr
        return done.stdout

    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    run(sys.executable, "-m", "build", "--wheel", "--no-isolation", "-o", tmp_path / "dist", ROOT)
    (wheel,) = (tmp_path / "dist").iterdir()

    venv = tmp_path / "venv"
    python = venv / "bin" / "python"
    run(sys.executable, "-m", "venv", "--without-pip", venv)
    run(sys.executable, "-m", "pip", "--python", python, "install", "-q", "--no-deps", "--no-index", wheel)
    # Lend it the installed dependencies. A path file is not followed to further path files, so the
    # link from there to this checkout stays out; the next assertion makes sure.
    (site,) = venv.glob("lib/python*/site-packages")
    (site / "lent.pth").write_text(sysconfig.get_path("purelib") + "\n")
    origin = Path(run(python, "-c", "import lugbook; print(lugbook.__file__)").strip())
    assert origin.is_relative_to(site)
    assert str(ROOT / "inspect") not in run(python, "-c", "import sys; print(sys.path)")

    job = shutil.copytree(RETURN, tmp_path / "jobs" / "some-boat")
    run(venv / "bin" / "lugbook", "report", job, "-o", tmp_path / "out")
    made = tmp_path / "out" / "some-boat"
    assert {p.name for p in made.iterdir()} >= {"report.html", "report.pdf", "report.json"}
    assert (made / "report.pdf").read_bytes().startswith(b"%PDF-")
    assert "Lugbook Text" in (made / "report.html").read_text(encoding="utf-8")
