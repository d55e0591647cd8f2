"""What is proposed, laid over the installation.

The proposals are merged into the tree of the file before it is read, so that the result is checked like any
installation and every fault keeps the line in which it was written.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from lugbook.load.faults import build, nearest
from lugbook.load.installation import load_installation
from lugbook.load.tree import Document, Mapping, Node, Scalar, Sequence
from lugbook.model.findings import Findings
from lugbook.model.installation import InstallationFile
from lugbook.model.job import Proposed
from lugbook.model.network import Network
from lugbook.model.problem import Path, Problem
from lugbook.model.remedy import CHANGEABLE, LISTS, Proposal

# Writing one of these takes the place of the other.
INSTEAD = {"area": "awg", "awg": "area", "barrel": "barrel_awg", "barrel_awg": "barrel", "current": "power", "power": "current"}  # fmt: skip

CABLES = ("conductors", "circuits", "bonds")


def load_remedy(
    findings: Findings, document: Document, network: Network | None
) -> tuple[Proposed | None, Proposed | None]:
    """The installation with what was accepted, and with all that is proposed; None where nothing changes."""
    changing = [(n, one) for n, one in enumerate(findings.remedy) if _changes(one)]
    if not changing:
        return None, None
    if findings.installation is None:
        for n, _ in changing:
            message = "this proposal changes an installation, and this file has none"
            document.report(("remedy", n), "P640", message, "add 'installation', or name parts only")
        return None, None
    if network is None:  # its own faults come first
        return None, None
    everything = _proposed(changing, document)
    accepted = [(n, one) for n, one in changing if one.accepted]
    if not accepted or everything is None:
        return None, everything
    return (everything if accepted == changing else _proposed(accepted, document)), everything


def _changes(one: Proposal) -> bool:
    return bool(one.entries("add") or one.entries("change") or one.remove or one.renew)


def _proposed(proposals: Iterable[tuple[int, Proposal]], document: Document) -> Proposed | None:
    """The merged installation, expanded. Its faults go to the document, each once."""
    merge = Merge(document)
    for n, one in proposals:
        merge.apply(n, one)
    if merge.failed:
        return None
    merged = Document(document.file, document.text, merge.root())
    written = build(InstallationFile, merged)
    network = None if written is None else load_installation(written.installation, merged)
    _hand_on(merged.problems, document)
    if written is None or network is None:
        return None
    return Proposed(written.installation, network)


def _hand_on(problems: Iterable[Problem], document: Document) -> None:
    known = {(one.line, one.column, one.code, one.message) for one in document.problems}
    for one in problems:
        if (one.line, one.column, one.code, one.message) not in known:
            document.add(replace(one, path=f"with the remedy, {one.path}"))


def _value(node: Node | None, key: str) -> Node | None:
    if isinstance(node, Mapping):
        return next((value for name, value in node.entries if name.text == key), None)
    return None


def _items(node: Node | None) -> tuple[Node, ...]:
    return node.items if isinstance(node, Sequence) else ()


def _id(node: Node) -> str:
    found = _value(node, "id")
    return found.text if isinstance(found, Scalar) else ""


def overlaid(old: Node, new: Node) -> Node:
    """Groups of keys are merged, everything else is replaced. A size takes the place of the gauge, and so on."""
    if not isinstance(old, Mapping) or not isinstance(new, Mapping):
        return new
    given = {name.text: (name, value) for name, value in new.entries}
    gone = {INSTEAD[key] for key in given if key in INSTEAD} - set(given)
    kept = [
        (name, overlaid(value, given[name.text][1]) if name.text in given else value)
        for name, value in old.entries
        if name.text not in gone
    ]
    there = {name.text for name, _ in kept}
    return replace(old, entries=(*kept, *(pair for key, pair in given.items() if key not in there)))


@dataclass(slots=True)
class Merge:
    """The lists of the installation while proposals are laid over them."""

    document: Document
    lists: dict[str, list[Node]] = field(default_factory=dict)
    changed: dict[tuple[str, str], str] = field(default_factory=dict)
    failed: bool = False

    def __post_init__(self) -> None:
        installation = _value(self.document.root, "installation")
        self.lists = {name: list(_items(_value(installation, name))) for name in LISTS}

    def apply(self, n: int, proposal: Proposal) -> None:
        """Lay one proposal over what is there: first what changes, then what goes, then what is new."""
        node = _items(_value(self.document.root, "remedy"))[n]
        change, add = _value(node, "change"), _value(node, "add")
        for name in CHANGEABLE:
            for i, entry in enumerate(_items(_value(change, name))):
                self._change(name, entry, ("remedy", n, "change", name, i), proposal.id)
        for i, gone in enumerate(proposal.remove):
            if not any(self._take(name, gone) for name in CHANGEABLE):
                self._missing(gone, ("remedy", n, "remove", i), CHANGEABLE)
        for name in LISTS:
            self.lists[name] += _items(_value(add, name))
        for i, again in enumerate(proposal.renew):
            if not any(_id(one) == again for name in CABLES for one in self.lists[name]):
                self._missing(again, ("remedy", n, "renew", i), CABLES)

    def _change(self, name: str, entry: Node, path: Path, proposal: str) -> None:
        wanted = _id(entry)
        for place, old in enumerate(self.lists[name]):
            if _id(old) == wanted:
                self._once(wanted, entry, path, proposal)
                self.lists[name][place] = overlaid(old, entry)
                return
        self._missing(wanted, (*path, "id"), (name,))

    def _once(self, wanted: str, entry: Node, path: Path, proposal: str) -> None:
        """Two proposals may change one element, but not the same key of it."""
        keys = (
            [name.text for name, _ in entry.entries if name.text != "id"]
            if isinstance(entry, Mapping)
            else []
        )
        for key in keys:
            other = self.changed.setdefault((wanted, key), proposal)
            if other != proposal:
                self.failed = True
                message = f"'{key}' of '{wanted}' is changed by the proposal '{other}' as well"
                self.document.report((*path, key), "P642", message, "put both into one proposal")

    def _take(self, name: str, gone: str) -> bool:
        kept = [one for one in self.lists[name] if _id(one) != gone]
        found = len(kept) < len(self.lists[name])
        self.lists[name] = kept
        return found

    def _missing(self, wanted: str, path: Path, names: tuple[str, ...]) -> None:
        self.failed = True
        known = [_id(one) for name in names for one in self.lists[name]]
        elsewhere = next((n for n in CHANGEABLE if any(_id(one) == wanted for one in self.lists[n])), "")
        hint = f"it stands under '{elsewhere}'" if elsewhere else nearest(wanted, known)
        what = names[0] if len(names) == 1 else "cables" if names == CABLES else "elements"
        self.document.report(path, "P640", f"the installation has no '{wanted}' among its {what}", hint)

    def root(self) -> Mapping:
        """A file that holds the result alone."""
        assert isinstance(self.document.root, Mapping), "a file with proposals is a mapping"
        name, old = next(pair for pair in self.document.root.entries if pair[0].text == "installation")
        assert isinstance(old, Mapping), "it was read as one before"
        kept = [pair for pair in old.entries if pair[0].text not in LISTS]
        made = [
            (Scalar(key, True, old.mark), Sequence(tuple(items), old.mark))
            for key, items in self.lists.items()
            if items
        ]
        return replace(self.document.root, entries=((name, replace(old, entries=(*kept, *made))),))
