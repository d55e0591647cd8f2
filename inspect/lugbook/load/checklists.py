"""Checklist files -> one resolved Checklist for the job."""

from __future__ import annotations

from pathlib import Path

from lugbook.data import data_folder
from lugbook.load.faults import build, nearest
from lugbook.load.files import path_inside, read_document
from lugbook.load.tree import Document
from lugbook.model.checklist import Checklist, ChecklistFile, ChecklistGroup, Group, Item, Stop
from lugbook.model.problem import Path as KeyPath
from lugbook.model.problem import Problem


def shipped() -> tuple[str, ...]:
    """The ids of the checklists that ship."""
    return tuple(sorted(path.stem for path in data_folder("checklists").glob("*.yaml")))


def checklist_files(names: tuple[str, ...], job: Path) -> list[Path]:
    """The files of these lists; shared groups are part of the program's version."""
    own = data_folder("checklists")
    return [job / name if name.endswith(".yaml") else own / f"{name}.yaml" for name in names]


def shipped_items() -> dict[str, Item]:
    """Every item that ships, by id: what is computed may speak to one that this job's lists do not hold."""
    found: dict[str, Item] = {}
    for path in sorted((data_folder("checklists") / "groups").glob("*.yaml")):
        group = build(Group, read_document(path, f"groups/{path.name}"))
        found |= {item.id: item for item in (group.items if group else ())}
    return found


def load_checklists(names: tuple[str, ...], job: Path, findings: Document) -> Checklist:
    """Resolve the job's checklists. Faults in the choice are on `findings`, faults in the files are added to it."""
    files = []
    for i, name in enumerate(names):
        path = _find(name, job, findings, ("report", "checklists", i))
        if path is not None:
            document = read_document(path, name if name.endswith(".yaml") else path.name)
            loaded = build(ChecklistFile, document)
            if loaded is not None:
                files.append(_resolve(loaded, document))
            findings.problems += document.problems
    return _join(files)


def _find(name: str, job: Path, findings: Document, where: KeyPath) -> Path | None:
    own = sorted(
        path.name for path in job.glob("*.yaml") if path.name not in ("findings.yaml", "business.yaml")
    )
    if name in shipped():
        return data_folder("checklists") / f"{name}.yaml"
    if name.endswith(".yaml"):
        path, refused = path_inside(job, name)
        if path is None:
            findings.report(where, "P302", refused, "copy the list into the job's folder")
        elif not path.exists() and not path.is_symlink():
            hint = nearest(name, own) or "copy it there"
            findings.report(where, "P201", f"there is no checklist '{name}' in the job's folder", hint)
        else:
            return path
        return None
    hint = (
        nearest(name, (*shipped(), *own))
        or f"shipped: {', '.join(shipped())}; or a file of your own, such as own-list.yaml"
    )
    findings.report(where, "P201", f"there is no checklist '{name}'", hint)
    return None


Resolved = tuple[ChecklistFile, tuple[ChecklistGroup, ...]]


def _resolve(file: ChecklistFile, document: Document) -> Resolved:
    groups = []
    for i, stop in enumerate(file.walk):
        group = _group(stop, ("walk", i), document)
        if group is not None:
            groups.append(group)
    _report_doubles(groups, document)
    return file, tuple(groups)


def _group(stop: Stop, where: KeyPath, document: Document) -> ChecklistGroup | None:
    if stop.use is None:
        return ChecklistGroup(id=stop.id or "", title=stop.title or "", items=stop.items)
    folder = data_folder("checklists") / "groups"
    path = folder / f"{stop.use}.yaml"
    if not path.is_file():
        hint = nearest(stop.use, (p.stem for p in folder.glob("*.yaml")))
        document.report((*where, "use"), "P201", f"there is no group '{stop.use}'", hint)
        return None
    inner = read_document(path, f"groups/{path.name}")
    group = build(Group, inner)
    document.problems += inner.problems
    if group is None:
        return None
    known = {item.id: item for item in group.items}
    for i, wanted in enumerate(stop.only):
        if wanted not in known:
            where_only = (*where, "only", i)
            document.report(
                where_only, "P202", f"the group '{group.id}' has no item '{wanted}'", nearest(wanted, known)
            )
    items = tuple(item for item in group.items if not stop.only or item.id in stop.only)
    return ChecklistGroup(id=group.id, title=group.title, items=items)


def _report_doubles(groups: list[ChecklistGroup], document: Document) -> None:
    seen: set[str] = set()
    for group in groups:
        for item in group.items:
            if item.id in seen:
                message = f"the item '{item.id}' stands twice in this list"
                document.problems.append(
                    Problem(document.file, 0, 0, "walk", "P203", "error", message, "keep one")
                )
            seen.add(item.id)


def _join(files: list[Resolved]) -> Checklist:
    """Several lists as one walk: an item that stands in two lists is asked once, where it first comes."""
    seen: set[str] = set()
    groups: dict[str, tuple[str, list[Item]]] = {}
    for _, parts in files:
        for part in parts:
            new = [item for item in part.items if item.id not in seen]
            seen.update(item.id for item in new)
            groups.setdefault(part.id, (part.title, []))[1].extend(new)
    return Checklist(
        ids=tuple(file.id for file, _ in files),
        titles=tuple(file.title for file, _ in files),
        editions=tuple(file.edition for file, _ in files),
        groups=tuple(
            ChecklistGroup(id=i, title=t, items=tuple(items)) for i, (t, items) in groups.items() if items
        ),
    )
