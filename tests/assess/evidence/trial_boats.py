"""Networks and evidence for the tests: the acceptance boats, and small ones written out."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from functools import cache
from pathlib import Path

from lugbook.assess.evidence.run import evidence
from lugbook.load.bases import load_bases
from lugbook.load.faults import build
from lugbook.load.files import read_document
from lugbook.load.installation import load_installation
from lugbook.load.tree import Document, parse
from lugbook.model.basis import Basis
from lugbook.model.evidence import Circumstances, Evidence, Sentence
from lugbook.model.installation import InstallationFile
from lugbook.model.network import Network

BOATS = Path(__file__).parents[2] / "boats"
NAMES = sorted(path.stem for path in BOATS.glob("*.yaml"))
AROUND = Circumstances(date(2026, 6, 1), 1999)


def _network(document: Document) -> tuple[Network, tuple[Basis, ...]]:
    file = build(InstallationFile, document)
    assert file is not None, document.problems
    network = load_installation(file.installation, document)
    assert network is not None, document.problems
    bases = load_bases(file.installation.bases, BOATS, document, ("installation", "bases"))
    return network, bases


@cache
def boat(name: str) -> tuple[Network, tuple[Basis, ...]]:
    """An acceptance boat with its bases."""
    return _network(read_document(BOATS / f"{name}.yaml", f"{name}.yaml"))


def written(text: str) -> tuple[Network, tuple[Basis, ...]]:
    """A boat written out: what stands under `installation:`, indented by two."""
    return _network(parse(f"installation:\n{text}", "trial.yaml"))


def judged(text: str, around: Circumstances = AROUND) -> tuple[Evidence, ...]:
    """The evidence of a boat written out."""
    network, bases = written(text)
    return evidence(network, bases, around)


def pick(every: tuple[Evidence, ...], **wanted: object) -> Evidence:
    """The one piece with these fields; `rule` may be the beginning of it."""
    rule = str(wanted.pop("rule", ""))
    found = [
        one for one in every if one.rule.startswith(rule) and all(getattr(one, key) == value for key, value in wanted.items())
    ]  # fmt: skip
    assert len(found) == 1, [one.identity for one in found] or [
        one.identity for one in every if one.subject == wanted.get("subject")
    ]
    return found[0]


def plain(sentence: Sentence) -> str:
    """A sentence as text, numbers rounded for reading."""
    return "".join(part if isinstance(part, str) else f"{part.value:.4g} {part.unit}" for part in sentence)


@contextmanager
def undisturbed() -> Iterator[None]:
    """For taking times: what other tests left in this process is not searched for garbage meanwhile."""
    gc.collect()
    gc.freeze()
    try:
        yield
    finally:
        gc.unfreeze()
