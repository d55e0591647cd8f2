"""Return visits: what is carried, what stays open, and how then and now are set side by side."""

from __future__ import annotations

import json
from pathlib import Path

import yaml
from return_jobs import UNSEEN, answered, begin, finished, full_return, result
from small_jobs import DEMO
from trail_jobs import DECIDE, FINDINGS, Story, files_of, lugbook, make_job, run

from lugbook.compose.yaml_text import yaml_text
from lugbook.pipeline.judging import changes_between, judged
from lugbook.progress import Progress
from lugbook.trail.events import decisions

RETURN = DEMO.with_name("wandering-plover-return")


def test_open_defects_are_carried_with_id_history_and_pictures(copied: Story, tmp_path: Path) -> None:
    new = tmp_path / "R-2"
    before = files_of(copied.job)
    data = yaml.safe_load(begin(copied.job, new))
    assert {path: data_ for path, data_ in files_of(copied.job).items() if path in before} == before
    results = {entry["item"]: entry for entry in data["results"]}
    carried = results["battery-fuse"]["defects"][0]
    assert (carried["id"], carried["now"], carried["seen"]) == ("d1", None, UNSEEN)
    then = carried["carried"]
    assert (then["report"], then["revision"], then["id"]) == ("T 7/2026", 2, "d1")
    assert (str(then["first_seen"]), then["level"], then["seen"]) == (
        "2026-06-02", "serious", "The cable leaves the post without a fuse.",
    )  # fmt: skip
    assert [photo["file"] for photo in then["photos"]] == ["T-7-2026/one.jpg", "T-7-2026/two.jpg"]
    assert then["photos"][1]["private"] is True
    assert then["photos"][0]["marks"][0]["mark"] == "ring"
    for name in ("one.jpg", "two.jpg"):
        copy = new / "photos" / "T-7-2026" / name
        assert copy.read_bytes() == (copied.first / "photos" / name).read_bytes()
    extra = data["extra"][0]
    assert extra["id"] == "d2"
    assert extra["carried"]["decided"]["decision"] == "declined"
    assert data["last_defect"] == 2
    assert data["report"]["craft"]["name"] == "Trial"
    assert data["report"]["client"]["name"] == "Ada Client"
    assert data["report"]["permission"] is None
    assert data["report"]["visit"]["date"] is None


def test_what_was_said_first_goes_along_as_history(copied: Story, tmp_path: Path) -> None:
    """The owner was warned then; whether that still holds, the visit of today decides. So it is no new notice."""
    plain = begin(copied.job, tmp_path / "R-2")
    assert "said_first:\n" in plain
    assert "It said first" not in plain
    assert (
        "# Notice of danger given then: 2026-06-02, The shore inlet is burnt and live. Cockpit: made safe\n"
        in plain
    )
    first = FINDINGS.replace(
        "  purpose: trial\n", "  purpose: trial\n  said_first: The owner was told to leave the inlet alone.\n"
    )
    (copied.job / "findings.yaml").write_text(first, encoding="utf-8")
    assert lugbook("issue", copied.job, "--reason", "The warning comes first.").code == 0
    text = begin(copied.job, tmp_path / "R-3")
    assert "# It said first: The owner was told to leave the inlet alone.\n" in text
    assert yaml.safe_load(text)["report"]["said_first"] is None
    assert lugbook("check", tmp_path / "R-3").code == 0
    assert not (tmp_path / "R-3" / "notices").exists()


def test_the_new_job_checks_but_cannot_be_issued_before_all_is_answered(
    copied: Story, tmp_path: Path
) -> None:
    new = tmp_path / "R-2"
    text = finished(begin(copied.job, new))
    checked = lugbook("check", new)
    assert checked.code == 0, checked.err
    assert checked.err.count("of the earlier visit has no answer yet [P501]") == 2
    text = result(result(text, "battery-fuse", "no departure seen"), "battery-strap", "no departure seen")
    text = answered(text, "d1", "fixed", UNSEEN)
    text = answered(text, "d2", "gone", "It was taken out.")
    (new / "findings.yaml").write_text(text, encoding="utf-8")
    refused = lugbook("issue", new)
    assert (refused.code, "'seen' does not say what was seen today" in refused.err) == (1, True)
    (new / "findings.yaml").write_text(text.replace(UNSEEN, "There is a fuse."), encoding="utf-8")
    issued = lugbook("issue", new)
    assert issued.code == 0, issued.err
    assert lugbook("verify", new).code == 0


def test_the_trail_goes_on_from_the_earlier_one(copied: Story, tmp_path: Path) -> None:
    new = tmp_path / "R-2"
    begin(copied.job, new)
    first = json.loads((new / "trail.jsonl").read_bytes().splitlines()[0])
    head = (copied.job / "trail.head").read_text(encoding="utf-8").split()[0]
    assert first["body"]["carries"] == {"number": "T 7/2026", "head": head}
    assert lugbook("verify", new).code == 0


def test_ids_are_never_given_again(copied: Story, tmp_path: Path) -> None:
    findings = copied.job / "findings.yaml"
    findings.write_text(FINDINGS.replace("last_defect: 2", "last_defect: 9"), encoding="utf-8")
    data = yaml.safe_load(begin(copied.job, tmp_path / "R-2"))
    assert data["last_defect"] == 9


def test_done_by_the_inspector_is_left_out_and_done_by_others_is_looked_at(
    copied: Story, tmp_path: Path
) -> None:
    assert lugbook("decide", copied.job, "d1", "done", "--by", "owner", *DECIDE).code == 0
    assert lugbook("decide", copied.job, "d2", "done", "--by", "inspector", *DECIDE).code == 0
    ran = lugbook("revisit", copied.job, tmp_path / "R-2")
    assert ran.code == 0
    assert "said to be done, and carried to be looked at: d1" in ran.out
    assert "recorded as done by the inspector, and left out: d2" in ran.out
    data = yaml.safe_load((tmp_path / "R-2" / "findings.yaml").read_text(encoding="utf-8"))
    assert data["extra"] == []


def test_a_report_sets_then_and_now_side_by_side(copied: Story, tmp_path: Path) -> None:
    new = full_return(copied.job, tmp_path / "R-2")
    assert "id: d3" in (new / "findings.yaml").read_text(encoding="utf-8")
    ran = lugbook("report", new, "-o", tmp_path / "out")
    assert ran.code == 0, ran.err
    view = json.loads((tmp_path / "out" / "R-2" / "report.json").read_bytes())
    rows = {row["id"]: row for row in view["changes"]["rows"]}
    assert [(row["id"], row["state"]) for row in view["changes"]["rows"]] == [
        ("d2", "worse"), ("d3", "new"), ("d1", "fixed"),
    ]  # fmt: skip
    assert len(rows["d1"]["before"]) == 2
    pair = rows["d1"]["pairs"][0] if rows["d1"]["pairs"] else None
    assert pair is None  # the reading belongs to the item, not to the defect
    assert {defect["id"] for defect in view["defects"]} == {"d2", "d3"}
    assert any(
        "Since the visit of 2 June 2026: 1 worse, 1 new, 1 put right." in line
        for line in view["first"]["verdict"]
    )
    text = " ".join(
        run("pdftotext", "-layout", tmp_path / "out" / "R-2" / "report.pdf", "-").stdout.decode().split()
    )
    assert "What has changed since the last visit" in text
    assert "A fuse is fitted beside the post." in text
    assert "Shown was revision 1 of report T 7/2026." in text
    assert "The buyer declined the work" in text


def test_readings_of_the_same_place_and_quantity_are_paired(tmp_path: Path) -> None:
    job = make_job(tmp_path / "trial")
    text = FINDINGS.replace(
        "        seen: The cable leaves", "        readings: [rest]\n        seen: The cable leaves"
    )
    (job / "findings.yaml").write_text(text, encoding="utf-8")
    new = full_return(job, tmp_path / "R-2")
    assert lugbook("report", new, "-o", tmp_path / "out", "--html-only").code == 0
    view = json.loads((tmp_path / "out" / "R-2" / "report.json").read_bytes())
    row = next(row for row in view["changes"]["rows"] if row["id"] == "d1")
    assert [(p["place"], p["before"], p["after"]) for p in row["pairs"]] == [
        ("Battery, post to post", "12.62\u00a0V", "12.71\u00a0V")
    ]
    assert "# - {id: rest, quantity: voltage, value: , place:" in begin(job, tmp_path / "R-3")


def test_a_second_return_visit_keeps_the_first_day_and_the_history(copied: Story, tmp_path: Path) -> None:
    new = full_return(copied.job, tmp_path / "R-2")
    data = yaml.safe_load(begin(new, tmp_path / "R-3"))
    extra = data["extra"][0]
    assert extra["id"] == "d2"
    assert str(extra["carried"]["first_seen"]) == "2026-06-02"
    assert extra["carried"]["report"] == "R-2"
    assert extra["carried"]["history"] == ["2026-06-02: report T 7/2026, low risk"] or (
        extra["carried"]["history"] == ["2026-06-02: report T 7/2026, medium risk"]
    )
    assert extra["carried"]["decided"]["decision"] == "declined"
    items = {entry["item"]: entry for entry in data["results"]}
    assert "defects" not in items["battery-fuse"]
    assert items["battery-strap"]["defects"][0]["id"] == "d3"


def test_a_decision_of_today_replaces_the_carried_one(copied: Story, tmp_path: Path) -> None:
    new = full_return(copied.job, tmp_path / "R-2")
    issued = lugbook("issue", new)
    assert issued.code == 0, issued.err
    later = (*DECIDE[:-1], "2026-09-20")
    assert lugbook("decide", new, "d2", "accepted", "--by", "owner", *later).code == 0
    assert decisions(new)["d2"].decision == "accepted"
    assert lugbook("issue", new, "--reason", "The owner was heard.").code == 0
    view = json.loads((new / "issued" / "R-2-r2" / "report.json").read_bytes())
    lines = next(defect["decided"] for defect in view["defects"] if defect["id"] == "d2")
    assert any("The owner accepted the work" in line for line in lines)
    assert not any("declined" in line for line in lines)


def test_refusals(copied: Story, tmp_path: Path) -> None:
    full = tmp_path / "full"
    full.mkdir()
    (full / "x").write_text("x", encoding="utf-8")
    assert lugbook("revisit", copied.job, full).code == 2
    assert sorted(path.name for path in full.iterdir()) == ["x"]
    broken = make_job(tmp_path / "broken")
    (broken / "findings.yaml").write_text("format: [", encoding="utf-8")
    ran = lugbook("revisit", broken, tmp_path / "R-9")
    assert (ran.code, "P003" in ran.err) == (1, True)
    assert not (tmp_path / "R-9").exists()


def test_now_needs_carried_and_results_must_agree(copied: Story, tmp_path: Path) -> None:
    job = make_job(tmp_path / "first")
    text = FINDINGS.replace("      - id: d1\n", "      - id: d1\n        now: fixed\n")
    (job / "findings.yaml").write_text(text, encoding="utf-8")
    assert "has no 'carried' [P207]" in lugbook("check", job).err
    new = tmp_path / "R-2"
    text = answered(begin(copied.job, new), "d1", "fixed", "There is a fuse.")
    (new / "findings.yaml").write_text(result(text, "battery-fuse", "defect"), encoding="utf-8")
    assert "every defect listed is fixed or gone [P207]" in lugbook("check", new).err
    text = answered(begin(copied.job, tmp_path / "R-3"), "d1", "open", "As before.")
    (new / "findings.yaml").write_text(result(text, "battery-fuse", "no departure seen"), encoding="utf-8")
    assert "defects are listed, but the result is" in lugbook("check", new).err


def test_yaml_text_is_read_back_as_it_was() -> None:
    data = {
        "plain": "Words, and more",
        "odd": ["yes", "1e3", "- x", "a: b", "a #b", "'", '"', "[", "", "12.6 V", "010", "é", "%", "@", "&x", "*x"],
        "long": "word " * 60 + "end",
        "lines": "first\nsecond " + "x" * 120 + "\n\nfourth",
        "indented": "a\n  - b\n  - c" + "x" * 90,
        "deep": [{"a": [1, 2.5], "b": {"c": None, "d": True}}, {"e": [[0.1, 0.2], [0.3, 0.4]]}],
        "empty": [],
    }  # fmt: skip
    data["long"] = data["long"].strip()
    assert yaml.safe_load(yaml_text(data)) == data


def test_the_demonstration_return_visit_goes_on_from_the_first_one() -> None:
    progress = Progress(quiet=True)
    old, new = judged(DEMO, progress), judged(RETURN, progress)
    assert lugbook("check", RETURN).out.startswith(f"{RETURN}: no problems\n")
    carried = {defect.id: defect.carried for defect in (*new.defects, *new.closed) if defect.carried}
    seen = {defect.id: defect for defect in old.defects if defect.seen is not None}
    assert set(carried) == set(seen)
    for key, then in carried.items():
        defect = seen[key]
        assert (then.title, then.seen, then.level, then.act_by) == (
            defect.title, defect.seen, defect.risk.level, defect.act_by,
        ), key  # fmt: skip
        assert [(r.place, r.value) for r in then.readings] == [(r.place, r.value) for r in defect.readings], (
            key
        )
        assert [Path(photo.file).name for photo in then.photos] == [photo.file for photo in defect.photos], (
            key
        )
        for photo in then.photos:
            original = DEMO / "photos" / Path(photo.file).name
            assert (RETURN / "photos" / photo.file).read_bytes() == original.read_bytes()
    states = [row.state for row in changes_between(old, new).rows]
    # The return visit enters no installation: of what was only computed, nobody can say what became of it.
    assert {state: states.count(state) for state in ("worse", "new", "fixed", "gone")} == {
        "worse": 1, "new": 1, "fixed": 19, "gone": 1,
    }  # fmt: skip
    assert any(one.decided and one.decided.decision == "declined" for one in carried.values())
    assert not new.job.unanswered
