"""The checklists that ship, and a new job from them."""

from __future__ import annotations

from pathlib import Path

from lugbook.compose.skeleton import skeleton
from lugbook.errors import InputRefusedError
from lugbook.load.checklists import load_checklists, shipped, shipped_items
from lugbook.load.files import read_document
from lugbook.load.job import FINDINGS
from lugbook.load.language import load_language
from lugbook.load.pictures import PHOTOS
from lugbook.load.translations import load_translations
from lugbook.load.tree import Document
from lugbook.model.checklist import Checklist
from lugbook.model.findings import Findings
from lugbook.model.problem import has_errors
from lugbook.model.schema import SCHEMA, schema_json
from lugbook.words.catalogue import ENGLISH
from lugbook.write import write_files


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


def lists_of(folder: Path) -> tuple[tuple[str, str], ...]:
    """Name and edition of the checklists of a job, as far as they can be read."""
    document = read_document(folder / FINDINGS, FINDINGS)
    data = document.plain() if document.root is not None else {}
    report = data.get("report") if isinstance(data, dict) else None
    names = report.get("checklists") if isinstance(report, dict) else None
    checklist = load_checklists(tuple(map(str, names or ())), folder, Document(FINDINGS, ""))
    return tuple(zip(checklist.ids, checklist.editions, strict=False))


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
