"""The manners of the command line: exit codes, silence, help, colours, interruption, and what is left behind."""

from __future__ import annotations

import contextlib
import io
import json
import os
import re
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from big_job import make
from test_cases import CASES, set_up

from lugbook import __version__, cli
from lugbook.cli import COMMANDS, main
from lugbook.errors import OutputError
from lugbook.load.ids import with_ids
from lugbook.load.tree import parse
from lugbook.pipeline.lists import shipped_lists

Printed = pytest.CaptureFixture[str]
HEAVY = (
    "pydantic",
    "numpy",
    "PIL",
    "weasyprint",
    "jinja2",
    "yaml",
    "babel",
    "tqdm",
    "cryptography",
    "markdown_it",
)


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty working folder."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def job(here: Path) -> Path:
    """A small job without errors or warnings, with one picture."""
    return set_up(CASES / "P301-missing-picture" / "ok", here)


# --- exit codes ----------------------------------------------------------------------------------------------------


@pytest.mark.usefixtures("job")
def test_0_when_all_is_well(capsys: Printed) -> None:
    assert main(["check", "job"]) == 0
    assert capsys.readouterr().out == "job: 1 note\n"


def test_1_for_problems_in_the_input(job: Path, capsys: Printed) -> None:
    (job / "photos" / "strap.png").unlink()
    assert main(["check", "job"]) == 1
    assert main(["report", "job"]) == 1
    assert "nothing was written" in capsys.readouterr().err


def test_strict_makes_warnings_errors(job: Path) -> None:
    shutil.copy(job / "photos" / "strap.png", job / "photos" / "more.png")
    assert main(["check", "job", "--quiet"]) == 0
    assert main(["check", "job", "--quiet", "--strict"]) == 1


@pytest.mark.parametrize(
    "words", [[], ["check"], ["check", "job", "--nonsense"], ["check", "a", "b"], ["--nonsense"]]
)
@pytest.mark.usefixtures("here")
def test_2_for_wrong_use(words: list[str], capsys: Printed) -> None:
    assert main(words) == 2
    assert "usage: lugbook" in capsys.readouterr().err


@pytest.mark.usefixtures("job")
def test_3_for_a_fault_of_the_program(monkeypatch: pytest.MonkeyPatch, capsys: Printed) -> None:
    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError("on purpose")

    monkeypatch.setattr("lugbook.commands.check.check_job", broken)
    assert main(["check", "job"]) == 3
    err = capsys.readouterr().err
    assert "unexpected: ZeroDivisionError: on purpose" in err
    assert "Traceback" not in err


@pytest.mark.usefixtures("job")
def test_130_when_interrupted(monkeypatch: pytest.MonkeyPatch, capsys: Printed) -> None:
    def interrupted(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("lugbook.commands.check.check_job", interrupted)
    assert main(["check", "job"]) == 130
    assert "interrupted" in capsys.readouterr().err


def test_130_when_interrupted_before_the_program_has_read_itself(
    monkeypatch: pytest.MonkeyPatch, capsys: Printed
) -> None:
    class Interrupting:
        def find_spec(self, name: str, *_: object) -> None:
            if name == "lugbook.errors":
                raise KeyboardInterrupt

    monkeypatch.delitem(sys.modules, "lugbook.errors")
    monkeypatch.setattr(sys, "meta_path", [Interrupting(), *sys.meta_path])
    assert main(["check", "job"]) == 130
    assert "interrupted; nothing was left half-written" in capsys.readouterr().err


@pytest.mark.usefixtures("job")
def test_130_when_interrupted_where_the_interpreter_drops_it(
    monkeypatch: pytest.MonkeyPatch, capsys: Printed
) -> None:
    class Dying:
        def __del__(self) -> None:
            raise KeyboardInterrupt

    def dropped(*_: object, **__: object) -> None:
        Dying()
        for _round in range(1000):
            time.sleep(0.01)

    monkeypatch.setattr("lugbook.commands.check.check_job", dropped)
    before = sys.unraisablehook
    assert main(["check", "job"]) == 130
    assert capsys.readouterr().err == "\nlugbook: interrupted; nothing was left half-written\n"
    assert sys.unraisablehook is before


@pytest.mark.parametrize("made", [ValueError, OutputError])
@pytest.mark.usefixtures("job")
def test_130_when_a_library_makes_an_error_of_the_interrupt(
    made: type[Exception], monkeypatch: pytest.MonkeyPatch, capsys: Printed
) -> None:
    def turned(*_: object, **__: object) -> None:
        try:
            signal.raise_signal(signal.SIGINT)
        except KeyboardInterrupt:
            raise made("KeyboardInterrupt:") from None

    monkeypatch.setattr("lugbook.commands.check.check_job", turned)
    before = signal.getsignal(signal.SIGINT)
    assert main(["check", "job"]) == 130
    assert capsys.readouterr().err == "\nlugbook: interrupted; nothing was left half-written\n"
    assert signal.getsignal(signal.SIGINT) is before


@pytest.mark.parametrize("wait", [0.2, 0.8, 1.6])
@pytest.mark.usefixtures("job")
def test_a_real_interrupt_leaves_nothing_half_written(wait: float) -> None:
    started = subprocess.Popen(
        [sys.executable, "-m", "lugbook", "report", "job"], stderr=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
        start_new_session=True,
    )  # fmt: skip
    time.sleep(wait)
    started.send_signal(signal.SIGINT)
    _, err = started.communicate(timeout=60)
    written = sorted(path.name for path in Path("out").rglob("*") if path.is_file())
    assert "Exception ignored" not in err
    if started.returncode == 0:  # it was done before the signal came
        assert written == ["defects.csv", "report.html", "report.json", "report.pdf"]
    elif "lugbook: " in err:
        # By the signal instead of 130 where Python ran text as code just then; a shell makes 130 of both.
        assert started.returncode in (130, -signal.SIGINT)
        assert written == []
        assert "Traceback" not in err
    else:  # Python was still starting: the program had not begun
        assert written == []
        assert ", in main" not in err


def test_a_reader_that_stops_reading_is_no_fault() -> None:
    ran = subprocess.run(
        f"{sys.executable} -m lugbook lists small-craft-dc | head -1",
        shell=True, capture_output=True, text=True, timeout=60, check=True,
    )  # fmt: skip
    assert ran.stderr == ""


# --- what is said --------------------------------------------------------------------------------------------------


def test_version(capsys: Printed) -> None:
    assert main(["--version"]) == 0
    assert capsys.readouterr().out == f"lugbook {__version__}\n"


def test_quiet_says_nothing_but_problems(job: Path, capsys: Printed) -> None:
    assert main(["start", "new", "--quiet"]) == 0
    assert main(["report", "job", "--html-only", "--quiet"]) == 0
    said = capsys.readouterr()
    assert (said.out, said.err) == ("", "")
    (job / "photos" / "strap.png").unlink()
    assert main(["check", "job", "--quiet"]) == 1
    said = capsys.readouterr()
    assert said.out == ""
    assert "[P301]" in said.err


@pytest.mark.parametrize("name", COMMANDS)
def test_help_of_each_command_has_examples(name: str, capsys: Printed) -> None:
    assert main([name, "--help"]) == 0
    text = capsys.readouterr().out
    examples = text.partition("examples:\n")[2]
    assert f"  lugbook {name} " in f"{examples} "


def test_help_lists_the_commands_and_the_precedence(capsys: Printed) -> None:
    assert main(["--help"]) == 0
    text = " ".join(capsys.readouterr().out.split())
    for name, (_, words, _) in COMMANDS.items():
        assert f"{name} {words}" in text
    assert "Local regulations and licensed examiners take precedence." in text


@pytest.mark.parametrize(
    ("word", "meant"), [("chek", "check"), ("reprot", "report"), ("list", "lists"), ("Start", "start")]
)
def test_an_unknown_command_gets_the_nearest(word: str, meant: str, capsys: Printed) -> None:
    assert main([word, "job"]) == 2
    assert (
        capsys.readouterr().err == f"lugbook: there is no command '{word}'; did you mean 'lugbook {meant}'?\n"
    )


def test_an_odd_command_gets_the_list(capsys: Printed) -> None:
    assert main(["zzz"]) == 2
    assert f"there are: {', '.join(COMMANDS)}" in capsys.readouterr().err


@pytest.mark.parametrize("words", [["start", "new", "--checklist", "pre-purchse"], ["lists", "pre-purchse"]])
def test_an_unknown_checklist_gets_the_nearest(words: list[str], here: Path, capsys: Printed) -> None:
    assert main(words) == 2
    assert "did you mean 'pre-purchase'?" in capsys.readouterr().err
    assert list(here.iterdir()) == []


def test_lists_prints_what_ships(capsys: Printed) -> None:
    assert main(["lists"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert [line.split()[0] for line in lines] == list(shipped_lists())
    assert main(["lists", "pre-purchase"]) == 0
    items = re.findall(r"(?m)^  [a-z0-9-]+ +\S.*\?$", capsys.readouterr().out)
    count = next(int(line.split()[1]) for line in lines if line.startswith("pre-purchase "))
    assert len(items) == count


def test_problems_as_json(job: Path, capsys: Printed) -> None:
    (job / "photos" / "strap.png").unlink()
    assert main(["check", "job", "--format", "json"]) == 1
    said = capsys.readouterr()
    problems = json.loads(said.out)
    assert said.err == ""
    assert {problem["code"] for problem in problems} == {"P301", "P502"}
    keys = {"file", "line", "column", "path", "code", "severity", "message", "hint"}
    assert all(set(problem) == keys for problem in problems)


def test_json_without_problems_is_an_empty_list(here: Path, capsys: Printed) -> None:
    set_up(CASES / "P502-fields-still-empty" / "ok", here)
    assert main(["check", "job", "--format", "json"]) == 0
    assert json.loads(capsys.readouterr().out) == []


@pytest.mark.usefixtures("job")
def test_colours_only_on_a_terminal_and_only_if_wanted(
    monkeypatch: pytest.MonkeyPatch, capsys: Printed
) -> None:
    import pty

    def seen() -> bytes:
        ours, theirs = pty.openpty()
        with os.fdopen(theirs, "w") as terminal, monkeypatch.context() as patched:
            patched.setattr(sys, "stderr", terminal)
            assert main(["check", "job"]) == 0
        text = b""
        with contextlib.suppress(OSError):
            while part := os.read(ours, 65536):
                text += part
        os.close(ours)
        return text

    monkeypatch.delenv("NO_COLOR", raising=False)
    assert b"\x1b[" in seen()
    monkeypatch.setenv("NO_COLOR", "1")
    assert b"[P502]" in (plain := seen())
    assert b"\x1b[" not in plain
    monkeypatch.delenv("NO_COLOR")
    assert main(["check", "job"]) == 0
    assert "\x1b" not in capsys.readouterr().err


def test_names_from_outside_cannot_steer_the_terminal(job: Path, capsys: Printed) -> None:
    odd = job / "photos" / "a\x1b[31m\nfindings.yaml:1:1: error: forged \u202e.png"
    shutil.copy(job / "photos" / "strap.png", odd)
    assert main(["check", "job"]) == 0
    err = capsys.readouterr().err
    assert "\\x1b[31m\\nfindings" in err
    assert "\x1b" not in err
    assert "\u202e" not in err
    assert len(err.splitlines()) == 3


FORGING = "a\x1b[2K\n0 problems \u202e"


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (["check", FORGING], 0),
        (["check", FORGING, "--strict"], 0),
        (["report", FORGING, "--html-only"], 0),
        (["report", FORGING, "other", "--html-only", "--workers", "1"], 1),
        (["report", FORGING, "other", "--html-only", "--paper", FORGING], 2),
        (["check", f"{FORGING}/own-list.yaml"], 2),
        (["check", f"{FORGING}/none"], 2),
        (["start", f"new-{FORGING}"], 0),
        (["start", FORGING], 2),
        (["verify", FORGING], 2),
        (["parts", FORGING], 2),
        (["pictures", FORGING, "-o", f"sheet-{FORGING}"], 0),
    ],
)
def test_no_line_of_the_terminal_comes_from_a_folders_name(
    words: list[str], code: int, job: Path, capsys: Printed
) -> None:
    shutil.copytree(job, job.with_name(FORGING))
    (job.with_name("other")).mkdir()
    assert main(words) == code
    said = capsys.readouterr()
    for text in (said.out, said.err):
        assert "\x1b" not in text
        assert "\u202e" not in text
        assert "\n0 problems" not in text


def test_names_that_no_coding_knows_are_printed_escaped(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """On streams of seven bits, as PYTHONIOENCODING=ascii makes them."""
    odd = os.fsencode(job / "photos") + b"/\xff\xfe.png"
    shutil.copy(job / "photos" / "strap.png", odd)
    for words in (["check", "job"], ["check", "job", "--format", "json"]):
        said = io.BytesIO()
        for name in ("stdout", "stderr"):
            monkeypatch.setattr(sys, name, io.TextIOWrapper(said, encoding="ascii", write_through=True))
        assert main(words) == 0
        assert b"udcff" in said.getvalue()


# --- folders -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("command", ["check", "report"])
def test_a_wrong_folder(command: str, here: Path, capsys: Printed) -> None:
    assert main([command, "nowhere"]) == 2
    assert (
        capsys.readouterr().err
        == "lugbook: there is no folder 'nowhere'; 'lugbook start nowhere' makes one\n"
    )
    (here / "file.txt").touch()
    assert main([command, "file.txt"]) == 2
    assert "name the job's folder" in capsys.readouterr().err
    assert main([command, "x" * 5000]) == 2
    assert "File name too long" in capsys.readouterr().err
    (here / "empty").mkdir()
    assert main([command, "empty"]) == 1
    assert "there is no such file [P001]" in capsys.readouterr().err


@pytest.mark.usefixtures("job")
def test_the_findings_file_may_be_named_instead(capsys: Printed) -> None:
    assert main(["check", "job/findings.yaml"]) == 0
    assert main(["check", "job/"]) == 0
    os.chdir("job")
    assert main(["check", "."]) == 0
    assert main(["check", "findings.yaml"]) == 0
    assert capsys.readouterr().out == "job: 1 note\n" * 2 + ".: 1 note\n" * 2


@pytest.mark.parametrize(
    "words",
    [["report", "job", "--html-only", "-o", "taken"], ["report", "job", "--html-only", "-o", "taken/deep"]],
)
@pytest.mark.usefixtures("job")
def test_an_output_folder_that_cannot_be(words: list[str], here: Path, capsys: Printed) -> None:
    (here / "taken").write_text("mine", encoding="utf-8")
    assert main(words) == 1
    assert "cannot write into" in capsys.readouterr().err
    assert (here / "taken").read_text(encoding="utf-8") == "mine"


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() != 0, reason="mounting needs the superuser")
@pytest.mark.parametrize("option", ["ro", "size=64k"])
@pytest.mark.usefixtures("job")
def test_a_full_or_read_only_disk(option: str, here: Path, capsys: Printed) -> None:
    disk = here / "disk"
    disk.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", option, "none", str(disk)], capture_output=True, check=False
    )
    if mounted.returncode:
        pytest.skip("mounting is not allowed here")
    try:
        assert main(["report", "job", "--html-only", "-o", str(disk)]) == 1
        assert "cannot write into" in capsys.readouterr().err
        assert [path for path in disk.rglob("*") if path.is_file()] == []
    finally:
        subprocess.run(["umount", str(disk)], check=True)


def test_an_older_report_survives_a_job_with_errors(job: Path, here: Path) -> None:
    assert main(["report", "job", "--html-only", "--quiet"]) == 0
    before = (here / "out" / "job" / "report.html").read_bytes()
    (job / "photos" / "strap.png").unlink()
    assert main(["report", "job", "--html-only", "--quiet"]) == 1
    assert (here / "out" / "job" / "report.html").read_bytes() == before


# --- start ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", shipped_lists())
@pytest.mark.usefixtures("here")
def test_a_started_job_has_no_errors_and_makes_a_draft(name: str, capsys: Printed) -> None:
    assert main(["start", "new", "--checklist", name]) == 0
    assert main(["check", "new", "--strict"]) == 0
    assert " error: " not in capsys.readouterr().err
    assert main(["report", "new", "--html-only", "--quiet"]) == 0


def test_start_with_two_lists(here: Path) -> None:
    assert (
        main(["start", "new", "--checklist", "small-craft-dc", "--checklist", "shore-power", "--quiet"]) == 0
    )
    assert main(["check", "new", "--quiet"]) == 0
    assert "checklists: [small-craft-dc, shore-power]" in (here / "new" / "findings.yaml").read_text(
        encoding="utf-8"
    )


def test_start_never_overwrites(job: Path, here: Path, capsys: Printed) -> None:
    before = {path: path.read_bytes() for path in job.rglob("*") if path.is_file()}
    assert main(["start", "job"]) == 2
    assert "exists already; nothing was changed" in capsys.readouterr().err
    assert {path: path.read_bytes() for path in job.rglob("*") if path.is_file()} == before
    (here / "file").touch()
    assert main(["start", "file"]) == 2
    assert main(["start", "file/below"]) in (1, 2)
    (here / "odd").mkdir()
    (here / "odd" / "photos").touch()
    assert main(["start", "odd"]) == 2
    assert not (here / "odd" / "findings.yaml").exists()
    assert main(["start", "x" * 5000]) == 2


def test_start_keeps_pictures_that_are_there_already(here: Path) -> None:
    (here / "new" / "photos").mkdir(parents=True)
    (here / "new" / "photos" / "a.jpg").write_bytes(b"mine")
    assert main(["start", "new", "--quiet"]) == 0
    assert (here / "new" / "photos" / "a.jpg").read_bytes() == b"mine"


# --- check --fix ---------------------------------------------------------------------------------------------------

BEFORE = """# my file\nformat: lugbook-findings-1   # keep\nlast_defect: 3\nreport: {number: R1, checklists: [own-list.yaml]}
results:
- item: battery-held
  result: defect
  extent: whole
  defects:
  -   title: One   # not two
      place: Here
      seen: |
        id: none

        last_defect: 9
  # between
  - {title: Two, place: There, seen: "a, b"}
  -
    title: Three
    place: There
    seen: x
  - id: d2
    title: Four
    place: There
    seen: x
  - id:   # to come
    title: Five
    place: There
    seen: x
extra: [{title: Six, place: p, seen: s, severity: marginal, probability: remote, why: w, remedy: r}]
"""
AFTER = (
    BEFORE.replace("last_defect: 3", "last_defect: 8")
    .replace("  -   title: One   # not two\n", "  -   id: d4\n      title: One   # not two\n")
    .replace("{title: Two", "{id: d5, title: Two")
    .replace("    title: Three", "    id: d6\n    title: Three")
    .replace("  - id:   # to come", "  - id: d7   # to come")
    .replace("{title: Six", "{id: d8, title: Six")
)


@pytest.mark.parametrize("end", ["\n", "\r\n"], ids=["unix", "windows"])
@pytest.mark.parametrize("mark", ["", "\ufeff"], ids=["plain", "byte order mark"])
def test_fix_touches_nothing_else(end: str, mark: str, job: Path, capsys: Printed) -> None:
    path = job / "findings.yaml"
    (job / "photos" / "strap.png").unlink()
    path.write_bytes((mark + BEFORE.replace("\n", end)).encode())
    assert main(["check", "job"]) == 1
    assert capsys.readouterr().err.count("[P204]") == 5
    assert main(["check", "job", "--fix"]) == 0
    assert "gave d4, d5, d6, d7, d8 in" in capsys.readouterr().err
    assert path.read_bytes().decode() == mark + AFTER.replace("\n", end)
    assert main(["check", "job", "--fix"]) == 0
    assert path.read_bytes().decode() == mark + AFTER.replace("\n", end)
    assert "gave" not in capsys.readouterr().err


DEFECT = "results: [{item: a, result: defect, defects: [%s]}]\n"


@pytest.mark.parametrize(
    ("text", "given", "last"),
    [
        ("format: x\nlast_defect: 7\n" + DEFECT % "{title: t}", ["d8"], 8),
        ("format: x\n" + DEFECT % "{id: d12, title: t}, {title: u}", ["d13"], 13),
        ("format: x\nlast_defect: 4\n" + DEFECT % "{id: d12, title: t}", [], 12),
        ("format: x\nlast_defect:\n" + DEFECT % "{title: t}", ["d1"], 1),
        ("format: x\nlast_defect:   # none\n" + DEFECT % "{title: t}", ["d1"], 1),
        ("{format: x, " + DEFECT.strip() % "{title: t}" + "}", ["d1"], 1),
        ("format: x\nextra:\n- title: t\n-\n  title: u\n- title: v", ["d1", "d2", "d3"], 3),
    ],
)
def test_ids_are_never_given_twice(text: str, given: list[str], last: int) -> None:
    """Deleted defects count as well: `last_defect` remembers them."""
    new, ids = with_ids(parse(text, "f.yaml"))
    assert ids == given
    again = parse(new, "f.yaml").plain()
    assert again["last_defect"] == str(last)
    assert with_ids(parse(new, "f.yaml")) == (new, [])


def test_fix_refuses_what_it_cannot_do(job: Path, capsys: Printed) -> None:
    text = BEFORE.replace("last_defect: 3", 'last_defect: "3"')
    (job / "findings.yaml").write_text(
        text.replace("  -   title: One", "  - ? title\n    : One\n  -   title: One"), encoding="utf-8"
    )
    before = (job / "findings.yaml").read_bytes()
    assert main(["check", "job", "--fix"]) == 1
    assert "add them by hand" in capsys.readouterr().err
    assert (job / "findings.yaml").read_bytes() == before


def test_fix_leaves_broken_files_alone(job: Path) -> None:
    for text in ("a: [", "", "- a\n", "results: {defects: 3}\n", "extra: [1, [2], {}]\n"):
        (job / "findings.yaml").write_text(text, encoding="utf-8")
        assert main(["check", "job", "--fix", "--quiet"]) == 1
        assert (job / "findings.yaml").read_text(encoding="utf-8") == text


# --- speed ---------------------------------------------------------------------------------------------------------


def test_help_imports_nothing_heavy() -> None:
    code = "import sys\nfrom lugbook.cli import main\nmain(['--help'])\nprint(*sys.modules, file=sys.stderr)"
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=True)
    loaded = {name.partition(".")[0] for name in ran.stderr.split()}
    assert loaded & set(HEAVY) == set()
    assert "lugbook" in loaded


# What `check` of a job without installation may not import. The report, the analyses and other files have their own.
NOT_FOR_CHECK = {
    "PIL", "babel", "cryptography", "jinja2", "markdown_it", "numpy", "weasyprint",
    "lugbook.calc", "lugbook.compose", "lugbook.issuing", "lugbook.render", "lugbook.trail",
    "lugbook.assess.computed", "lugbook.assess.evidence", "lugbook.assess.remedy", "lugbook.assess.diagnosis",
    "lugbook.load.installation", "lugbook.load.remedy", "lugbook.load.translations",
    "lugbook.model.apparatus", "lugbook.model.limits", "lugbook.model.remedy", "lugbook.model.view",
    "lugbook.model.wiring",
}  # fmt: skip
FOR_AN_INSTALLATION = {
    "numpy", "lugbook.calc", "lugbook.assess.computed", "lugbook.assess.evidence", "lugbook.load.installation",
    "lugbook.model.apparatus", "lugbook.model.limits", "lugbook.model.wiring",
}  # fmt: skip


def imported_by_check(job: Path) -> set[str]:
    code = (
        "import sys\nfrom lugbook.cli import main\nassert main(['check', sys.argv[1]]) == 0\n"
        "print(*sys.modules, file=sys.stderr)"
    )
    ran = subprocess.run([sys.executable, "-c", code, job], capture_output=True, text=True, check=True)
    return set(ran.stderr.splitlines()[-1].split())


def test_check_imports_what_the_job_needs(tmp_path: Path) -> None:
    make(tmp_path / "job", defects=3, pictures=0, size=(8, 8), tongues=["en"], long=False)
    loaded = imported_by_check(tmp_path / "job")
    assert "lugbook.assess.judge" in loaded, "check says how the defects come out"
    assert loaded & NOT_FOR_CHECK == set()


def test_check_of_an_installation_imports_the_analyses(tmp_path: Path) -> None:
    """The counter-check: an installation needs these, so their names are real and would be seen."""
    loaded = imported_by_check(set_up(CASES / "P212-reading-not-there" / "ok", tmp_path))
    assert loaded >= FOR_AN_INSTALLATION
    assert loaded & (NOT_FOR_CHECK - FOR_AN_INSTALLATION) <= {"lugbook.model.remedy"}


def test_help_needs_little_time() -> None:
    """Our own imports for --help take about 21 ms; the best of three, and room for a busy machine."""

    def own() -> float:
        words = [sys.executable, "-X", "importtime", "-m", "lugbook", "--help"]
        ran = subprocess.run(words, capture_output=True, text=True, timeout=60, check=True)
        rows = re.findall(r"(?m)^import time: +(\d+) \| +(\d+) \|( +)(\S+)$", ran.stderr)
        whole = [
            int(total) for _, total, indent, name in rows if name.startswith("lugbook.") and len(indent) <= 3
        ]
        assert whole
        return sum(whole) / 1000

    assert min(own() for _ in range(3)) < 200


def test_every_command_names_a_module_that_exists() -> None:
    for module, words, examples in COMMANDS.values():
        assert (Path(cli.__file__).parent / "commands" / f"{module}.py").is_file()
        assert words[0].islower()
        assert examples.startswith("lugbook ")
