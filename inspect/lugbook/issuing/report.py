"""Issuing a report: it is made, frozen and entered in the trail, all of it or nothing."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from lugbook import __version__
from lugbook.compose.decided import compose_issue, with_decisions
from lugbook.data import data_folder
from lugbook.errors import LugbookError, UsageError
from lugbook.model.job import Job
from lugbook.model.problem import Problem
from lugbook.model.view import ReportView
from lugbook.pipeline.checking import Checked, check_job
from lugbook.pipeline.composing import composed
from lugbook.pipeline.judging import past_decisions
from lugbook.pipeline.language import language_files
from lugbook.pipeline.reporting import rendered
from lugbook.progress import Progress
from lugbook.render.data import report_json
from lugbook.render.page import Paper
from lugbook.render.pdf import Attached
from lugbook.trail.canonical import TrailError, canonical, digest, file_digest
from lugbook.trail.chain import TRAIL, Link
from lugbook.trail.check_job import check_job as check_trail
from lugbook.trail.check_signature import Signatures
from lugbook.trail.entries import Carried, FileSum, IssueBody, Supersedes
from lugbook.trail.events import begin, decisions_in, issues, recorder
from lugbook.trail.keys import Signer
from lugbook.trail.manifest import ENTRY_FILE, FINDINGS_JSON, MANIFEST, SUMS, Manifest, Program, sums_file
from lugbook.trail.plain import plain
from lugbook.trail.reading import Difference, Folder
from lugbook.trail.recording import Recording
from lugbook.trail.store import locked
from lugbook.words.catalogue import Words

ISSUED = "issued"
BUSINESS = "business.yaml"
# Notes of `check` that keep a report from being issued: unanswered items, and fields that a finished report needs.
OPEN = frozenset({"P501", "P502"})


class NotReadyError(LugbookError):
    """The job is not finished; nothing was issued."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        faulty = any(problem.severity == "error" for problem in problems)
        hint = (
            "the job has faults"
            if faulty
            else "the job is not finished; '--draft' marks every page and issues it as it is"
        )
        super().__init__(f"nothing was issued: {hint}")
        self.problems = problems


@dataclass(frozen=True, slots=True)
class Issued:
    """What came of it. `head` is the new head of the trail.

    `damaged` is what was not as it was recorded before: earlier revisions, notices, evidence, original pictures.
    """

    folder: Path
    head: str
    body: IssueBody
    damaged: tuple[Difference, ...] = ()


def begin_trail(
    folder: Path, *, recorded_by: str, clock_offset: str | None = None, carries: Carried | None = None
) -> str | None:
    """Begin a job's trail with the sums of what was captured, unless it has begun. Returns its head."""
    with locked(folder):
        recording = Recording(folder, recorded_by)
        if not recording.chain.links:
            begin(recording, __version__, clock_offset, carries)
            recording.commit()
        return recording.chain.head


def issue(
    folder: Path,
    progress: Progress,
    *,
    draft: bool,
    reason: str | None,
    recorded_by: str | None,
    signer: Signer | None,
    paper: Paper,
) -> Issued:
    """Issue the report of a job. Raises NotReadyError, UsageError, TrailError, OutputError."""
    with locked(folder):
        checked = check_job(folder, progress)
        _insist_on_finished(checked, draft=draft)
        job, view = composed(checked)
        name = recorder(folder, recorded_by, job.findings.report.electrician.name)
        recording = Recording(folder, name, signer)
        begin(recording, __version__)
        earlier = issues(recording.chain)
        if earlier and not reason:
            raise UsageError(
                f"revision {earlier[-1][1].revision} was issued already; add '--reason' to say why there is another"
            )
        if reason and not earlier:
            raise UsageError("the first issue takes the place of nothing; leave '--reason' out")
        damaged = _damaged(folder)
        body = _freeze(recording, job, view, progress, draft=draft, reason=reason, paper=paper)
        recording.commit()
        head = recording.chain.head
        assert head is not None, "an entry was just added"
        return Issued(folder / body.folder, head, body, damaged)


def _damaged(folder: Path) -> tuple[Difference, ...]:
    """What differs from the trail so far. It is said and stops nothing: what was lost may not come back."""
    found = check_trail(Folder(folder), Signatures(), None).differences if (folder / TRAIL).exists() else []
    return tuple(one for one in found if one.what != "not checked")


def _insist_on_finished(checked: Checked, *, draft: bool) -> None:
    unfinished = not draft and any(problem.code in OPEN for problem in checked.problems)
    if checked.job is None or unfinished:
        refused = [p for p in checked.problems if p.severity == "error" or p.code in OPEN]
        raise NotReadyError(tuple(refused))


def _freeze(
    recording: Recording,
    job: Job,
    view: ReportView,
    progress: Progress,
    *,
    draft: bool,
    reason: str | None,
    paper: Paper,
) -> IssueBody:
    """Put everything of the revision into the recording, and its entry."""
    earlier, words = issues(recording.chain), Words(job.language)
    last = earlier[-1] if earlier else None
    revision = last[1].revision + 1 if last else 1
    before = recording.chain.head
    assert before is not None, "the trail has begun"
    issue_view = compose_issue(
        revision, draft=draft, supersedes=last[1].revision if last else None, reason=reason, words=words
    )
    decided = {**past_decisions(job), **decisions_in(recording.chain)}
    view = with_decisions(view, decided, words).model_copy(
        update={"issue": issue_view, "draft": draft or view.draft}
    )
    place = f"{ISSUED}/{_slug(view.number)}-r{revision}"
    made = {FINDINGS_JSON: canonical(plain(job.findings)), "report.json": report_json(view)}
    covered = [FileSum(path=path, sha256=digest(data)) for path, data in made.items()]
    for path, source in sources(job):
        entry = FileSum(path=path, sha256=file_digest(source))
        recording.copy(f"{place}/{path}", source, entry.sha256)
        covered.append(entry)
    _insist_on_same(job, covered)
    manifest = Manifest(
        number=view.number,
        revision=revision,
        draft=draft,
        program=Program(version=__version__),
        previous=before,
        files=tuple(sorted(covered, key=lambda file: file.path)),
    ).to_bytes()
    made[MANIFEST] = manifest
    printed = view.model_copy(update={"issue": issue_view.model_copy(update={"manifest": digest(manifest)})})
    attached = (
        Attached(MANIFEST, words("issue.manifest_file"), manifest, "application/json"),
        Attached(FINDINGS_JSON, words("issue.findings_file"), made[FINDINGS_JSON], "application/json"),
    )
    pages = rendered(job, printed, progress, pdf=True, paper=paper, attachments=attached)
    signature = recording.sign_report(pages["report.pdf"])
    if signature is not None:
        pages["report.pdf.sig"] = signature
    outputs = tuple(FileSum(path=path, sha256=digest(data)) for path, data in sorted(pages.items()))
    body = IssueBody(
        number=view.number,
        revision=revision,
        draft=draft,
        folder=place,
        manifest=digest(manifest),
        outputs=outputs,
        supersedes=Supersedes(revision=last[1].revision, entry=last[0].sum) if last else None,
        reason=reason,
    )
    day = job.findings.report.date or job.findings.report.visit.date
    link = recording.add(body, day.isoformat() if day else view.day)
    made |= pages | _stand_alone(recording, link, manifest, covered, outputs)
    for path, data in made.items():
        recording.file(f"{place}/{path}", data)
    return body


def _stand_alone(
    recording: Recording, link: Link, manifest: bytes, covered: list[FileSum], outputs: tuple[FileSum, ...]
) -> dict[str, bytes]:
    """The entry beside the revision that it is about, its signature, and a list for `sha256sum -c`."""
    made = {ENTRY_FILE: link.line}
    signature = recording.sign_entry(link)
    if signature is not None:
        made[f"{ENTRY_FILE}.sig"] = signature
    listed = [FileSum(path=path, sha256=digest(data)) for path, data in {MANIFEST: manifest, **made}.items()]
    made[SUMS] = sums_file([*covered, *outputs, *listed])
    return made


def sources(job: Job) -> Iterator[tuple[str, Path]]:
    """Every file that the report is made from, by its path inside the revision."""
    folder = job.folder
    yield "findings.yaml", folder / "findings.yaml"
    lists = data_folder("checklists")
    for name in job.findings.report.checklists:
        if name.endswith(".yaml"):
            yield Path(name).as_posix(), folder / name
        else:
            yield f"checklists/{name}.yaml", lists / f"{name}.yaml"
    for group in job.checklist.groups:
        shared = lists / "groups" / f"{group.id}.yaml"
        if shared.is_file():
            yield f"checklists/groups/{group.id}.yaml", shared
    installation = job.findings.installation
    for name in installation.bases if installation is not None else ():
        own = name.endswith(".yaml")
        inside = Path(name).as_posix() if own else f"checklists/bases/{name}.yaml"
        yield inside, folder / name if own else lists / "bases" / f"{name}.yaml"
    if job.findings.rates is not None:
        yield Path(job.findings.rates).as_posix(), folder / job.findings.rates
    yield from language_files(job)
    business = next(
        (p / BUSINESS for p in (folder, folder.resolve().parent) if (p / BUSINESS).is_file()), None
    )
    if business is not None:
        yield BUSINESS, business
    if job.business.logo is not None and business is not None:
        yield job.business.logo.relative_to(business.parent).as_posix(), job.business.logo
    for path in sorted(set(job.pictures.values())):
        yield path.relative_to(folder).as_posix(), path


def _insist_on_same(job: Job, covered: list[FileSum]) -> None:
    """What was judged is what is frozen, and all of it."""
    frozen = {file.sha256 for file in covered}
    for name, sum_ in job.digests:
        if sum_ not in frozen:
            raise TrailError(f"'{name}' was changed while the report was made; nothing was issued")


def _slug(number: str) -> str:
    """The report's number as a folder name that every disk takes."""
    return re.sub(r"[^A-Za-z0-9._-]+", "-", number).strip(".-")[:60] or "report"
