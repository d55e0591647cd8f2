"""The stages in order: load -> assess -> compose -> render -> write. Every command that makes a report passes here."""

from __future__ import annotations

import json
import os
from collections.abc import Iterable, Iterator, Mapping
from concurrent.futures import Executor
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from lugbook.assess.changes import changes_of, compare, decided_before
from lugbook.assess.diagnosis.narrow import narrowed
from lugbook.assess.diagnosis.run import Diagnoser
from lugbook.assess.evidence.shore_limits import CONTINUITY, DELAYED, INSULATION, PROMPT, RCD
from lugbook.assess.judge import assess
from lugbook.assess.risk import MATRIX, SEVERITIES
from lugbook.assess.sizing import answer, suits
from lugbook.assess.suggest import suggest
from lugbook.cache import Cache, usual_cache
from lugbook.compose.common import Phrases
from lugbook.compose.contact import compose_contact
from lugbook.compose.decided import with_decisions
from lugbook.compose.diagnosis import compose_diagnosis, diagnosis_data, diagnosis_lines
from lugbook.compose.diagnosis_names import Spots
from lugbook.compose.report import LOGO, SIGNATURE, compose
from lugbook.compose.size import SizeView, compose_size
from lugbook.compose.skeleton import skeleton
from lugbook.compose.suggest import compose_suggestions
from lugbook.compose.words_skeleton import words_skeleton
from lugbook.errors import InputRefusedError, OutputError, UsageError
from lugbook.load.bases import load_bases, shipped_bases
from lugbook.load.checklists import load_checklists, shipped, shipped_items
from lugbook.load.contradictions import contradicted, report_contradictions
from lugbook.load.crosscheck import NEEDED
from lugbook.load.export import read_export
from lugbook.load.export_names import folded, is_expected, name_fault
from lugbook.load.faults import build
from lugbook.load.files import read_document
from lugbook.load.ids import with_ids
from lugbook.load.job import FINDINGS, load_job
from lugbook.load.language import Gaps, gaps, known_sentences, load_language
from lugbook.load.merge import merge
from lugbook.load.merge_ids import colliding, pictures_named, renamed
from lugbook.load.pictures import PHOTOS
from lugbook.load.translations import load_translations, translation_files, untranslated
from lugbook.load.tree import Document, parse
from lugbook.memory import Memory
from lugbook.model.assessed import Assessed
from lugbook.model.capture import CaptureRules
from lugbook.model.changes import Changes
from lugbook.model.checklist import Checklist
from lugbook.model.decided import Decided
from lugbook.model.diagnosis import Diagnosis
from lugbook.model.export import Choose, Export, Merged
from lugbook.model.findings import Box, Findings
from lugbook.model.job import Job, PictureFacts, photos_of
from lugbook.model.notice import NoticeFile
from lugbook.model.problem import Problem, has_errors
from lugbook.model.schema import SCHEMA, schema_json
from lugbook.model.sizing import Refusal
from lugbook.model.sizing_question import read_question
from lugbook.model.view import ContactEntry, PictureView, ReportView
from lugbook.progress import Progress
from lugbook.render.data import report_json
from lugbook.render.defects_csv import defects_csv
from lugbook.render.first_fit import fits
from lugbook.render.live import live_frame
from lugbook.render.own_language import mark_language, own_texts
from lugbook.render.page import Paper, contact_page, data_uri, fonts, print_page, screen_page
from lugbook.render.parts import parts_csv, parts_page
from lugbook.render.pdf import Attached, PdfError, PdfUnavailable, Resource, write_pdf
from lugbook.trail.events import decisions
from lugbook.trail.plain import plain
from lugbook.words.catalogue import ENGLISH, Words, load_words, shipped_language, shipped_languages
from lugbook.write import write_file, write_files

if TYPE_CHECKING:
    from lugbook.photos import Prepared
    from lugbook.picture_work import Done, Task

# Long edges of prepared pictures in pixels: a picture is at most 105 mm wide in print, which makes 240 dpi.
LONG_EDGE = 1000
COVER_EDGE = 1400
THUMB_EDGE = 260
THUMB_ASPECT = 4 / 3
CONTACT_EDGE = 420


@dataclass(frozen=True, slots=True)
class Checked:
    """A job with what is wrong with it; `job` is None if it must be refused. `facts` are those of its pictures."""

    job: Job | None
    problems: tuple[Problem, ...]
    facts: dict[str, PictureFacts]


@dataclass(frozen=True, slots=True)
class Studio:
    """Where pictures are worked on: by the workers of an executor (None: as many as there are cores), with a cache."""

    executor: Executor | None = None
    cache: Cache = field(default_factory=usual_cache)


def _refused(folder: Path, problems: Iterable[Problem]) -> InputRefusedError:
    """The refusal of a job, its problems with the folder before the file."""
    return InputRefusedError(tuple(replace(p, file=(folder / p.file).as_posix()) for p in problems))


def give_ids(folder: Path) -> list[str]:
    """Write the missing defect ids into the findings; returns those given. A file that cannot be read is left alone."""
    document = read_document(folder / FINDINGS, FINDINGS)
    try:
        text, ids = with_ids(document)
    except ValueError as error:
        raise OutputError(str(error)) from error
    if text != document.text:
        write_file(folder / FINDINGS, text.encode("utf-8"))
    return ids


def readable(text: str) -> bool:
    """Whether a text is YAML without faults of form."""
    return not parse(text, "text").problems


def check_job(
    folder: Path,
    progress: Progress,
    *,
    strict: bool = False,
    ready: bool = False,
    studio: Studio | None = None,
    memory: Memory | None = None,
    language: str | None = None,
) -> Checked:
    """Load a job and look into every picture that it uses. `language` takes the place of the findings' own.

    With `ready` each picture is also prepared for a report, while it is decoded anyway, and kept in the cache.
    """
    job, problems = load_job(folder, language)
    if job is None:
        return Checked(None, problems, {})
    facts, faults = _examine(job, progress, studio or Studio(), memory, ready=ready)
    problems = tuple(sorted((*problems, *faults), key=lambda problem: problem.place))
    return Checked(None if has_errors(problems, strict=strict) else job, problems, facts)


def weighed(checked: Checked, folder: Path) -> tuple[Assessed | None, tuple[Problem, ...]]:
    """A checked job, judged, and all its problems: those that only the judgement shows are among them."""
    if checked.job is None:
        return None, checked.problems
    assessed = assess(checked.job)
    found = contradicted(assessed)
    if not found:
        return assessed, checked.problems
    document = read_document(folder / FINDINGS, FINDINGS)
    report_contradictions(found, assessed, document)
    return assessed, tuple(sorted({*checked.problems, *document.problems}, key=lambda one: one.place))


def _examine(
    job: Job, progress: Progress, studio: Studio, memory: Memory | None, *, ready: bool
) -> tuple[dict[str, PictureFacts], list[Problem]]:
    """The pictures' facts, and a problem for each that cannot be used."""
    files = [(f"photos/{name}", name, path) for name, path in job.pictures.items()]
    if job.business.logo is not None:
        files.append((job.business.logo.name, "", job.business.logo))
    facts: dict[str, PictureFacts] = {}
    faults: list[Problem] = []
    if not files:
        return facts, faults
    from lugbook.picture_work import Task, Wish

    shown: dict[str, tuple[Wish, ...]] = {}
    if ready and studio.cache.folder is not None:
        shown = {photo.file: (Wish(LONG_EDGE, photo.marks),) for _, photo in photos_of(job.findings)}
    tasks = [Task(path, shown.get(name, ()), studio.cache, look=True) for _, name, path in files]
    done = progress.each(_worked(tasks, studio, memory), len(tasks), "looking into pictures")
    for (place, name, _), one in zip(files, done, strict=True):
        if one.facts is not None:
            facts[name] = one.facts
        if (fault := one.fault) is not None:
            faults.append(Problem(place, 0, 0, "", fault.code, "error", fault.message, fault.hint))
    return facts, faults


def _worked(tasks: list[Task], studio: Studio, memory: Memory | None) -> Iterator[Done]:
    """What came of tasks with pictures; with a memory, only those of changed files are done."""
    from lugbook.picture_work import do, work_through

    if memory is None:
        yield from work_through(tasks, studio.executor)
        return
    for task in tasks:
        yield memory.of(task.path, (task.wishes, task.look), partial(do, task))


def watch_frame(title: str) -> tuple[str, str]:
    """The frame for a report that is being written, and its content security policy."""
    return live_frame(title, load_words())


def live_page(folder: Path, memory: Memory) -> tuple[str | None, tuple[Problem, ...]]:
    """The report as HTML, None if the job has errors, and what is to be said of it. Pictures come from `memory`."""
    quiet = Progress(quiet=True)
    checked = check_job(folder, quiet, memory=memory)
    if checked.job is None:
        return None, checked.problems
    job, view = _decided(checked, memory)
    resources = dict(_pictures(job, view, quiet, Studio(), memory))
    return _in_their_language(screen_page(view, Words(job.language), resources), job), checked.problems


def _decided(checked: Checked, memory: Memory | None = None) -> tuple[Job, ReportView]:
    """The job and its finished view, with every decision up to now."""
    job, view = composed(checked, memory)
    return job, with_decisions(view, {**past_decisions(job), **decisions(job.folder)}, Words(job.language))


def make_report(
    checked: Checked, out: Path, progress: Progress, *, pdf: bool, paper: Paper, studio: Studio | None = None
) -> tuple[Path, ...]:
    """Write report.html, report.json, defects.csv and, if wanted, report.pdf into `out`."""
    job, view = _decided(checked)
    pages = rendered(job, view, progress, pdf=pdf, paper=paper, studio=studio)
    data = {"report.json": report_json(view), "defects.csv": defects_csv(view)}
    return write_files(out, {**data, **pages, **_parts_files(view, Words(job.language))})


def suggestions(folder: Path) -> str:
    """A `remedy:` block from the analyses. Raises InputRefusedError, or UsageError without an installation."""
    job, problems = load_job(folder)
    if job is None:
        raise _refused(folder, problems)
    words = Words(job.language)
    if job.network is None:
        raise UsageError(words("suggest.no_installation"))
    assessed = assess(job)
    return compose_suggestions(suggest(assessed), assessed, words, plain)


def make_parts(checked: Checked, out: Path) -> tuple[Path, ...]:
    """Write parts.csv and parts.html into `out`. Raises UsageError if nobody has accepted a proposal."""
    job, view = composed(checked)
    words = Words(job.language)
    files = _parts_files(view, words)
    if not files:
        raise UsageError(words("parts.nothing"))
    return write_files(out, files)


def _parts_files(view: ReportView, words: Words) -> dict[str, bytes]:
    """The parts list as files; none without an accepted proposal."""
    parts = view.remedy.parts if view.remedy else None
    if parts is None:
        return {}
    return {"parts.csv": parts_csv(parts, words), "parts.html": parts_page(view, parts, words)}


def judged(folder: Path, progress: Progress) -> Assessed:
    """A job, loaded and judged. Raises InputRefusedError if it has errors."""
    return judged_with_facts(folder, progress)[0]


def judged_unseen(folder: Path) -> Assessed:
    """The same without looking into its pictures."""
    job, problems = load_job(folder)
    if job is None:
        raise InputRefusedError(problems)
    return assess(job)


def judged_with_facts(folder: Path, progress: Progress) -> tuple[Assessed, dict[str, PictureFacts]]:
    """The same, with the facts of its pictures."""
    checked = check_job(folder, progress)
    if checked.job is None:
        raise _refused(folder, checked.problems)
    return assess(checked.job), checked.facts


def changes_between(old: Assessed, new: Assessed) -> Changes:
    """What changed from one judged job to another."""
    return compare(old, new)


def prepared(
    wanted: Iterable[tuple[str, Path, PictureView]], count: int, progress: Progress
) -> dict[str, Resource]:
    """Pictures by their keys, scaled for the page, marks drawn, without their metadata."""
    if not count:
        return {}
    from lugbook.photos import PictureFault, prepare

    made = {}
    for key, path, picture in progress.each(wanted, count, "preparing pictures"):
        try:
            one = prepare(path, long_edge=LONG_EDGE, marks=picture.marks)
        except PictureFault as fault:
            raise OutputError(f"{fault.message}; it changed meanwhile") from fault
        made[key] = Resource(one.data, one.media_type)
    return made


def past_decisions(job: Job) -> dict[str, Decided]:
    """Defect id -> what was decided about it after an earlier visit, as the findings carry it."""
    return decided_before(job.findings)


def composed(checked: Checked, memory: Memory | None = None) -> tuple[Job, ReportView]:
    """The job and its finished view. Raises InputRefusedError if the job has errors."""
    if checked.job is None:
        raise InputRefusedError(checked.problems)
    job = checked.job
    asked = (repr(job.findings.installation), repr(job.findings.readings))
    found = (memory or Memory()).same("diagnosis", asked, partial(diagnosed, job))
    assessed = assess(job)
    return job, compose(assessed, Words(job.language), checked.facts, changes_of(assessed), found)


def rendered(
    job: Job,
    view: ReportView,
    progress: Progress,
    *,
    pdf: bool,
    paper: Paper,
    attachments: tuple[Attached, ...] = (),
    studio: Studio | None = None,
) -> dict[str, bytes]:
    """report.html and, if wanted, report.pdf of a view."""
    words = Words(job.language)
    resources = dict(_pictures(job, view, progress, studio or Studio()))
    files = {"report.html": _in_their_language(screen_page(view, words, resources), job).encode()}
    if pdf:
        progress.step("laying out the PDF")
        try:
            first, *closer = fits(view, paper)
            files["report.pdf"] = write_pdf(
                _in_their_language(print_page(view, words, paper, first), job),
                resources={**resources, **fonts()},
                attachments=attachments,
                created=created(view.day),
                closer=[partial(print_page, view, words, paper, fit) for fit in closer],
            )
        except PdfUnavailable as error:
            raise OutputError(f"{error} Or ask for '--html-only'.") from error
        except PdfError as error:
            raise OutputError(f"the PDF cannot be made: {error}") from error
        finally:
            progress.done()
    return files


def _in_their_language(page: str, job: Job) -> str:
    """The page with the inspector's own texts marked, where they are in another language than the report."""
    report = job.findings.report
    written = report.written_in or report.language
    if written == job.language.code:
        return page
    return mark_language(page, own_texts(job.findings.model_dump(mode="json")), written)


def contact_sheet(checked: Checked, out: Path, progress: Progress) -> tuple[Path, ...]:
    """Write contact-sheet.html: the pictures in the folder that nothing uses, with their names and times."""
    if checked.job is None:
        raise InputRefusedError(checked.problems)
    from lugbook.photos import PictureFault, capture_time, prepare

    words = Words(checked.job.language)
    entries: list[ContactEntry] = []
    for path in progress.each(checked.job.unused, len(checked.job.unused), "preparing pictures"):
        name = path.relative_to(checked.job.folder / PHOTOS).as_posix()
        try:
            prepared = prepare(path, long_edge=CONTACT_EDGE)
        except PictureFault as fault:
            entries.append(compose_contact(name, words, fault=fault.message))
            continue
        picture = Resource(prepared.data, prepared.media_type)
        entries.append(compose_contact(name, words, picture=data_uri(picture), taken=capture_time(path)))
    return write_files(out, {"contact-sheet.html": contact_page(entries, words).encode()})


def _pictures(
    job: Job, view: ReportView, progress: Progress, studio: Studio, memory: Memory | None = None
) -> Iterator[tuple[str, Resource]]:
    """Every picture of the view, scaled to its printed size, marks drawn, without its metadata."""
    wanted = list(_wanted(job, view))
    if not wanted:
        return
    from lugbook.picture_work import Task, Wish

    tasks: list[Task] = []
    for _, path, picture, edge in wanted:
        small = edge == THUMB_EDGE  # too small for marks; cut to one shape so that the list is even
        marks = picture.marks if picture is not None and not small else ()
        tasks.append(Task(path, (Wish(edge, marks, THUMB_ASPECT if small else None),), studio.cache))
    done = progress.each(_worked(tasks, studio, memory), len(tasks), "preparing pictures")
    listed = dict(job.digests)
    sums = {path: listed.get(f"{PHOTOS}/{name}") for name, path in job.pictures.items()}
    for (key, path, *_), one in zip(wanted, done, strict=True):
        if one.fault is not None:  # it was there when the job was checked
            raise OutputError(f"{one.fault.message}; it changed while the report was made") from one.fault
        printed = sums.get(path)  # the report prints the sum of what it shows; a redacted copy prints none
        if one.sum is not None and printed is not None and one.sum != printed:
            raise OutputError(f"'{path.name}' changed while the report was made; make it again")
        (made,) = one.made
        yield key, Resource(made.data, made.media_type)


def _wanted(job: Job, view: ReportView) -> Iterator[tuple[str, Path, PictureView | None, int]]:
    cover = view.first.picture
    thumbs = {urgent.thumb for urgent in view.first.urgent}
    for picture in view.pictures:
        path = job.pictures[picture.file]
        yield picture.key, path, picture, COVER_EDGE if picture is cover else LONG_EDGE
        if picture.thumb in thumbs:
            yield picture.thumb, path, picture, THUMB_EDGE
    if job.business.logo is not None:
        yield LOGO, job.business.logo, None, LONG_EDGE
    if job.findings.report.signature.image is not None:
        yield SIGNATURE, job.pictures[job.findings.report.signature.image], None, LONG_EDGE


def covered_copy(path: Path, boxes: tuple[Box, ...]) -> Prepared:
    """A picture without its metadata and with solid blocks over the boxes, for copies for third parties."""
    from lugbook.photos import PictureFault, prepare

    try:
        return prepare(path, long_edge=COVER_EDGE, quality=90, cover=boxes)
    except PictureFault as fault:
        raise OutputError(f"{fault.message}; it changed meanwhile") from fault


def created(day: str) -> datetime:
    """The date that the document carries: SOURCE_DATE_EPOCH if set, otherwise the report's own. Never the clock."""
    epoch = os.environ.get("SOURCE_DATE_EPOCH", "")
    if epoch.isdigit():
        return datetime.fromtimestamp(int(epoch), UTC)
    return datetime.fromisoformat(day).replace(tzinfo=UTC)


def spoken(language: str, folder: Path) -> tuple[Words, tuple[Problem, ...]]:
    """The words of a language, for what is printed without findings; and what is wrong with it."""
    document = Document("options", "")
    found = load_language(language, folder, document, ("language",))
    return Words(found), tuple(p for p in document.problems if p.severity == "error")


def language_gaps(code: str, folder: Path) -> Gaps:
    """What a language lacks: one that ships, or the user's own in `folder`. Raises InputRefusedError."""
    document = Document("options", "")
    language = load_language(code, folder, document, ("language",))
    items = untranslated(language, shipped_items(), document)
    if has_errors(tuple(document.problems)):
        raise InputRefusedError(tuple(p for p in document.problems if p.severity == "error"))
    return replace(gaps(language), items=items)


def languages() -> tuple[str, ...]:
    """The codes of the languages that ship."""
    return shipped_languages()


def language_skeleton(code: str) -> str:
    """A language file to begin with: every key empty, with its English beside it."""
    return words_skeleton(code, shipped_language(ENGLISH), known_sentences())


def language_files(job: Job) -> Iterator[tuple[str, Path]]:
    """What the words of a report came from besides the program: its language's files, by their path in a revision."""
    yield from job.language.own.items()
    used = {*job.checklist.ids, *(f"groups/{group.id}" for group in job.checklist.groups)}
    for part, path in translation_files(job.language):
        if part in used and path not in job.language.own.values():
            yield f"checklists/{job.language.code}/{part}.yaml", path


def chosen_words(job: Job | None, language: str | None, folder: Path) -> Words:
    """The words of a job; of the language asked for where the job cannot be loaded. Raises UsageError."""
    if job is not None:
        return Words(job.language)
    words, faults = spoken(language or ENGLISH, folder)
    if faults:
        raise UsageError(f"{faults[0].message}; {faults[0].hint}")
    return words


def read_lists(names: tuple[str, ...]) -> Checklist:
    """The shipped checklists of these names. Raises InputRefusedError if there is no such list."""
    document = Document("lugbook", "")
    checklist = load_checklists(names, Path(), document)
    if document.problems:
        raise InputRefusedError(tuple(document.problems))
    return checklist


def spoken_lists(names: tuple[str, ...], code: str) -> Checklist:
    """The same in a language; what it does not translate stays English. Raises InputRefusedError."""
    checklist, document = read_lists(names), Document("options", "")
    language = load_language(code, Path(), document, ("language",))
    if language.code == ENGLISH:
        return checklist
    made = load_translations(language, shipped_items(), document).checklist(checklist)
    if has_errors(tuple(document.problems)):
        raise InputRefusedError(tuple(document.problems))
    return made


def shipped_lists() -> tuple[str, ...]:
    """The ids of the checklists that ship."""
    return shipped()


def read_notice(source: Path | dict[str, object]) -> NoticeFile:
    """A notice from its file, or from what the command line gave. Raises InputRefusedError."""
    if isinstance(source, Path):
        document = read_document(source, source.as_posix())
    else:
        document = parse(json.dumps(source, ensure_ascii=False), "options")
    notice = build(NoticeFile, document)
    if notice is None:
        raise InputRefusedError(tuple(document.problems))
    return notice


def start_job(folder: Path, names: tuple[str, ...]) -> tuple[Path, ...]:
    """Make a new job: the findings' skeleton, the folder for photos, the schema for editors."""
    checklist = read_lists(names)
    files = {
        FINDINGS: skeleton(folder.resolve().name, checklist).encode(),
        SCHEMA: schema_json(Findings),
    }
    written = write_files(folder, files)
    (folder / PHOTOS).mkdir(exist_ok=True)
    return (*written, folder / PHOTOS)


@dataclass(frozen=True, slots=True)
class Sized:
    """The answer to a question of size; `view` is None if the question must be refused."""

    view: SizeView | None
    refusals: tuple[Refusal, ...]


def answer_size(options: Mapping[str, object], folder: Path, language: str = ENGLISH) -> Sized:
    """Size a cable from the command's options. Bases are shipped ones, or files in `folder`."""
    question, refusals = read_question(options)
    asked = options.get("basis") or ("good-practice",)
    names = tuple(str(name) for name in asked) if isinstance(asked, list | tuple) else (str(asked),)
    document = parse(json.dumps({"basis": names}, ensure_ascii=False), "options")
    bases = load_bases(names, folder, document, ("basis",))
    refusals += tuple(
        Refusal("basis", problem.message if problem.file == "options" else f"{problem.file}:{problem.line}: {problem.message}", problem.hint)
        for problem in document.problems
    )  # fmt: skip
    words, faults = spoken(language, folder)
    refusals += tuple(Refusal("language", fault.message, fault.hint) for fault in faults)
    if question is not None:
        refusals += suits(question, bases)
    if question is None or refusals:
        return Sized(None, refusals)
    practice = load_bases(("good-practice",), folder, document, ("basis",))
    return Sized(compose_size(answer(question, bases, practice[0]), words), ())


@dataclass(frozen=True, slots=True)
class Diagnosed:
    """What the readings of a job say, for a terminal and for programs."""

    lines: tuple[str, ...]
    data: dict[str, Any]


def diagnose_job(folder: Path, language: str | None = None) -> Diagnosed:
    """Weigh the causes of a fault on the charging path. Raises InputRefusedError or UsageError."""
    job, problems = load_job(folder, language)
    if job is None:
        raise _refused(folder, problems)
    words = Words(job.language)
    if job.network is None:
        raise UsageError(words("diagnosis.no_installation"))
    found = diagnosed(job)
    if found is None:
        raise UsageError(words("diagnosis.no_readings"))
    spots = Spots(job.network, job.findings, Phrases(words))
    view = compose_diagnosis(found, words, spots)
    return Diagnosed(diagnosis_lines(view, words), diagnosis_data(found, view, words, spots))


def diagnosed(job: Job) -> Diagnosis | None:
    """What the readings say of the charging path; None if none of them names its place in the installation."""
    meant = [one for one in job.findings.readings if one.state_id or one.at or one.in_]
    placed = [one for one in meant if one.state_id and (one.at or one.in_)]
    if job.network is None or not placed:
        return None
    return Diagnoser(narrowed(job.network, placed)).diagnose(meant)


def opened_export(archive: Path, into: Path, progress: Progress) -> Export:
    """An export of the capture page, checked and laid out in the empty folder `into`. Raises InputRefusedError."""
    progress.step("checking the export")
    try:
        export, problems = read_export(archive, into)
    finally:
        progress.done()
    faults = list(problems)
    if export is not None:
        from lugbook.photos import PictureFault, kind_of

        for path in export.photos:
            try:
                kind_of(into / path)
            except PictureFault as fault:
                # Any other fault of a picture is left to 'check': the phone has nothing better to give.
                if fault.code == "P304":
                    faults.append(Problem(path, 0, 0, "", fault.code, "error", fault.message, fault.hint))
    if export is None or faults:
        inside = [
            replace(p, file=f"{archive.as_posix()}/{p.file}" if p.file else archive.as_posix())
            for p in faults
        ]
        raise InputRefusedError(tuple(inside))
    return export


def known_electrician(folder: Path) -> str | None:
    """The inspector's name, as far as the findings can be read."""
    document = read_document(folder / FINDINGS, FINDINGS)
    data = document.plain() if document.root is not None else None
    for key in ("report", "electrician", "name"):
        data = data.get(key) if isinstance(data, dict) else None
    return str(data) if isinstance(data, str) and data.strip() else None


def merged_findings(base: str, ours: str, theirs: str, choose: Choose) -> Merged:
    """Two versions of the findings put together, the defects of ours with ids. Raises InputRefusedError."""
    document = parse(ours, FINDINGS)
    if document.root is None or document.errors:
        raise InputRefusedError(tuple(document.problems))
    try:
        merged = merge(base, with_ids(document)[0], theirs, choose)
        return replace(merged, text=with_ids(parse(merged.text, FINDINGS))[0])
    except ValueError as error:
        raise OutputError(str(error)) from error


def other_ids(base: str, ours: str, theirs: str) -> dict[str, str]:
    """Ids that both sides gave to different defects -> those that theirs get."""
    return colliding(base, ours, theirs)


def with_other_names(text: str, defects: Mapping[str, str], photos: Mapping[str, str]) -> str:
    """Findings with other ids of defects and names of pictures."""
    return renamed(text, defects, photos)


def pictures_of(text: str) -> frozenset[str]:
    """The names of the pictures that findings speak of."""
    return pictures_named(text)


def folded_name(name: str) -> str:
    """What a name comes down to on a disk that knows neither capitals nor how accents are coded."""
    return folded(name)


def raw_findings(folder: Path) -> Any:
    """The findings as plain data, every scalar as the text that was written. Raises InputRefusedError."""
    document = read_document(folder / FINDINGS, FINDINGS)
    data = document.plain() if document.root is not None else None
    faults = tuple(p for p in document.problems if p.severity == "error")
    if faults or data is None:
        raise _refused(folder, faults)
    return data


def lists_of(folder: Path) -> tuple[tuple[str, str], ...]:
    """Name and edition of the checklists of a job, as far as they can be read."""
    document = read_document(folder / FINDINGS, FINDINGS)
    data = document.plain() if document.root is not None else {}
    report = data.get("report") if isinstance(data, dict) else None
    names = report.get("checklists") if isinstance(report, dict) else None
    checklist = load_checklists(tuple(map(str, names or ())), folder, Document(FINDINGS, ""))
    return tuple(zip(checklist.ids, checklist.editions, strict=False))


def is_picture(path: str) -> bool:
    """Whether a path of a job is that of a picture with a name that every disk can hold."""
    return path.startswith("photos/") and is_expected(path) and not name_fault(path)


def capture_rules() -> CaptureRules:
    """What the capture page must know of the rules, from the stages that own them and the basis of good practice."""
    document = Document("lugbook", "")
    (practice,) = load_bases(("good-practice",), Path(), document, ())
    every = load_bases(shipped_bases(), Path(), document, ())
    torque = practice.limits.torque
    return CaptureRules(
        matrix={probability: tuple(row) for probability, row in MATRIX.items()},
        severities=SEVERITIES,
        needed=NEEDED,
        torque={
            stud: (str(least.number), str(most.number))
            for stud, (least, most) in (torque.studs.items() if torque else ())
        },
        shore={
            "continuity": (CONTINUITY.value, CONTINUITY.clause),
            "insulation": {name: (row.least, row.clause) for name, row in INSULATION.items()},
            "prompt": PROMPT,
            "delayed": DELAYED,
            "half": RCD.value,
            "rcd": RCD.clause,
        },
        bases=tuple((basis.id, basis.title) for basis in every),
    )
