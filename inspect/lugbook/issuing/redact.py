"""A copy of an issued report for third parties, with a manifest of its own that names the original's sum."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from lugbook import __version__
from lugbook.compose.redact import Scrubber, scrubber, withheld_findings
from lugbook.errors import UsageError
from lugbook.model.job import Business, Job, PictureFacts, photos_of
from lugbook.model.view import IssueView, ReportView
from lugbook.pipeline.checking import Checked, check_job
from lugbook.pipeline.composing import composed
from lugbook.pipeline.preparing import covered_copy
from lugbook.pipeline.reporting import rendered
from lugbook.progress import Progress
from lugbook.render.data import report_json
from lugbook.render.page import Paper
from lugbook.render.pdf import Attached
from lugbook.trail.canonical import TrailError, canonical, digest
from lugbook.trail.entries import FileSum
from lugbook.trail.events import shown
from lugbook.trail.keys import Signer
from lugbook.trail.manifest import FINDINGS_JSON, MANIFEST, SUMS, Manifest, Program, parse_manifest, sums_file
from lugbook.trail.people import PEOPLE, parse_people
from lugbook.trail.plain import plain
from lugbook.trail.store import read_trail
from lugbook.words.catalogue import Words
from lugbook.write import write_files

REPORT = "report.json"
# Keys of the data whose values are words of the format, ids or names of files made here.
KEPT = frozenset(
    {
        "level",
        "act_by",
        "state",
        "result_key",
        "id",
        "item",
        "anchor",
        "key",
        "thumb",
        "file",
        "mark",
        "format",
    }
)


@dataclass(frozen=True, slots=True)
class Redacted:
    """What came of it: the files, and how many pictures were left out or covered."""

    folder: Path
    files: tuple[Path, ...]
    left_out: int
    covered: int


def redact(
    folder: Path,
    out: Path | None,
    progress: Progress,
    *,
    revision: int | None,
    withhold: Iterable[str] = (),
    signer: Signer | None,
    paper: Paper,
) -> Redacted:
    """Make the copy, of the last revision unless told otherwise. `folder` may be the revision itself."""
    source, people = _source(folder, revision)
    try:
        original = (source / MANIFEST).read_bytes()
        manifest = parse_manifest(original)
        issued = json.loads((source / REPORT).read_bytes())
    except (OSError, ValueError) as error:
        raise TrailError(f"{source} cannot be read; 'lugbook verify' says what differs") from error
    if manifest.redacted_from is not None:
        raise UsageError(f"'{source}' is a copy for third parties already")
    checked = check_job(source, progress)
    if checked.job is None:
        raise TrailError(f"{source} cannot be read; 'lugbook verify' says what differs")
    target = out or Path("out") / f"redacted-{digest(original)[:8]}"
    if target.exists() and any(target.iterdir()):
        raise UsageError(f"'{target}' is not empty; name a new folder with '--out'")
    words = Words(checked.job.language)
    scrub = scrubber(checked.job.findings, checked.job.business, people, withhold)
    with tempfile.TemporaryDirectory(prefix="lugbook-") as waiting:
        withheld, facts, counts = _withheld(checked.job, Path(waiting), words)
        _, view = composed(Checked(withheld, (), facts))
        try:
            view = _scrubbed(view, issued, manifest.revision, digest(original), scrub, words)
        except (KeyError, TypeError, AttributeError) as error:
            raise TrailError(
                f"{source / REPORT} cannot be read; 'lugbook verify' says what differs"
            ) from error
        files = _files(withheld, view, manifest, digest(original), scrub, progress, paper, words)
    signature = signer.sign_report(files["report.pdf"]) if signer else None
    if signature is not None:
        files["report.pdf.sig"] = signature
    files[SUMS] = sums_file(FileSum(path=path, sha256=digest(data)) for path, data in files.items())
    return Redacted(target, write_files(target, files), *counts)


def _source(folder: Path, revision: int | None) -> tuple[Path, list[str]]:
    """The revision's folder, and the names and contacts that the job's trail keeps."""
    if (folder / MANIFEST).is_file():
        return folder, _people(folder.resolve().parent.parent)
    _, issue = shown(read_trail(folder), revision)
    return folder / issue.folder, _people(folder)


def _people(job: Path) -> list[str]:
    if not (job / PEOPLE).is_file():
        return []
    try:
        kept = parse_people((job / PEOPLE).read_bytes()).people.values()
    except (OSError, ValueError) as error:
        raise TrailError(f"{job / PEOPLE} cannot be read: {error}") from error
    return [text for person in kept for text in (person.name, person.contact) if text]


def _withheld(job: Job, waiting: Path, words: Words) -> tuple[Job, dict[str, PictureFacts], tuple[int, int]]:
    """The job with new pictures: private ones left out, private parts covered, all metadata gone, new names."""
    names: dict[int, str] = {}
    pictures: dict[str, Path] = {}
    facts: dict[str, PictureFacts] = {}
    left_out = covered = 0
    for n, (path, photo) in enumerate(photos_of(job.findings)):
        if photo.private or path[:3] == ("report", "craft", "photo"):
            left_out += 1
            continue
        made = covered_copy(job.pictures[photo.file], photo.cover)
        name = f"withheld-{n + 1}{'.png' if made.media_type == 'image/png' else '.jpg'}"
        (waiting / name).write_bytes(made.data)
        names[n], pictures[name] = name, waiting / name
        facts[name] = PictureFacts(made.width, made.height)
        covered += bool(photo.cover)
    findings = withheld_findings(job.findings, names, words)
    kept = replace(
        job,
        name="withheld",
        findings=findings,
        pictures=pictures,
        business=Business(),
        digests=(),
        rates=None,
    )
    return kept, facts, (left_out, covered)


def _scrubbed(
    view: ReportView, issued: dict[str, Any], revision: int, original: str, scrub: Scrubber, words: Words
) -> ReportView:
    """The view with the decisions as issued, without any text that is withheld.

    An older version of the program may have written the report: only what is needed of it is read.
    """
    decided = {defect["id"]: tuple(defect.get("decided", ())) for defect in issued["defects"]}
    defects = tuple(
        defect.model_copy(update={"decided": decided.get(defect.id, ())}) for defect in view.defects
    )
    lines = (words("redacted.line"), words("redacted.original", n=revision, sum=original))
    title = words("issue.revision", n=revision)
    said = tuple((issued.get("issue") or {}).get("lines", ()))
    view = view.model_copy(
        update={
            "defects": defects,
            "first": view.first.model_copy(update={"ask": words("first.ask_unknown")}),
            "decided_before": tuple(issued.get("decided_before", ())),
            "issue": IssueView(revision=revision, title=title, lines=(*lines, *said), manifest=None),
            "draft": bool(issued.get("draft")),
        }
    )
    return ReportView.model_validate(scrub.data(view.model_dump(mode="json"), KEPT))


def _files(
    job: Job,
    view: ReportView,
    manifest: Manifest,
    original: str,
    scrub: Scrubber,
    progress: Progress,
    paper: Paper,
    words: Words,
) -> dict[str, bytes]:
    findings = canonical(_without(scrub.data(plain(job.findings), KEPT)))
    view = view.model_copy(update={"files": ((FINDINGS_JSON, digest(findings)),)})
    made = {FINDINGS_JSON: findings, REPORT: report_json(view)}
    made[MANIFEST] = Manifest(
        number=words("redacted.withheld"),
        revision=manifest.revision,
        draft=manifest.draft,
        program=Program(version=__version__),
        previous=manifest.previous,
        files=tuple(FileSum(path=path, sha256=digest(data)) for path, data in sorted(made.items())),
        redacted_from=original,
    ).to_bytes()
    assert view.issue is not None, "a revision says which issue it is"
    issue = view.issue.model_copy(update={"manifest": digest(made[MANIFEST])})
    attached = (
        Attached(MANIFEST, words("issue.manifest_file"), made[MANIFEST], "application/json"),
        Attached(FINDINGS_JSON, words("issue.findings_file"), findings, "application/json"),
    )
    printed = view.model_copy(update={"issue": issue})
    return made | rendered(job, printed, progress, pdf=True, paper=paper, attachments=attached)


def _without(data: dict[str, object]) -> dict[str, object]:
    """The findings' data without what only the original needs: where it was covered, and which lists beside it."""

    def walk(value: object) -> object:
        if isinstance(value, dict):
            return {key: walk(one) for key, one in value.items() if key != "cover" and one is not None}
        return [walk(one) for one in value] if isinstance(value, list) else value

    made = walk(data)
    assert isinstance(made, dict), "findings are a mapping"
    return made
