"""Mutation testing of lugbook.calc: change the code in a thousand small ways and see that a test notices each.

Works on a copy under build/mut, since the tool wants its own layout. Prints a line a module and the survivors with
their changes, and fails below 90 % killed. Takes some minutes; run it with `nice`. Names of modules limit it to those:
`python tests/soak/mutate_calc.py nodal _nodal_elements`. Modules of the analyses are named by their path, and are tried
by the tests of the faults: `python tests/soak/mutate_calc.py assess/evidence/fault_clearing`.
"""

import json
import os
import shutil
import subprocess
import sys
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).parents[2]
WORK = ROOT / "build" / "mut"
MUTMUT = Path(sys.executable).with_name("mutmut")
LEAST = 0.90
# The docstrings' own tests read the source, which is mutated under their eyes; they stay behind.
LEFT_BEHIND = ("test_calc_docs.py", "test_calc_rows.py")
# What the analyses of faults are tried by, less what takes long and tries nothing that the rest does not.
FAULTS = ("test_faults_rules.py", "test_faults_boats.py", "test_faults_closing.py")
SLOW = "three_hundred or numpy_is_loaded or something_missing or order_of_the_file"
SETTINGS = """
[project]
name = "lugbook"
version = "0"

[tool.mutmut]
source_paths = ["src/"]
only_mutate = [{modules}]
pytest_add_cli_args_test_selection = [{tests}]
also_copy = ["checklists/"]
# What the tests keep for one another must not outlive a change: each is tried by a process that ran none before.
process_isolation = "forkserver"

[tool.pytest.ini_options]
addopts = ["-x", "-q", "-p", "no:cacheprovider"{more}]
"""
# While the tool notes which test runs which function, no test finds done what another one did.
CONFTEST = """
import gc
import os
from functools import _lru_cache_wrapper

import pytest
from hypothesis import settings


@pytest.fixture(autouse=True)
def nothing_kept():
    if os.environ.get("MUTANT_UNDER_TEST") == "stats":
        for one in gc.get_objects():
            if isinstance(one, _lru_cache_wrapper):
                one.cache_clear()


settings.register_profile("mutation", derandomize=True, deadline=None, database=None, max_examples=25)
settings.load_profile("mutation")
"""


def prepare(modules: list[str]) -> None:
    """Lay out the copy. The modules of the solver are tested by tests of their own; the others do not import it."""
    shutil.rmtree(WORK, ignore_errors=True)
    package = WORK / "src" / "lugbook"
    if _analyses(modules):
        _copy("inspect/lugbook", package)
        _copy("tests/boats", WORK / "tests" / "boats")
        _copy("tests/assess/evidence", WORK / "tests" / "assess" / "evidence")
        _copy("checklists", WORK / "checklists")
    else:
        package.mkdir(parents=True)
        shutil.copy(ROOT / "inspect" / "lugbook" / "__init__.py", package)
        _copy("inspect/lugbook/calc", package / "calc")
        _copy("tests/calc", WORK / "tests" / "calc")
    (WORK / "tests" / "conftest.py").write_text(CONFTEST, encoding="utf-8")
    (WORK / "pyproject.toml").write_text(_settings(modules), encoding="utf-8")


def _copy(what: str, to: Path) -> None:
    shutil.copytree(ROOT / what, to, ignore=shutil.ignore_patterns("__pycache__", *LEFT_BEHIND))


def _analyses(modules: list[str]) -> bool:
    return any("/" in name for name in modules)


def _settings(modules: list[str]) -> str:
    if _analyses(modules):
        mutate = [f"src/lugbook/{name}.py" for name in modules]
        tests = [f"tests/assess/evidence/{name}" for name in FAULTS]
        more = f', "-k", "not ({SLOW})"'
    else:
        mutate = [f"src/lugbook/calc/{name}.py" for name in modules] or ["src/lugbook/calc/*"]
        solver = bool(modules) and all("nodal" in name for name in modules)
        tests = ["tests/calc/test_nodal_steps.py", "tests/calc/test_nodal.py"] if solver else ["tests/calc"]
        more = ""
    return SETTINGS.format(modules=json.dumps(mutate)[1:-1], tests=json.dumps(tests)[1:-1], more=more)


def mutmut(*arguments: str) -> str:
    """Run the tool in the copy and give back what it prints."""
    environment = os.environ | {"CALC_SOURCE": str(ROOT / "inspect" / "lugbook" / "calc")}
    done = subprocess.run(
        [MUTMUT, *arguments], cwd=WORK, env=environment, capture_output=True, text=True, check=False
    )
    if done.returncode != 0:
        sys.exit(f"mutmut {' '.join(arguments)} failed:\n{done.stdout[-3000:]}\n{done.stderr[-3000:]}")
    return done.stdout


def verdicts() -> dict[str, str]:
    """Mutant -> killed, survived, timeout, ..., as the tool lists them."""
    lines = mutmut("results", "--all", "true").splitlines()
    pairs = (line.strip().rpartition(": ") for line in lines if ": " in line)
    return {name: verdict for name, _, verdict in pairs}


def main() -> int:
    """Run, report, judge."""
    prepare(sys.argv[1:])
    mutmut("run", "--max-children", os.environ.get("MUTATE_CHILDREN", "2"))
    found = verdicts()
    caught = {"killed", "timeout"}
    survivors = sorted(name for name, verdict in found.items() if verdict not in caught)
    by_module = Counter(name.split(".")[-2] for name in found)
    alive = Counter(name.split(".")[-2] for name in survivors)
    for module, count in sorted(by_module.items()):
        print(f"{module:14} {count - alive[module]:5} of {count:5} killed")
    killed = len(found) - len(survivors)
    print(f"{'together':14} {killed:5} of {len(found):5} killed, {100 * killed / len(found):.1f} %")
    for name in survivors:
        print(f"\n{name}: {found[name]}\n{mutmut('show', name)}")
    (WORK / "summary.json").write_text(
        json.dumps({"mutants": len(found), "killed": killed, "survivors": survivors}, indent=1),
        encoding="utf-8",
    )
    return 0 if killed >= LEAST * len(found) else 1


if __name__ == "__main__":
    sys.exit(main())
