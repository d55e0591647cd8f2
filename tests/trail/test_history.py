"""The overview over all jobs."""

from __future__ import annotations

import csv
import io
import json
import os
from datetime import date
from pathlib import Path

import pytest
from history_jobs import made_up_jobs
from return_jobs import full_return
from trail_jobs import DECIDE, Story, lugbook, make_job

from lugbook.compose.history import overview
from lugbook.issuing.history_scan import read_history
from lugbook.model.history import OVERDUE_DAYS, DefectRecord, JobRecord
from lugbook.progress import Progress
from lugbook.render.csv_cells import plain_cell

QUIET = Progress(quiet=True)


def data(*words: str | Path) -> dict[str, list[dict[str, object]]]:
    ran = lugbook("history", *words, "--format", "json", "--on", "2026-07-15")
    assert ran.code == 0, ran.err
    found: dict[str, list[dict[str, object]]] = json.loads(ran.out)
    return found


def test_many_jobs_and_the_repeat_reads_none(tmp_path: Path) -> None:
    defects = made_up_jobs(tmp_path, 60, seed=11)
    index = tmp_path / ".lugbook-index.json"
    first = read_history([tmp_path], index, QUIET)
    assert (len(first.jobs), len(first.bad), first.read) == (60, 0, 60)
    assert sum(len(job.defects) for job in first.jobs) == defects
    os.utime(index, ns=(10**18 * 4, 10**18 * 4))  # long after the jobs were written
    again = read_history([tmp_path], index, QUIET)
    assert (again.jobs, again.bad, again.read) == (first.jobs, first.bad, 0)
    index.unlink()
    assert read_history([tmp_path], index, QUIET).jobs == first.jobs
    view = overview(first.jobs, date(2026, 6, 1))
    assert len(view.boats) == 30
    assert (
        sum(int(row["open"]) for row in view.boats) == sum(int(row["open"]) for row in view.kinds) == defects
    )


def test_a_changed_job_is_read_again_even_with_the_same_size_and_time(tmp_path: Path) -> None:
    made_up_jobs(tmp_path, 3, seed=11)
    index = tmp_path / "index.json"
    before = read_history([tmp_path], index, QUIET)
    path = next(tmp_path.rglob("job-00001")) / "findings.yaml"
    state = path.stat()
    path.write_text(path.read_text(encoding="utf-8").replace("Boat 0", "Ship 0"), encoding="utf-8")
    os.utime(path, ns=(state.st_atime_ns, state.st_mtime_ns))
    after = read_history([tmp_path], index, QUIET)  # written just before the index, so it is summed
    assert after.read == 1
    assert {job.boat for job in after.jobs} - {job.boat for job in before.jobs} == {"Ship 0"}
    os.utime(path)
    assert read_history([tmp_path], index, QUIET).read == 0  # another time, the same sum
    own = path.with_name("own.yaml")
    own.write_text(
        own.read_text(encoding="utf-8").replace("severity: marginal", "severity: critical"), encoding="utf-8"
    )
    assert read_history([tmp_path], index, QUIET).read == 1


@pytest.mark.parametrize(
    "junk", [b"", b"{", b"[]", b'{"format":"lugbook-index-1"}', b"\xff" * 9, b"[" * 100_000]
)
def test_a_broken_index_is_as_good_as_none(tmp_path: Path, junk: bytes) -> None:
    made_up_jobs(tmp_path / "jobs", 2, seed=1)
    index = tmp_path / "index.json"
    index.write_bytes(junk)
    assert read_history([tmp_path / "jobs"], index, QUIET).read == 2
    assert json.loads(index.read_bytes())["format"] == "lugbook-index-1"


def test_bad_jobs_are_listed_and_stop_nothing(copied: Story, tmp_path: Path) -> None:
    made_up_jobs(tmp_path / "many", 4, seed=2)
    for name, text in (("yaml", b"format: ["), ("bytes", b"\xff\xfe\x00"), ("empty", b"")):
        (tmp_path / "many" / name).mkdir()
        (tmp_path / "many" / name / "findings.yaml").write_bytes(text)
    (tmp_path / "many" / "trail").mkdir()
    (tmp_path / "many" / "trail" / "trail.jsonl").write_bytes(b"x\n")
    trail = copied.job / "trail.jsonl"
    trail.write_bytes(trail.read_bytes().replace(b"A loose lamp", b"A lease lamp", 1))
    found = data(tmp_path / "many", copied.job, "--no-index")
    assert {Path(str(bad["folder"])).name for bad in found["not_counted"]} == {
        "yaml",
        "bytes",
        "empty",
        "trail",
        "trial",
    }
    assert len({row["report"] for row in found["defects"]}) == 5
    ran = lugbook("history", tmp_path / "many")
    assert ran.code == 0
    assert "many/yaml: not counted: findings.yaml:2: " in ran.err
    mended = tmp_path / "many" / "yaml" / "findings.yaml"
    mended.write_text(
        "format: lugbook-findings-1\nreport: {number: X, checklists: [small-craft-dc]}\n", encoding="utf-8"
    )
    assert "many/yaml" not in lugbook("history", tmp_path / "many").err


def test_decisions_and_return_visits_are_followed(copied: Story, tmp_path: Path) -> None:
    full_return(copied.job, tmp_path / "R-2")
    found = data(tmp_path)
    rows = {row["id"]: row for row in found["defects"]}
    assert {key: row["report"] for key, row in rows.items()} == {"d2": "R-2", "d3": "R-2"}  # d1 was put right
    assert (rows["d2"]["decision"], rows["d2"]["decided by"], rows["d2"]["first seen"]) == (
        "declined",
        "buyer",
        "2026-06-02",
    )
    boat = found["boats"][0]
    assert (boat["jobs"], boat["last visit"], boat["open"], boat["declined"]) == (2, "2026-09-14", 2, 1)
    assert lugbook("decide", copied.job, "d1", "done", "--by", "owner", *DECIDE).code == 0
    alone = data(copied.job)
    assert {row["id"]: row["decision"] for row in alone["defects"]} == {"d1": "done", "d2": "declined"}
    assert not (copied.job / ".lugbook-index.json").exists()


def record(act_by: str, first: str | None, **changes: object) -> JobRecord:
    values: dict[str, object] = {
        "id": "d1", "item": "x", "title": "t", "place": "p", "level": "high", "act_by": act_by, "state": "open",
        "first_seen": first, "carried_from": None, "decision": None, "decided_by": None, "decided_on": None, **changes,
    }  # fmt: skip
    return JobRecord("/f", "R", "B", "", first, (DefectRecord(**values),), {})  # type: ignore[arg-type]


@pytest.mark.parametrize(("act_by", "limit"), OVERDUE_DAYS.items())
def test_overdue_on_both_sides_of_the_limit(act_by: str, limit: int) -> None:
    # SOURCE: the table in docs/return-visit.md; common practice, no source.
    day = date(2026, 1, 1)
    on_time = overview([record(act_by, "2026-01-01")], date.fromordinal(day.toordinal() + limit))
    late = overview([record(act_by, "2026-01-01")], date.fromordinal(day.toordinal() + limit + 1))
    assert (on_time.defects[0]["overdue"], late.defects[0]["overdue"]) == ("no", "yes")
    assert overview([record(act_by, None)], day).defects[0]["overdue"] == "no"


def test_a_copy_of_a_folder_counts_once(tmp_path: Path) -> None:
    make_job(tmp_path / "a")
    make_job(tmp_path / "b" / "copy of a")
    found = data(tmp_path)
    assert len(found["defects"]) == 2
    assert [Path(str(row["folder"])).name for row in found["counted_once"]] == ["copy of a"]


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@x", "\tx", "\rx", "  =1", "＝1"])
def test_no_cell_is_a_formula(text: str, tmp_path: Path) -> None:
    # SOURCE: the leading characters that spreadsheets take for a formula, recalled.
    assert plain_cell(text) == f"'{text}"
    assert plain_cell("a=1") == "a=1"
    assert plain_cell(5) == 5
    job = make_job(tmp_path / "job")
    findings = job / "findings.yaml"
    quoted = json.dumps(text, ensure_ascii=False)
    findings.write_text(
        findings.read_text(encoding="utf-8").replace("title: A loose lamp", f"title: {quoted}"),
        encoding="utf-8",
    )
    if text[0] in "\t\r":
        return  # refused when the findings are read
    ran = lugbook("history", job, "--format", "csv")
    rows = list(csv.DictReader(io.StringIO(ran.out)))
    assert any(row["title"] == f"'{text.strip()}" for row in rows), rows


def test_tables_and_usage(tmp_path: Path) -> None:
    make_job(tmp_path / "a")
    table = lugbook("history", tmp_path, "--on", "2026-07-15")
    assert "battery-fuse" in table.out
    assert "2 open defects as of 2026-07-15" in table.out
    assert lugbook("history", tmp_path, "--by", "defect").out.splitlines()[0].startswith("boat")
    assert lugbook("history", tmp_path / "none").code == 2
    assert lugbook("history", tmp_path, "--on", "soon").code == 2
    assert lugbook("history", tmp_path, "--index", "x", "--no-index").code == 2
    empty = tmp_path / "empty"
    empty.mkdir()
    assert "0 jobs" in lugbook("history", empty).out
