"""Findings that are broken, wicked or merely unlucky: each gives Problems, quickly, and nothing else."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from hostile import OWN_LIST, PICTURE, Elements, hostile_findings, hostile_job
from pydantic import BaseModel

from lugbook.load import files
from lugbook.load.job import load_job
from lugbook.model.problem import Problem
from lugbook.pipeline.checking import check_job
from lugbook.pipeline.reporting import make_report
from lugbook.progress import Progress

HEAD = "format: lugbook-findings-1\nreport:\n  number: R1\n  checklists: [own-list.yaml]\n"


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """A job folder with a list and one picture, inside a folder of its own."""
    folder = tmp_path / "visits" / "job"
    (folder / "photos").mkdir(parents=True)
    (folder / "photos" / "strap.png").write_bytes(PICTURE)
    (folder / "own-list.yaml").write_text(OWN_LIST, encoding="utf-8")
    return folder


def errors(job: Path, findings: str | bytes) -> list[Problem]:
    """What is wrong with a findings text."""
    data = findings.encode() if isinstance(findings, str) else findings
    (job / "findings.yaml").write_bytes(data)
    checked = check_job(job, Progress(quiet=True))
    assert (checked.job is None) == any(p.severity == "error" for p in checked.problems)
    return [problem for problem in checked.problems if problem.severity == "error"]


def codes(job: Path, findings: str | bytes) -> list[str]:
    return [problem.code for problem in errors(job, findings)]


def photo(name: str) -> str:
    """Findings that use one picture; the name stands in double quotes."""
    return (
        HEAD + "results:\n  - item: battery-held\n    result: no departure seen\n    extent: whole\n"
        f"    photos: [{{file: {json.dumps(name, ensure_ascii=False)}, caption: Strap, alt: A strap}}]\n"
    )


# --- the grammar of YAML -------------------------------------------------------------------------------------------

BOMB = "a: &a [x,x,x,x,x,x,x,x,x]\n" + "".join(
    f"{n}: &{n} [*{m},*{m},*{m},*{m},*{m},*{m},*{m},*{m},*{m}]\n"
    for m, n in zip("abcdefgh", "bcdefghi", strict=True)
)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        pytest.param(BOMB, "P005", id="alias bomb"),
        pytest.param(HEAD + "extra: &x []\n", "P005", id="anchor alone"),
        pytest.param(HEAD + "extra: *x\n", "P005", id="alias to nothing"),
        pytest.param("&x format: lugbook-findings-1\n", "P005", id="anchor on a key"),
        pytest.param("*x : 1\n", "P005", id="alias as a key"),
        pytest.param("&x\na: *x\n", "P005", id="alias to itself"),
        pytest.param(HEAD + "<<: {extra: []}\n", "P005", id="merge key"),
        pytest.param(HEAD + "<<: [{extra: []}]\n", "P005", id="merge key with a list"),
        pytest.param(HEAD + '"<<": {}\n', "P101", id="merge key in quotes is a key"),
        pytest.param("1: a\n", "P101", id="number as a key"),
        pytest.param(HEAD + "yes: no\n", "P101", id="truth value as a key"),
        pytest.param(HEAD + "~: 1\n", "P101", id="nothing as a key"),
        pytest.param(HEAD + ": 1\n", "P003", id="empty key"),
        pytest.param(HEAD + "? [a, b]\n: 1\n", "P104", id="list as a key"),
        pytest.param(HEAD + "? {a: b}\n: 1\n", "P104", id="group as a key"),
        pytest.param("- a\n- b\n", "P104", id="a list as the file"),
        pytest.param("just text\n", "P104", id="a text as the file"),
        pytest.param(HEAD + "---\n" + HEAD, "P004", id="two documents"),
        pytest.param("", "P004", id="empty file"),
        pytest.param("%YAML 1.1\n%TAG ! tag:evil,2000:\n---\na: !x 1\n", "P006", id="tag directive"),
        pytest.param(HEAD + "last_defect: " + "9" * 10, "P121", id="enormous count"),
        pytest.param(HEAD + "last_defect: 1e999999999\n", "P112", id="enormous exponent"),
        pytest.param(HEAD + "last_defect: 0" + "7" * 40_000, "P111", id="enormous octal"),
        pytest.param(HEAD + "extra: " + "x" * 50_001, "P008", id="huge scalar"),
        pytest.param(HEAD + "x" * 2_000 + ": 1\n", "P003", id="huge key"),
        pytest.param('? "' + "x" * 50_001 + '"\n: 1\n', "P008", id="huge explicit key"),
    ],
)
def test_grammar(job: Path, text: str, code: str) -> None:
    assert code in codes(job, text)


@pytest.mark.parametrize(
    "tag",
    [
        "!!python/object/apply:os.system",
        "!!python/object/new:subprocess.Popen",
        "!!python/name:os.system",
        "!!python/module:os",
        "!!binary",
        "!!set",
        "!!omap",
        "!!timestamp",
        "!!str",
        "!!float",
        "!foo",
        "!",
        "!<tag:yaml.org,2002:python/object/apply:os.system>",
        "!<!local>",
        "!%E2%80%AE",
    ],
)
@pytest.mark.parametrize("value", ["x", "[touch out]", "{a: b}", "'x'"])
def test_no_tag_is_acted_upon(job: Path, tag: str, value: str) -> None:
    assert codes(job, HEAD + f"extra: {tag} {value}\n") == ["P006"]
    assert codes(job, f"{tag} format: 1\n") in (["P006"], ["P003"])
    assert not list(job.glob("out"))


def test_every_double_is_reported_at_once(job: Path) -> None:
    text = (
        HEAD + "  number: R2\nresults:\n  - {item: battery-held, item: battery-held, result: , "
        "photos: [{file: strap.png, caption: a, caption: b, alt: c}]}\nresults: []\n"
    )
    assert codes(job, text).count("P103") == 4


DEEP = {
    "flow lists": "x: " + "[" * 1_000_000,
    "closed flow lists": "x: " + "[" * 500_000 + "]" * 500_000,
    "flow groups": "x: " + "{a: " * 700_000,
    "block lists": "x:\n" + "- " * 1_500_000,
    "block groups": "".join(" " * n + "a:\n" for n in range(2_000)),
    "explicit keys": "? " * 1_000_000,
    "many values": "extra: [" + "x," * 1_500_000 + "]\n",
    "many keys": "".join(f"key{n}: 1\n" for n in range(200_000)),
    "one key often": "a: 1\n" * 500_000,
    "many unknown words": "results:\n" + "  - {item: a, result: ok}\n" * 120_000,
    "many unknown readings": "results:\n  - {item: a, result: , readings: ["
    + ",".join(f"r-{n}" for n in range(50_000))
    + "]}\nreadings:\n"
    + "".join(f"  - {{id: q-{n}, quantity: time, value: 1 s, place: x}}\n" for n in range(9_000)),
    "many pictures": "results:\n  - {item: a, result: , photos: ["
    + ",".join(f"{{file: f{n}.jpg, caption: c, alt: a}}" for n in range(15_000))
    + "]}\n",
    "long text": "x: " + "a" * 3_900_000,
    "long quoted text": 'x: "' + "\\x41" * 900_000 + '"\n',
    "long comment": "#" * 3_900_000,
    "empty lines": "\n" * 3_900_000,
    "spaces": " " * 3_900_000,
    "anchors": "x: [" + "&a b," * 600_000,
    "colons": ":" * 3_000_000,
    "dashes": "-" * 3_000_000,
    "quotes": "'" * 3_000_001,
    "questions": "?\n" * 1_500_000,
}
RUNNER = """
import resource, sys, time
from pathlib import Path
from lugbook.pipeline.checking import check_job
from lugbook.progress import Progress
job = Path("job")
for path in sorted(Path("texts").iterdir()):
    path.rename(job / "findings.yaml")
    begin = time.process_time()
    problems = check_job(job, Progress(quiet=True)).problems
    worst = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    print(path.name, f"{time.process_time() - begin:.1f}", worst, len(problems), sep="\\t")
"""


def test_time_and_memory_are_bounded(job: Path) -> None:
    """No text takes more than 5 s of processor time or 512 MB, and none gives more problems than anyone reads."""
    texts = job.parent / "texts"
    texts.mkdir()
    for name, text in DEEP.items():
        (texts / name).write_text((HEAD + text)[: files.MAX_BYTES], encoding="utf-8")
    ran = subprocess.run(
        [sys.executable, "-c", RUNNER],
        cwd=texts.parent,
        capture_output=True,
        text=True,
        timeout=240,
        check=True,
    )
    rows = [line.split("\t") for line in ran.stdout.splitlines()]
    assert sorted(row[0] for row in rows) == sorted(DEEP)
    for name, seconds, memory, problems in rows:
        assert float(seconds) < 5, name
        assert int(memory) < 512, name
        assert int(problems) < 1_100, name


@pytest.mark.parametrize("name", ["business.yaml", "own-list.yaml", "rates.yaml", "words/de.yaml"])
def test_very_many_faults_in_a_file_beside_the_findings_are_told(job: Path, name: str) -> None:
    """They were lost, and the job refused without a word; in a letterhead they ended the program."""
    (job / "words").mkdir()
    (job / name).write_text("".join(f"key{n}: 1\n" for n in range(3_000)), encoding="utf-8")
    more = "  language: de\n" + ("rates: rates.yaml\n" if name == "rates.yaml" else "")
    found = errors(job, HEAD + more)
    assert {problem.file for problem in found} == {name}
    assert len(found) > 1_000
    assert found[0].code == "P008" or found[-1].code == "P008"


# --- characters ----------------------------------------------------------------------------------------------------

CONTROLS = [*range(0x09), 0x0B, 0x0C, *range(0x0E, 0x20), *range(0x7F, 0xA0)]
DIRECTIONS = [0x061C, 0x200E, 0x200F, *range(0x202A, 0x202F), *range(0x2066, 0x206A)]
SHAPELESS = [0x180E, 0x200B, 0x2028, 0x2029, 0x2060, 0x2063, 0xFEFF, 0xFFF9, 0xFFFE, 0xFFFF, 0xE0001, 0xE0041]


@pytest.mark.parametrize("number", [*CONTROLS, *DIRECTIONS, *SHAPELESS], ids="{:04X}".format)
def test_hidden_characters_raw_and_escaped(job: Path, number: int) -> None:
    escaped = f"\\U{number:08X}"
    shown = f"U+{number:04X}"
    for text in (f'"a{chr(number)}b"', f"a{chr(number)}b", f'"a{escaped}b"'):
        for place in (HEAD.replace("R1", text), HEAD + f"{text}: 1\n"):
            if escaped not in text or text.startswith('"'):
                (problem,) = errors(job, place)
                assert problem.code == "P009"
                assert shown in problem.message


def test_the_place_of_a_hidden_character(job: Path) -> None:
    (problem,) = errors(job, "\ufeff" + HEAD.replace("R1", "R\u202e1").replace("\n", "\r\n"))
    assert (problem.line, problem.column) == (3, 12)


def test_harmless_escapes_are_read(job: Path) -> None:
    assert errors(job, HEAD.replace("R1", '"R \\"1\\" \\u00e9 \\\\ \\xB5"')) == []


@pytest.mark.parametrize("escape", ["\\ud800", "\\udfff", "\\U00110000", "\\xZZ", "\\u12"])
def test_escapes_that_make_no_character(job: Path, escape: str) -> None:
    assert codes(job, HEAD.replace("R1", f'"a{escape}b"')) == ["P003"]


def test_byte_order_mark_is_no_fault(job: Path) -> None:
    assert errors(job, b"\xef\xbb\xbf" + HEAD.encode()) == []


@pytest.mark.parametrize("coding", ["utf-16", "utf-16-le", "utf-16-be", "utf-32"])
def test_other_codings_are_refused(job: Path, coding: str) -> None:
    assert set(codes(job, HEAD.encode(coding))) <= {"P002", "P009"}


@pytest.mark.parametrize(
    "data", [b"caf\xe9", b"\xff", b"\xc0\xaf", b"\xed\xa0\x80", b"\xf5\x80\x80\x80", b"\xe2\x82"]
)
def test_bytes_that_are_no_utf_8(job: Path, data: bytes) -> None:
    (problem,) = errors(job, HEAD.encode() + b"extra: " + data + b"\n")
    assert (problem.code, problem.line) == ("P002", 5)


# --- files ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["findings.yaml", "own-list.yaml", "business.yaml"])
@pytest.mark.parametrize("what", ["folder", "pipe", "device", "dead link", "link loop", "too large"])
def test_what_is_no_file_to_read(job: Path, name: str, what: str) -> None:
    (job / "findings.yaml").write_text(HEAD, encoding="utf-8")
    path = job / name
    path.unlink(missing_ok=True)
    if what == "folder":
        path.mkdir()
    elif what == "pipe":
        os.mkfifo(path)
    elif what == "device":
        path.symlink_to("/dev/zero")
    elif what == "dead link":
        path.symlink_to("nowhere.yaml")
    elif what == "link loop":
        path.symlink_to(name)
    else:
        path.write_bytes(b"#" * 5_000_000)
    loaded, problems = load_job(job)
    assert loaded is None
    found = {problem.code for problem in problems if problem.severity == "error"}
    assert found <= {"P001", "P008", "P302"}
    assert found


def test_a_file_that_may_not_be_read(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The superuser may read everything, so the refusal is played."""
    (job / "findings.yaml").write_text(HEAD, encoding="utf-8")

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    _, (problem,) = load_job(job)
    assert (problem.code, problem.message) == ("P001", "the file cannot be read: Permission denied")


OUTSIDE = ["../strap.png", "a/../../strap.png", "/etc/passwd", "~/strap.png", "~root/x.png", "C:\\strap.png",
           "C:strap.png", "\\\\server\\share\\x.png", "..\\strap.png", "//server/x.png", "./../x.png"]  # fmt: skip
REMOTE = ["http://example.org/x.png", "https://example.org/x.png", "file:///etc/passwd", "ftp://example.org/x.png",
          "data:image/png;base64,AAAA", "FILE:/etc/passwd", "javascript:alert(1)"]  # fmt: skip


@pytest.mark.parametrize("name", [*OUTSIDE, *REMOTE])
def test_names_that_lead_out_of_the_job(job: Path, name: str) -> None:
    quoted = json.dumps(name)
    (job.parent / "strap.png").write_bytes(PICTURE)
    assert codes(job, photo(name)) == ["P302"]
    assert codes(job, HEAD + f"  signature: {{image: {quoted}}}\n") == ["P302"]
    listed = codes(job, HEAD.replace("own-list.yaml", json.dumps(name.replace(".png", "") + ".yaml")))
    assert listed == ["P302"]
    business = f"format: lugbook-business-1\nname: B\nlogo: {quoted}\nlogo_alt: A logo\n"
    (job / "business.yaml").write_text(business, encoding="utf-8")
    assert codes(job, HEAD) == ["P302"]


@pytest.mark.parametrize("name", ["x" * 200, "\U0001f6a4" * 199, ".", "./.", "nothing/", "strap.png/x"])
def test_names_that_are_no_pictures(job: Path, name: str) -> None:
    assert set(codes(job, photo(name))) <= {"P301", "P302", "P303"}
    assert codes(job, photo(name))


def test_a_link_that_leads_out(job: Path) -> None:
    (job.parent / "secret.png").write_bytes(PICTURE)
    (job / "photos" / "link.png").symlink_to("../../secret.png")
    (job / "photos" / "chain.png").symlink_to("link.png")
    (job / "photos" / "inner.png").symlink_to("strap.png")
    assert codes(job, photo("link.png")) == ["P302"]
    assert codes(job, photo("chain.png")) == ["P302"]
    assert codes(job, photo("inner.png")) == []
    (job / "own-list.yaml").unlink()
    (job.parent / "list.yaml").write_text(OWN_LIST, encoding="utf-8")
    (job / "own-list.yaml").symlink_to("../list.yaml")
    assert codes(job, HEAD) == ["P302"]


def test_links_that_lead_out_are_not_even_listed(job: Path) -> None:
    (job.parent / "secret.png").write_bytes(PICTURE)
    (job / "photos" / "link.png").symlink_to("../../secret.png")
    (job / "findings.yaml").write_text(HEAD, encoding="utf-8")
    loaded, problems = load_job(job)
    assert loaded is not None
    assert [path.name for path in loaded.unused] == ["strap.png"]
    assert "link.png" not in str(problems)


def test_the_folder_of_photos_may_not_be_a_link_out(job: Path) -> None:
    (job / "photos").rename(job.parent / "elsewhere")
    (job / "photos").symlink_to("../elsewhere")
    assert codes(job, photo("strap.png")) == ["P302"]


def test_link_loops(job: Path) -> None:
    (job / "photos" / "a.png").symlink_to("b.png")
    (job / "photos" / "b.png").symlink_to("a.png")
    (job / "photos" / "deeper").symlink_to(".")
    assert codes(job, photo("a.png")) == ["P302"]
    assert codes(job, photo("deeper/deeper/strap.png")) == []


COMPOSED, DECOMPOSED = "K\u00fcche.png", "Ku\u0308che.png"


@pytest.mark.parametrize("written", [COMPOSED, DECOMPOSED])
@pytest.mark.parametrize("stored", [COMPOSED, DECOMPOSED])
def test_accents_are_found_however_the_disk_codes_them(job: Path, written: str, stored: str) -> None:
    (job / "photos" / "strap.png").rename(job / "photos" / stored)
    (job / "findings.yaml").write_text(photo(written), encoding="utf-8")
    loaded, _ = load_job(job)
    assert loaded is not None
    assert loaded.pictures == {written: job / "photos" / stored}
    assert loaded.unused == ()


@pytest.mark.parametrize("written", [COMPOSED, DECOMPOSED])
def test_two_names_that_look_the_same_are_refused(job: Path, written: str) -> None:
    for name in (COMPOSED, DECOMPOSED):
        (job / "photos" / name).write_bytes(PICTURE)
    assert codes(job, photo(written)) == ["P308"]


# --- words that YAML readers disagree about ------------------------------------------------------------------------

TRAPS = ["no", "No", "NO", "yes", "on", "off", "y", "n", "true", "False", "null", "Null", "~", "010", "0777", "089",
         "1e3", "1E-3", "1.5e+3", "1:30", "190:20:30", "0x10", "0o17", "0b11", "1_000", ".inf", "-.inf", ".nan", "+010"]  # fmt: skip
CRAFT = "  craft: {{{}: {}}}\n"
# Every kind of scalar, and what of the traps it reads rightly.
FIELDS = {
    "line": (HEAD + CRAFT.format("name", "@"), ()),
    "text": (HEAD + "  scope: @\n", ()),
    "count": (HEAD + CRAFT.format("built", "@"), ()),
    "quantity": (HEAD + CRAFT.format("length", "@"), ()),
    "quantity with unit": (HEAD + CRAFT.format("length", "@ m"), ("010", "0777", "089", "+010")),
    "yes or no": (HEAD + "  craft: {fitted: {solar: @}}\n", ("no", "No", "NO", "yes", "true", "False")),
    "day": (HEAD + "  date: @\n", ()),
    "clock": (HEAD + "  visit: {start: @}\n", ()),
    "word": (HEAD + "  visit: {afloat: @}\n", ()),
    "result": (HEAD + "results: [{item: battery-held, result: @}]\n", ()),
    "extent": (HEAD + "results: [{item: battery-held, result: , extent: @}]\n", ()),
    "id": (HEAD + "results: [{item: @, result: }]\n", ()),
    "defect id": (
        HEAD + "results: [{item: battery-held, result: defect, extent: whole, defects: [{id: @, title: t, place: p, seen: s}]}]\n",
        (),
    ),
    "fraction": (
        photo("strap.png").replace("alt: A strap", "alt: A strap, marks: [{mark: ring, at: [0.5, 0.5], size: @}]"),
        (),
    ),
    "line in a list": (HEAD + "  basis: [@]\n", ()),
    "checklist": (HEAD.replace("own-list.yaml", "@"), ()),
    "format": (HEAD.replace("lugbook-findings-1", "@"), ()),
}  # fmt: skip


@pytest.mark.parametrize("trap", TRAPS)
@pytest.mark.parametrize("field", FIELDS)
def test_traps(job: Path, field: str, trap: str) -> None:
    text, read = FIELDS[field]
    found = errors(job, text.replace("@", trap))
    if trap in read:
        assert found == []
    else:
        assert found
        assert all(problem.code.startswith("P1") for problem in found)
        assert any(trap in problem.message for problem in found)


@pytest.mark.parametrize("trap", TRAPS)
def test_in_quotes_all_of_them_are_text(job: Path, trap: str) -> None:
    assert errors(job, FIELDS["line"][0].replace("@", f'"{trap}"')) == []
    assert errors(job, FIELDS["text"][0].replace("@", f"|-\n    {trap}")) == []


@pytest.mark.parametrize("number", ["\u0663", "\uff11\uff12", "\u0967"])
@pytest.mark.parametrize("field", ["count", "quantity with unit", "day", "clock", "fraction"])
def test_digits_of_other_scripts_are_no_numbers(job: Path, field: str, number: str) -> None:
    assert codes(job, FIELDS[field][0].replace("@", number))


# --- text that would like to be more than text ---------------------------------------------------------------------


def unset(value: object, path: str = "") -> Iterator[str]:
    """The fields below a model that hold nothing."""
    if isinstance(value, BaseModel):
        for name in type(value).model_fields:
            inner = getattr(value, name)
            if inner is None or inner == ():
                yield f"{path}.{name}"
            yield from unset(inner, f"{path}.{name}")
    elif isinstance(value, tuple):
        for inner in value:
            yield from unset(inner, path)


def test_the_hostile_findings_fill_every_text(job: Path) -> None:
    (job / "findings.yaml").write_text(hostile_findings(), encoding="utf-8")
    loaded, problems = load_job(job)
    assert loaded is not None, problems
    filled_somewhere = {
        ".disagree",
        ".results.photos.marks",
        ".results.defects.carried.history",
        ".results.defects.carried.photos",
        ".results.defects.carried.decided",
        ".results.defects",
        ".results.reason",
        ".results.extent",
        ".readings.before",
        ".readings.limit",
    }
    left = {path for path in unset(loaded.findings) if ".marks." not in path}
    no_text = (
        ".marks",
        ".to",
        ".size",
        ".points",
        ".text",
        ".at",
        ".installation",
        ".cover",
        ".now",
        ".carried",
        ".see",
        ".revision",
        ".battery",
        ".test",
        ".stage",
        ".rest",
        ".temperature",
        ".current",
        ".maker",
        ".rated",
        ".times",
        ".tripped",
        ".correct",
        ".test_voltage",
        ".bonds",
        ".shore.readings.value",
        ".after",
        ".in_",
        ".within",
        ".state_id",
        ".rates",
        ".written_in",
        ".language",
        ".readings.limit.at_most",
        ".readings.limit.at_least",
        ".remedy.add",
        ".remedy.change",
        ".remedy.remove",
        ".remedy.renew",
        ".remedy.no_maker_limit",
    )
    left -= {
        path
        for path in left
        if path.endswith(no_text) or path.startswith((".remedy.add.", ".remedy.change."))
    }
    assert left <= filled_somewhere | {f".results.{key}" for key in ("note", "told", "readings", "photos")}


@pytest.fixture
def elements(job: Path, tmp_path: Path) -> Elements:
    hostile_job(job)
    progress = Progress(quiet=True)
    checked = check_job(job, progress)
    make_report(checked, tmp_path / "out", progress, pdf=False, paper="a4")
    parser = Elements()
    parser.feed((tmp_path / "out" / "report.html").read_text(encoding="utf-8"))
    return parser


def test_no_element_comes_from_text(elements: Elements) -> None:
    found = {tag for tag, _ in elements.found}
    assert not found & {"script", "xq", "xi", "iframe", "object", "embed", "form", "input", "link", "base"}
    assert all("ZQC" not in comment for comment in elements.comments)
    for tag, attributes in elements.found:
        assert not any(name.startswith("on") for name in attributes), tag
        assert (attributes.get("src") or "data:image/").startswith("data:image/"), tag
        assert (attributes.get("href") or "#").startswith(("#", "http://", "https://", "mailto:")), tag
        assert attributes.get("role") != "heading"


def test_no_heading_comes_from_text(elements: Elements) -> None:
    assert "ZQL" in elements.headings  # a title is set in a heading, as text
    assert "ZQH" in elements.text
    assert "ZQH" not in elements.headings


def test_templates_in_text_stay_text(elements: Elements) -> None:
    for literal in (
        "{{ 7777*7777 }}",
        "{% x %}",
        "<script>x</script>",
        "&lt;xi&gt;",
        "</style>",
    ):
        assert literal in elements.text
    assert "60481729" not in elements.text
