"""The capture page as it is generated. What it does in a browser is tested in tests/judges/test_capture_page.py."""

import base64
import hashlib
import json
import re
from functools import cache
from pathlib import Path

import pytest

from lugbook.cli import main
from lugbook.compose.capture_forms import forms
from lugbook.compose.capture_words import Labels
from lugbook.data import data_folder
from lugbook.model.findings import Findings
from lugbook.model.notice import NoticeFile
from lugbook.pipeline.lists import read_lists
from lugbook.render.capture import EXPORT, LIBRARY, MODULES, NAMED, WHOLE
from lugbook.words.catalogue import load_words

FOLDER = data_folder("templates") / "capture"
# SHA-256 of umd/index.js in the npm package fflate 0.8.2, computed from the package as downloaded.
LIBRARY_SUM = "c3b34f2e9f5e74d4d7d64e01cac7a0c01954c6c406414d42185c7b53d6875ddf"
# What a page of a phone may weigh: common practice, no source.
HEAVIEST = 600_000


@cache
def made() -> tuple[str, str]:
    """The page and its worker for the longest list that ships."""
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        assert main(["-q", "capture", "pre-purchase", "-o", folder]) == 0
        return tuple((Path(folder) / name).read_text(encoding="utf-8") for name in ("index.html", "sw.js"))  # type: ignore[return-value]


def data() -> dict[str, object]:
    found = re.search(r'<script type="application/json" id="data">(.*?)</script>', made()[0], re.DOTALL)
    assert found
    return json.loads(found[1])  # type: ignore[no-any-return]


def script(name: str) -> str:
    return (FOLDER / f"{name}.js").read_text(encoding="utf-8")


def test_same_lists_same_bytes(tmp_path: Path) -> None:
    assert main(["-q", "capture", "pre-purchase", "-o", str(tmp_path)]) == 0
    assert (tmp_path / "index.html").read_text(encoding="utf-8") == made()[0]
    assert sorted(path.name for path in tmp_path.iterdir()) == ["index.html", "sw.js"]


def test_an_unknown_list_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["capture", "pre-purchas", "-o", str(tmp_path / "x")]) == 2
    assert "did you mean 'pre-purchase'?" in capsys.readouterr().err
    assert not (tmp_path / "x").exists()


def test_every_item_is_in_the_page() -> None:
    groups = data()["groups"]
    assert isinstance(groups, list)
    items = {item["id"]: item["question"] for group in groups for item in group["items"]}
    assert items == {item.id: item.question for item in read_lists(("pre-purchase",)).items}


def test_the_page_names_nothing_outside_itself() -> None:
    page = made()[0]
    shell = re.sub(r"<script[^>]*>.*?</script>|<style>.*?</style>", "", page, flags=re.DOTALL)
    assert not re.findall(r'(?:src|href|action)="(?!#)[^"]*"', shell)
    assert not re.findall(
        r"@import|url\(\"?(?!data:|\"?data:)", re.search(r"<style>(.*?)</style>", page, re.DOTALL)[1]
    )  # type: ignore[index]
    ours = "".join(script(name) for name in MODULES)
    assert set(re.findall(r"https?://[^\s\"'`)]+", ours)) == {"http://www.w3.org/2000/svg"}
    assert not re.search(
        r"\b(?:fetch|XMLHttpRequest|WebSocket|EventSource|sendBeacon|eval)\b|new Function|innerHTML", ours
    )


def test_only_these_scripts_and_styles_may_run() -> None:
    page = made()[0]
    policy = re.search(r'Content-Security-Policy" content="([^"]*)"', page)
    assert policy
    rules = {part.split()[0]: part.split()[1:] for part in policy[1].split("; ")}

    def sums(pattern: str) -> list[str]:
        texts = re.findall(pattern, page, re.DOTALL)
        return [
            f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'" for text in texts
        ]

    assert rules["default-src"] == rules["base-uri"] == rules["form-action"] == ["'none'"]
    assert rules["script-src"] == sums(r"<script(?: type=\"module\")?>(.*?)</script>")
    assert rules["style-src"] == sums(r"<style>(.*?)</style>")
    assert "connect-src" not in rules, "default-src forbids every connection"


def test_weight() -> None:
    assert len(made()[0].encode()) < HEAVIEST


def test_a_new_page_makes_a_new_worker() -> None:
    page, worker = made()
    assert f"lugbook-capture-{hashlib.sha256(page.encode()).hexdigest()[:16]}" in worker
    assert "@@" not in worker


def test_library_is_unchanged_and_its_licence_is_in_the_page() -> None:
    library = (FOLDER / LIBRARY).read_bytes()
    assert hashlib.sha256(library).hexdigest() == LIBRARY_SUM
    assert LIBRARY_SUM in (FOLDER / "vendor" / "README.md").read_text(encoding="utf-8")
    assert "Permission is hereby granted" in str(data()["licences"])
    assert "SIL OPEN FONT LICENSE" in str(data()["licences"])


def test_every_field_and_choice_has_a_word() -> None:
    labels = Labels(load_words())
    forms(Findings, labels)
    forms(NoticeFile, labels)
    assert not labels.missing, "add these to words/en.yaml"


# Keys of words that a script puts together: what stands before the part that varies.
WORD = re.compile(r"""\bw\((?:"([^"]+)"|`([^`$]+)\$)""")
COUNTED = re.compile(r"""\bcount\("([^"]+)\"""")


def test_every_word_that_a_script_asks_for_is_in_the_page() -> None:
    words = data()["words"]
    assert isinstance(words, dict)
    missing = []
    for name in MODULES:
        for whole, start in WORD.findall(script(name)):
            known = whole in words if whole else any(key.startswith(start) for key in words)
            missing += [] if known else [f"{name}: {whole or start}"]
        missing += [f"{name}: {key}" for key in COUNTED.findall(script(name)) if f"{key}.other" not in words]
    assert not missing


def test_no_word_lies_unused() -> None:
    texts = "".join(script(name) for name in MODULES) + (FOLDER / "capture.html.j2").read_text(
        encoding="utf-8"
    )
    words = [key for key in load_words().keys() if key.startswith("capture.ui.")]  # noqa: SIM118
    built = (
        "capture.ui.tab.",
        "capture.ui.part.",
        "capture.ui.extent.",
        "capture.ui.theme_",
        "capture.ui.lacks.",
    )
    plain = {key.removesuffix(".one").removesuffix(".other") for key in words if not key.startswith(built)}
    unused = [
        key
        for key in plain
        if key not in texts and key not in ("capture.ui.title", "capture.ui.before", "capture.ui.next")
    ]
    assert not unused


def test_modules_stand_in_the_order_in_which_they_need_each_other() -> None:
    exports = {name: {found[1] for found in EXPORT.findall(script(name))} for name in MODULES}
    assert sorted(MODULES) == sorted(path.stem for path in FOLDER.glob("*.js") if path.stem != "sw")
    for n, name in enumerate(MODULES):
        for names, target in NAMED.findall(script(name)):
            assert target in MODULES[:n], f"{name} needs {target}, which comes later"
            wanted = {one.split(" as ")[0].strip() for one in names.split(",")}
            assert wanted <= exports[target], f"{name} takes what {target} does not give"
        for alias, target in WHOLE.findall(script(name)):
            used = set(re.findall(rf"(?<![\w.$/]){alias}\.(\w+)", script(name)))
            assert used <= exports[target], f"{name}: {used - exports[target]}"
        assert script(name).count("\nimport ") + script(name).startswith("import ") == len(
            NAMED.findall(script(name))
        ) + len(WHOLE.findall(script(name)))


def test_the_page_judges_by_the_program_s_own_table() -> None:
    from lugbook.assess.risk import risk_level

    known = data()
    matrix, severities = known["matrix"], known["severities"]
    assert isinstance(matrix, dict)
    assert isinstance(severities, list)
    for probability, row in matrix.items():
        assert row == [risk_level(severity, probability) for severity in severities]


def test_the_page_speaks_german_throughout(tmp_path: Path) -> None:
    assert main(["-q", "capture", "shore-power", "--language", "de", "-o", str(tmp_path)]) == 0
    page = (tmp_path / "index.html").read_text(encoding="utf-8")
    assert '<html lang="de">' in page
    found = re.search(r'<script type="application/json" id="data">(.*?)</script>', page, re.DOTALL)
    assert found
    german, english = json.loads(found[1])["words"], data()["words"]
    assert isinstance(english, dict)
    assert set(german) == set(english)
    same = {key for key in german if german[key] == english[key] and key.startswith("capture.ui.")}
    # 'Export' is the same word, and these hold no words at all
    assert same <= {"capture.ui.export", "capture.ui.tab.export", "capture.ui.exported"}


def test_an_unknown_language_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["capture", "--language", "xx", "-o", str(tmp_path / "x")]) == 1
    assert "P660" in capsys.readouterr().err
    assert not (tmp_path / "x").exists()
