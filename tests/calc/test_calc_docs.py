"""The docstrings are contracts: complete, run, in step with the code, and printed in docs/calculations.md."""

import ast
import doctest
import importlib
import importlib.util
import re
import sys
from pathlib import Path

import pytest
from calc_docs import SOURCE, Contract, contracts

CONTRACTS = contracts()
MODULES = sorted({name.partition(".")[0] for name in CONTRACTS})
EVERY = pytest.mark.parametrize("contract", CONTRACTS.values(), ids=CONTRACTS)
SECTIONS = ["", "Parameters", "Returns", "Raises", "Notes", "References", "Example"]


@EVERY
def test_a_contract_is_complete(contract: Contract) -> None:
    assert list(contract.sections) == SECTIONS
    assert not contract.node.args.args, "arguments are keyword-only"
    documented = re.findall(r"^(\w+) : ", contract.sections["Parameters"], flags=re.MULTILINE)
    assert documented == [argument.arg for argument in contract.node.args.kwonlyargs]
    assert contract.sections["Example"].strip().startswith(">>> ")
    assert "\n" not in contract.sections[""], "the summary is one line"
    for reference in re.split(r"^\d+\. ", contract.sections["References"], flags=re.MULTILINE)[1:]:
        assert len(reference) > 8


@EVERY
def test_numbers_have_units(contract: Contract) -> None:
    text = contract.sections["Parameters"]
    signs = ("[", "any unit", "same unit", "one unit", "unit of the", "steps of")
    for name, entry in re.findall(
        r"^(\w+) : (?:sequence of )?float.*\n((?:    .*\n?)+)", text, flags=re.MULTILINE
    ):
        assert any(sign in entry for sign in signs), name


def bodies(contract: Contract) -> list[ast.FunctionDef]:
    """A function with the private helpers of its module that it calls."""
    module = ast.parse((SOURCE / f"{contract.function.partition('.')[0]}.py").read_text(encoding="utf-8"))
    private = {
        node.name: node
        for node in module.body
        if isinstance(node, ast.FunctionDef) and node.name.startswith("_")
    }
    called = {node.func.id for node in calls(contract.node) if isinstance(node.func, ast.Name)}
    return [contract.node, *(private[name] for name in sorted(called & private.keys()))]


def calls(node: ast.AST) -> list[ast.Call]:
    return [each for each in ast.walk(node) if isinstance(each, ast.Call)]


def is_check(call: ast.Call) -> bool:
    return isinstance(call.func, ast.Attribute) and ast.unparse(call.func.value) == "_check"


def checked_by_itself(contract: Contract) -> set[str]:
    """Parameters whose range or choice the body checks by name."""
    checks = [call for body in bodies(contract) for call in calls(body) if is_check(call)]
    names = {str(call.args[0].value) for call in checks if isinstance(call.args[0], ast.Constant)}
    return {name.partition(" [")[0] for name in names}


def checked_by_others(contract: Contract) -> set[str]:
    """Parameters that it hands on under their own name to a calculation that documents a limit for them."""
    module = contract.function.partition(".")[0]
    found = set()
    for call in calls(contract.node):
        name = ast.unparse(call.func)
        other = CONTRACTS.get(name if "." in name else f"{module}.{name}")
        if other is not None:
            handed = {
                word.arg
                for word in call.keywords
                if isinstance(word.value, ast.Name) and word.value.id == word.arg
            }
            found |= handed & stated(other)
    return {name for name in found if name is not None}


def stated(contract: Contract) -> set[str]:
    return {each.parameter for each in contract.ranges} | set(contract.choices) | set(contract.empties)


@EVERY
def test_what_is_stated_is_checked_and_what_is_checked_is_stated(contract: Contract) -> None:
    itself, others = checked_by_itself(contract), checked_by_others(contract)
    assert itself <= stated(contract)
    assert others <= stated(contract)
    renamed = (
        {"ampacity"} if contract.function == "loads.permitted_next_size" else set()
    )  # also handed on as a current
    assert stated(contract) - itself - others - renamed == set()


@EVERY
def test_each_raise_is_stated(contract: Contract) -> None:
    nodes = [node for body in bodies(contract) for node in ast.walk(body)]
    raises = [node for node in nodes if isinstance(node, ast.Raise)]
    assert all(ast.unparse(node).startswith("raise ValueError(") for node in raises)
    checks = [node for node in nodes if isinstance(node, ast.Call) and is_check(node)]
    paired = [call for call in checks if ast.unparse(call.func) == "_check.paired"]
    of_members = [call for call in checks if isinstance(call.args[0], ast.JoinedStr)]
    assert len(contract.others) == len(raises) + len(paired) + len(of_members)


@pytest.mark.parametrize("name", [*MODULES, "_check", "__init__"])
def test_a_calculation_imports_nothing_of_the_program(name: str) -> None:
    tree = ast.parse((SOURCE / f"{name}.py").read_text(encoding="utf-8"))
    sources = {node.module for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    plain = {alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names}
    allowed = {"math", "typing", "dataclasses", "collections.abc", "lugbook.calc", "lugbook.calc.battery"}
    assert sources | plain <= allowed
    assert not [
        node
        for node in ast.walk(tree)
        if isinstance(node, ast.Name) and node.id in {"open", "print", "input"}
    ]


@pytest.mark.parametrize("name", MODULES)
def test_examples_run(name: str) -> None:
    module = importlib.import_module(f"lugbook.calc.{name}")
    result = doctest.testmod(module)
    functions = [key for key in CONTRACTS if key.startswith(f"{name}.")]
    assert result.failed == 0
    assert result.attempted >= len(functions)


def test_the_page_is_fresh() -> None:
    script = Path(__file__).parents[2] / "docs" / "generate_calculations.py"
    spec = importlib.util.spec_from_file_location("generate_calculations", script)
    assert spec is not None
    assert spec.loader is not None
    generator = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = generator
    spec.loader.exec_module(generator)
    page = generator.TARGET.read_text(encoding="utf-8")
    assert page == generator.render(), "run: python docs/generate_calculations.py"
    for name in CONTRACTS:
        assert f"### {name}\n" in page
