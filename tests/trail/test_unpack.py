"""Exports of the capture page become jobs, later exports go into them, and jobs go back into the page."""

from __future__ import annotations

import json
import random
import shutil
import zipfile
from pathlib import Path
from unittest import mock

import pytest
from exports import FINDINGS, OTHER_VISIT, VISIT, facts, files, missing, picture, write_export
from faults import killed, quick_pages
from trail_jobs import Ran, files_of, lugbook

from lugbook.trail.entries import CaptureEntry, StartEntry
from lugbook.trail.store import read_trail

SECOND = FINDINGS.replace("extent: whole, tested", "extent: part seen, tested")


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """A job of the first export."""
    archive = write_export(tmp_path / "first.zip", files())
    ran = lugbook("unpack", archive, tmp_path / "plover")
    assert (ran.code, ran.err) == (0, ""), ran
    return tmp_path / "plover"


def again(job: Path, theirs: dict[str, bytes], *words: str, export: int = 2, **more: object) -> Ran:
    """Unpack a later export into the job."""
    archive = write_export(job.parent / f"export-{export}.zip", theirs, export=export, **more)
    return lugbook("unpack", archive, job, *words)


def edit(job: Path, old: str, new: str) -> None:
    path = job / "findings.yaml"
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


def text_of(job: Path) -> str:
    return (job / "findings.yaml").read_text(encoding="utf-8")


def kill_unpacking(place: Path, count: int, seed: int, *, new: bool) -> dict[str, int]:
    """Kill `unpack` at `count` seeded points. Afterwards all is as before or as after, and the same command works."""
    first = write_export(place / "first.zip", files())
    second = write_export(
        place / "second.zip", {**files(SECOND), "photos/two.jpg": picture("#555555")}, export=2
    )
    outcomes = {"before": 0, "after": 0}
    chance = random.Random(seed)
    work = place / "work"

    def set_up() -> tuple[str | Path, ...]:
        shutil.rmtree(work, ignore_errors=True)
        work.mkdir()
        if not new:
            assert lugbook("unpack", first, work / "plover", "-q").code == 0
        return ("unpack", first if new else second, work / "plover", "-q")

    total = killed(set_up(), work, 0, seed)
    assert total > 20, total
    for _ in range(count):
        words = set_up()
        before = files_of(work / "plover") if not new else {}
        killed(words, work, chance.randrange(1, total + 1), seed)
        job = work / "plover"
        if new:
            outcomes["after" if job.exists() else "before"] += 1
            assert not job.exists() or lugbook("verify", job).code == 0
        else:
            grown = (job / "trail.jsonl").read_bytes() != before["trail.jsonl"]
            outcomes["after" if grown else "before"] += 1
            assert lugbook("verify", job).code == 0
            assert grown or text_of(job) == FINDINGS
        assert lugbook(*words).code == 0
        assert text_of(job) == (FINDINGS if new else SECOND)
        assert lugbook("verify", job).code == 0
        assert [
            p.name for p in (*work.iterdir(), *job.iterdir()) if "unpacking" in p.name or p.name == ".pending"
        ] == []
    return outcomes


def test_a_new_job_holds_what_came_and_starts_its_trail(job: Path) -> None:
    assert {path: (job / path).read_bytes() for path in files()} == files()
    assert (job / "findings.schema.json").is_file()
    assert [path.name for path in job.parent.iterdir() if path.name.startswith(".")] == []
    (entry,) = read_trail(job).entries
    assert isinstance(entry, StartEntry)
    captured = {file.path: file.sha256 for file in entry.body.captured}
    assert set(files()) < set(captured)
    assert captured[".capture/1/findings.yaml"] == captured["findings.yaml"]
    assert entry.body.clock_offset == (
        "phone's clock at the export 2026-06-02T15:41:12+01:00, zone Europe/London, "
        "visit begun 2026-06-02T09:10:00+01:00, 4 s ahead of the clock that it was compared with"
    )
    assert "Ina Spector" in (job / "people.json").read_text(encoding="utf-8")
    assert lugbook("verify", job).code == 0
    assert lugbook("check", job).code == 0


def test_who_recorded_it_may_be_said(tmp_path: Path) -> None:
    archive = write_export(
        tmp_path / "x.zip", files(FINDINGS.replace("  electrician: {name: Ina Spector}\n", ""))
    )
    assert lugbook("unpack", archive, tmp_path / "a", "--recorded-by", "Office").code == 0
    assert "Office" in (tmp_path / "a" / "people.json").read_text(encoding="utf-8")
    assert lugbook("unpack", archive, tmp_path / "b").code == 0
    assert "not recorded" in (tmp_path / "b" / "people.json").read_text(encoding="utf-8")


def test_a_refused_export_leaves_nothing(tmp_path: Path) -> None:
    archive = write_export(tmp_path / "x.zip", files(), twist=missing)
    ran = lugbook("unpack", archive, tmp_path / "plover")
    assert ran.code == 1
    assert "P707" in ran.err
    assert [path.name for path in tmp_path.iterdir()] == ["x.zip"]
    assert lugbook("unpack", tmp_path / "none.zip", tmp_path / "plover").err.count("P001") == 1


def test_an_empty_folder_is_filled_and_any_other_left_alone(tmp_path: Path) -> None:
    archive = write_export(tmp_path / "x.zip", files())
    (tmp_path / "empty").mkdir()
    assert lugbook("unpack", archive, tmp_path / "empty").code == 0
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "findings.yaml").write_text("mine", encoding="utf-8")
    ran = lugbook("unpack", archive, tmp_path / "full")
    assert ran.code == 2
    assert "not made from the capture page" in ran.err
    assert files_of(tmp_path / "full") == {"findings.yaml": b"mine", ".lugbook.lock": b""}


def test_a_later_export_is_put_into_the_job(job: Path) -> None:
    edit(job, "        place: Locker\n", "        # said Ada\n        place: Port locker\n")
    ran = again(job, {**files(SECOND), "photos/two.jpg": picture("#123456")})
    assert (ran.code, ran.err) == (0, ""), ran
    assert text_of(job) == SECOND.replace(
        "        place: Locker\n", "        # said Ada\n        place: Port locker\n"
    )
    assert (job / "photos" / "two.jpg").read_bytes() == picture("#123456")
    _, entry = read_trail(job).entries
    assert isinstance(entry, CaptureEntry)
    assert (entry.body.visit, entry.body.export) == (VISIT, 2)
    assert "photos/two.jpg" in {file.path for file in entry.body.captured}
    verified = lugbook("verify", job)
    assert verified.code == 0, verified.out
    assert sorted(path.name for path in job.iterdir()) == sorted(
        [
            ".capture",
            ".lugbook.lock",
            "findings.schema.json",
            "findings.yaml",
            "people.json",
            "photos",
            "trail.head",
            "trail.jsonl",
        ]
    )


def test_the_same_export_again_changes_nothing(job: Path) -> None:
    edit(job, "Locker", "Port locker")
    before = files_of(job)
    ran = lugbook("unpack", job.parent / "first.zip", job)
    assert (ran.code, files_of(job)) == (0, before)
    assert "already" in ran.out


def test_an_older_export_and_one_of_another_visit_are_refused(job: Path) -> None:
    assert again(job, files(SECOND), export=3).code == 0
    before = files_of(job)
    for ran in (again(job, files(), export=2), again(job, files(SECOND), export=4, visit=OTHER_VISIT)):
        assert ran.code == 1
        assert "P709" in ran.err
    assert files_of(job) == before


@pytest.mark.parametrize(("words", "expected"), [(("--ours",), "Mine"), (("--theirs",), "The phone's")])
def test_conflicts_go_to_the_side_that_was_named(words: tuple[str, ...], expected: str, job: Path) -> None:
    edit(job, "The strap is torn", "Mine")
    ran = again(job, files(SECOND.replace("The strap is torn", "The phone's")), *words)
    assert ran.code == 0
    assert "settled: 1" in ran.out
    assert f"title: {expected}\n" in text_of(job)
    assert "part seen" in text_of(job)


def test_conflicts_are_listed_where_nobody_can_be_asked(job: Path) -> None:
    edit(job, "The strap is torn", "Mine")
    edit(job, "whole, tested", "whole")
    before = files_of(job)
    ran = again(job, files(SECOND.replace("The strap is torn", "The phone's")))
    assert (ran.code, ran.err.count("[P710]")) == (1, 2)
    assert files_of(job) == before


def test_conflicts_are_asked_for_at_a_terminal(job: Path) -> None:
    edit(job, "The strap is torn", "Mine")
    edit(job, "whole, tested", "whole")
    theirs = files(SECOND.replace("The strap is torn", "The phone's"))
    answers = iter(["", "what?", "p", "mine"])
    with (
        mock.patch("sys.stdin.isatty", return_value=True),
        mock.patch("builtins.input", side_effect=answers),
    ):
        ran = again(job, theirs)
    assert ran.code == 0
    assert ran.out.count("was changed on both sides") == 2
    assert list(answers) == []
    # In the order of the file: the extent first, then the title.
    assert "extent: part seen, tested" in text_of(job)
    assert "title: Mine" in text_of(job)


def test_the_end_of_the_input_is_no_answer(job: Path) -> None:
    edit(job, "The strap is torn", "Mine")
    before = files_of(job)

    def closed(_prompt: str) -> str:
        raise EOFError

    with mock.patch("sys.stdin.isatty", return_value=True), mock.patch("builtins.input", closed):
        ran = again(job, files(SECOND.replace("The strap is torn", "The phone's")))
    assert ran.code == 130
    assert files_of(job) == before


def test_another_picture_of_the_same_name_gets_another_name(job: Path) -> None:
    (job / "photos" / "two.jpg").write_bytes(picture("#00ff00"))
    theirs = (
        FINDINGS
        + "      - {id: d2, title: T, place: P, seen: S, photos: [{file: TWO.jpg, caption: C, alt: A}]}\n"
    )
    ran = again(job, {**files(theirs), "photos/TWO.jpg": picture("#0000ff")})
    assert ran.code == 0, ran.err
    assert "photos/TWO.jpg is photos/TWO-2.jpg here" in ran.out
    assert (job / "photos" / "TWO-2.jpg").read_bytes() == picture("#0000ff")
    assert (job / "photos" / "two.jpg").read_bytes() == picture("#00ff00")
    assert "file: TWO-2.jpg" in text_of(job)
    # The next export still calls it by its first name.
    ran = again(
        job,
        {**files(theirs.replace("caption: C", "caption: D")), "photos/TWO.jpg": picture("#0000ff")},
        export=3,
    )
    assert (ran.code, ran.err) == (0, "")
    assert "{file: TWO-2.jpg, caption: D, alt: A}" in text_of(job)
    assert sorted(path.name for path in (job / "photos").iterdir()) == ["TWO-2.jpg", "one.jpg", "two.jpg"]


def test_one_id_for_two_defects(job: Path) -> None:
    edit(job, "last_defect: 1", "last_defect: 2")
    edit(job, "    defects:\n", "    defects:\n      - {id: d2, title: Mine, place: P, seen: S}\n")
    theirs = (
        FINDINGS.replace("last_defect: 1", "last_defect: 2")
        + "      - {id: d2, title: Theirs, place: P, seen: S}\n"
    )
    ran = again(job, files(theirs))
    assert (ran.code, ran.err) == (0, ""), ran
    assert "the phone's d2 is d3 here" in ran.out
    assert "last_defect: 3" in text_of(job)
    ran = again(job, files(theirs.replace("Theirs, place: P", "Theirs, place: Q")), export=3)
    assert (ran.code, ran.err) == (0, "")
    assert "{id: d3, title: Theirs, place: Q, seen: S}" in text_of(job)
    assert "{id: d2, title: Mine, place: P, seen: S}" in text_of(job)
    assert lugbook("check", job).code == 0


def test_a_picture_that_the_job_dropped_stays_dropped(job: Path) -> None:
    two = {"photos/two.jpg": picture("#111111")}
    assert again(job, {**files(), **two}).code == 0
    (job / "photos" / "two.jpg").unlink()
    assert again(job, {**files(SECOND), **two}, export=3).code == 0
    assert not (job / "photos" / "two.jpg").exists()
    named = SECOND.replace(
        "alt: A torn strap}", "alt: A torn strap}\n          - {file: two.jpg, caption: C, alt: A}"
    )
    assert again(job, {**files(named), **two}, export=4).code == 0
    assert (job / "photos" / "two.jpg").exists()


def test_a_notice_is_taken_as_a_whole(job: Path) -> None:
    assert again(job, {**files(), "notice.yaml": b"hazard: one\n"}).code == 0
    assert (job / "notice.yaml").read_bytes() == b"hazard: one\n"
    (job / "notice.yaml").write_bytes(b"hazard: mine\n")
    assert again(job, {**files(), "notice.yaml": b"hazard: one\n"}, export=3).code == 0
    assert (job / "notice.yaml").read_bytes() == b"hazard: mine\n"
    ran = again(job, {**files(), "notice.yaml": b"hazard: two\n"}, export=4)
    assert (ran.code, ran.err.count("P710")) == (1, 1)
    assert again(job, {**files(), "notice.yaml": b"hazard: two\n"}, "--theirs", export=4).code == 0
    assert (job / "notice.yaml").read_bytes() == b"hazard: two\n"


def test_an_altered_record_of_what_came_is_found_and_nothing_merged(job: Path) -> None:
    path = job / ".capture" / "1" / "findings.yaml"
    path.write_text(FINDINGS.replace("torn", "fine"), encoding="utf-8")
    verified = lugbook("verify", job)
    assert verified.code == 1
    assert ".capture/1/findings.yaml" in verified.err
    before = files_of(job)
    ran = again(job, files(SECOND))
    assert ran.code == 1
    assert "was altered" in ran.err
    assert files_of(job) == before


def test_findings_that_are_no_yaml_any_more_stop_it(job: Path) -> None:
    (job / "findings.yaml").write_text("a: [\n", encoding="utf-8")
    ran = again(job, files(SECOND))
    assert ran.code == 1
    assert "P003" in ran.err


def test_what_was_issued_never_changes(job: Path) -> None:
    with quick_pages():
        assert lugbook("issue", job, "--draft").code == 0
    issued = files_of(job / "issued")
    assert len(issued) > 5
    assert again(job, {**files(SECOND), "photos/two.jpg": picture("#222222")}).code == 0
    assert files_of(job / "issued") == issued
    verified = lugbook("verify", job)
    assert verified.code == 0, verified.out


def test_names_in_what_came_can_be_erased(job: Path) -> None:
    ran = lugbook(
        "erase",
        job,
        "--person",
        "electrician",
        "--reason",
        "asked by letter",
        "--asked-by",
        "other",
        "--issued",
    )
    assert ran.code == 0, ran.err
    assert not (job / ".capture" / "1" / "findings.yaml").exists()
    verified = lugbook("verify", job)
    assert verified.code == 0, verified.out
    ran = again(job, files(SECOND))
    assert ran.code == 1
    assert "nobody can tell who changed what" in ran.err


def test_killed_in_between_it_is_as_before_or_as_after(job: Path) -> None:
    """The moment of change is the trail's; before it everything is laid out, after it the next command finishes."""
    before = files_of(job)
    with mock.patch("lugbook.trail.store._move_in", side_effect=KeyboardInterrupt):
        assert again(job, files(SECOND)).code == 130
    assert text_of(job) == FINDINGS  # recorded, not yet in place
    assert lugbook("deliver", job, "--role", "buyer", "--channel", "mail", "--date", "2026-06-03").code == 2
    assert text_of(job) == SECOND
    assert len(files_of(job)) == len(before) + 3
    assert lugbook("verify", job).code == 0


@pytest.mark.parametrize("new", [True, False], ids=["a new job", "a later export"])
def test_killed_at_some_point(new: bool, tmp_path: Path) -> None:
    outcomes = kill_unpacking(tmp_path, 4, 11, new=new)
    assert sum(outcomes.values()) == 4


# --- back into the page ----------------------------------------------------------------------------------------------


def packed(job: Path, *words: str) -> dict[str, object]:
    """Pack a job; gives the facts."""
    archive = job.parent / "packed.zip"
    ran = lugbook("pack", job, "-o", archive, *words)
    assert (ran.code, ran.err) == (0, ""), ran
    with zipfile.ZipFile(archive) as opened:
        found: dict[str, object] = json.loads(opened.read("capture.json"))
    return found


def test_a_pack_has_the_form_of_an_export(job: Path) -> None:
    edit(job, "Locker", "Port locker")
    facts_ = packed(job)
    assert (facts_["visit"], facts_["export"]) == (VISIT, 1)
    assert facts_["findings"]["results"][0]["defects"][0]["place"] == "Port locker"  # type: ignore[index]
    first = (job.parent / "packed.zip").read_bytes()
    packed(job)
    assert (job.parent / "packed.zip").read_bytes() == first
    assert sorted(path.name for path in (job / ".capture").iterdir()) == ["1", "2"]
    ran = lugbook("unpack", job.parent / "packed.zip", job.parent / "copy")
    assert (ran.code, text_of(job.parent / "copy")) == (0, text_of(job))


def test_a_page_loaded_from_a_pack_goes_on_from_it(job: Path) -> None:
    edit(job, "Locker", "Port locker")
    loaded = packed(job)
    sum_ = loaded["files"]["findings.yaml"]["sha256"]  # type: ignore[index]
    theirs = text_of(job).replace("Port locker", "Port locker, aft")
    ran = again(job, files(theirs), **{"from": sum_})
    assert (ran.code, ran.err) == (0, "")
    assert "Port locker, aft" in text_of(job)


def test_a_page_that_was_not_loaded_from_the_pack_is_asked(job: Path) -> None:
    edit(job, "Locker", "Port locker")
    packed(job)
    ran = again(job, files(SECOND.replace("Locker", "Aft locker")))
    assert (ran.code, ran.err.count("P710")) == (1, 1)


def test_a_job_written_by_hand_goes_to_the_phone_and_back(tmp_path: Path) -> None:
    job = tmp_path / "by-hand"
    (job / "photos").mkdir(parents=True)
    for path, data in files("# mine\n" + FINDINGS).items():
        (job / path).write_bytes(data)
    (job / "photos" / "old.tif").write_bytes(b"II*\0")
    facts_ = packed(job)
    assert facts_["export"] == 0
    sum_ = facts_["files"]["findings.yaml"]["sha256"]  # type: ignore[index]
    theirs = {**files(SECOND), "photos/new.jpg": picture("#333333")}
    ran = again(job, theirs, export=1, visit=str(facts_["visit"]), **{"from": sum_})
    assert (ran.code, ran.err) == (0, ""), ran
    assert text_of(job) == "# mine\n" + SECOND
    start, entry = read_trail(job).entries
    assert (start.kind, entry.kind) == ("start", "capture")
    ran = again(job, files(), export=2, visit=str(facts_["visit"]))
    assert ran.code == 0, ran.err
    other = again(tmp_path / "by-hand", files(), export=3, visit=OTHER_VISIT)
    assert other.code == 1


def test_a_return_visit_is_packed_with_what_is_open(job: Path) -> None:
    new = job.parent / "return"
    facts_ = packed(job, "--return", str(new))
    (defect,) = [d for r in facts_["findings"]["results"] for d in r.get("defects") or ()]  # type: ignore[index]
    assert (defect["id"], defect["carried"]["report"]) == ("d1", "R1")
    assert facts_["visit"] != VISIT
    assert any(path.startswith("photos/R1/") for path in facts_["files"])  # type: ignore[attr-defined]
    fixed = text_of(new).replace("now:\n", "now: fixed\n", 1)
    theirs = {path: (new / path).read_bytes() for path in facts_["files"]}  # type: ignore[attr-defined]
    ran = again(new, {**theirs, "findings.yaml": fixed.encode()}, export=1, visit=str(facts_["visit"]))
    assert ran.code == 1  # the page has to say what it was loaded from
    sum_ = facts_["files"]["findings.yaml"]["sha256"]  # type: ignore[index]
    ran = again(
        new,
        {**theirs, "findings.yaml": fixed.encode()},
        export=1,
        visit=str(facts_["visit"]),
        **{"from": sum_},
    )
    assert (ran.code, text_of(new)) == (0, fixed), ran
    entries = read_trail(new).entries
    assert isinstance(entries[0], StartEntry)
    assert entries[0].body.carries is not None
    assert lugbook("verify", new).code == 0


def test_packing_needs_findings_that_can_be_read(job: Path) -> None:
    (job / "findings.yaml").write_text("a: [\n", encoding="utf-8")
    ran = lugbook("pack", job, "-o", job.parent / "x.zip")
    assert ran.code == 1
    assert "P003" in ran.err
    assert not (job.parent / "x.zip").exists()
    assert lugbook("pack", job, "-o", job.parent).code == 2


def test_facts_of_a_clock_that_nobody_compared(tmp_path: Path) -> None:
    archive = write_export(tmp_path / "x.zip", files(), twist=facts(clock={"phone": "2026-06-02T15:41:12Z"}))
    ran = lugbook("unpack", archive, tmp_path / "job")
    assert ran.code == 0
    assert "nobody compared the phone's clock" in ran.out
    shutil.rmtree(tmp_path / "job")
    archive = write_export(tmp_path / "x.zip", files(), twist=facts(clock=None))
    assert lugbook("unpack", archive, tmp_path / "job").code == 0
